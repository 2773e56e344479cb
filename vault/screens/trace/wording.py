"""What is written on the boxes of a trace and said of its ribbons, and how much room that takes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from PySide6.QtCore import Qt
from PySide6.QtGui import QFont, QFontMetricsF

from vault.application.queries.answers.trace import (
    NodeKind,
    Ribbon,
    Trace,
    TraceNode,
)
from vault.screens.look import Size, face
from vault.screens.numbers import NOT_KNOWN, Numbers
from vault.screens.trace.layout import Flowing, Layout, Measures, Spot, laid_out

LINE_GAP = 2.0
WIDEST_LABEL = 190.0
BAR_WIDTH = 18.0
LOSS_WIDTH = 4.0
BOX_PAD_X = 12.0
BOX_PAD_Y = 9.0
LABEL_DISTANCE = 11.0
LEAST_BOX_WIDTH = 84.0
LONE_BAR_HEIGHT = 20.0
LEAST_BAR_HEIGHT = 4.0
_UG_PER_G = 1_000_000
_MOST_LOTS_SAID = 4


@dataclass(frozen=True, slots=True)
class WrittenLine:
    """One line of a label: what it says and how it is set."""

    text: str
    font: QFont
    is_soft: bool
    width: float
    height: float


@dataclass(frozen=True)
class Label:
    """The lines of one box."""

    lines: tuple[WrittenLine, ...]

    @cached_property
    def width(self) -> float:
        """The width of its longest line."""
        return max((line.width for line in self.lines), default=0.0)

    @cached_property
    def height(self) -> float:
        """The height of all lines with the gaps between them."""
        gaps = LINE_GAP * max(0, len(self.lines) - 1)
        return sum(line.height for line in self.lines) + gaps


class Wording:
    """All that is written in one trace, in one number style."""

    def __init__(self, trace: Trace, numbers: Numbers) -> None:
        self.trace = trace
        self._numbers = numbers
        self._titles = {node.key: node.title for node in trace.nodes}

    def label(self, node: TraceNode) -> Label:
        """Give what is written on a box."""
        if node.kind in {NodeKind.LOSS, NodeKind.FOLD}:
            title = face(Size.SMALL, bold=node.kind is NodeKind.FOLD)
        else:
            title = face(Size.HEADING if node.is_end else Size.BODY, bold=True)
        lines = [_line(node.title, title, is_soft=node.kind is NodeKind.LOSS)]
        lines += [_line(text, face(Size.SMALL), is_soft=True) for text in node.lines]
        if node.kind is not NodeKind.WORK:
            figure = face(Size.BODY if node.is_end else Size.SMALL, bold=node.is_end)
            lines.append(_line(self.amount(node), figure, is_soft=not node.is_end))
        return Label(tuple(lines))

    def amount(self, node: TraceNode) -> str:
        """Give a box's metal or weight with its ±: `Ag 1 002.6 ± 0.6 g`."""
        return self._figure(node.amount_g, node.u_g)

    def said_of_box(self, node: TraceNode) -> str:
        """Give the read-out of a box: everything on it in one sentence."""
        words = [node.title, *node.lines]
        if node.kind is not NodeKind.WORK or node.amount_g is not None:
            words.append(self.amount(node))
        return " · ".join(words)

    def said_of_ribbon(self, ribbon: Ribbon) -> str:
        """Give the read-out of a ribbon: from, to, how much, of which lots."""
        way = f"{self._titles[ribbon.source]} → {self._titles[ribbon.target]}"
        parts = [f"{lot} {self._numbers.share(share)}" for lot, share in ribbon.lots if lot]
        more = len(parts) - _MOST_LOTS_SAID
        if more > 0:
            parts = [*parts[:_MOST_LOTS_SAID], f"and {more} more"]
        words = [way, self._figure(ribbon.amount_g, None)]
        return " · ".join(words + ([", ".join(parts)] if parts else []))

    def _figure(self, amount_g: float | None, u_g: float | None) -> str:
        metal = self.trace.question.metal
        if amount_g is None:
            return f"{metal} {NOT_KNOWN}".strip()
        u_ug = None if u_g is None else round(u_g * _UG_PER_G)
        figure = self._numbers.fine(round(amount_g * _UG_PER_G), u_ug)
        return f"{metal} {figure} {self._numbers.unit}".strip()


@dataclass(frozen=True, slots=True)
class Set:
    """A trace made ready for its layout: labels measured, boxes and ribbons in pixels' words."""

    labels: Mapping[str, Label]
    spots: tuple[Spot, ...]
    ribbons: tuple[Flowing, ...]

    def laid_out(self, measures: Measures) -> Layout:
        """Lay it out; touches nothing of the window, so any thread may do it."""
        return laid_out(self.spots, self.ribbons, measures)


def set_of(wording: Wording) -> Set:
    """Measure every label of a trace and say what the layout has to know."""
    trace = wording.trace
    labels = {node.key: wording.label(node) for node in trace.nodes}
    fed = {ribbon.target for ribbon in trace.ribbons}
    feeding = {ribbon.source for ribbon in trace.ribbons}
    return Set(
        labels,
        tuple(
            _spot(node, labels[node.key], is_fed=node.key in fed, is_feeding=node.key in feeding)
            for node in trace.nodes
        ),
        tuple(Flowing(one.source, one.target, one.amount_g) for one in trace.ribbons),
    )


def label_is_left(node: TraceNode, *, is_fed: bool) -> bool:
    """Tell whether a box's label stands at its left: that of lots, and of all that begins."""
    return not is_fed and not node.is_end and node.kind in {NodeKind.LOT, NodeKind.ITEM}


def _spot(node: TraceNode, label: Label, *, is_fed: bool, is_feeding: bool) -> Spot:
    if node.kind in {NodeKind.WORK, NodeKind.FOLD}:
        return Spot(
            node.key,
            width=max(LEAST_BOX_WIDTH, label.width + 2 * BOX_PAD_X),
            least_height=label.height + 2 * BOX_PAD_Y,
            pad=6.0 if node.kind is NodeKind.WORK else 3.0,
        )
    room = label.width + LABEL_DISTANCE
    left = label_is_left(node, is_fed=is_fed)
    return Spot(
        node.key,
        width=LOSS_WIDTH if node.kind is NodeKind.LOSS else BAR_WIDTH,
        least_height=LEAST_BAR_HEIGHT if is_fed or is_feeding else LONE_BAR_HEIGHT,
        label_height=label.height,
        left=room if left else 0.0,
        right=0.0 if left else room,
        is_low=not is_feeding and (node.is_residue or node.kind is NodeKind.LOSS),
    )


def _line(text: str, font: QFont, *, is_soft: bool) -> WrittenLine:
    metrics = QFontMetricsF(font)
    shown = metrics.elidedText(text, Qt.TextElideMode.ElideRight, WIDEST_LABEL)
    return WrittenLine(shown, font, is_soft, metrics.horizontalAdvance(shown), metrics.height())
