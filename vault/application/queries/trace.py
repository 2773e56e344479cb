"""The trace: where an item's metal came from, where a lot's metal went, as boxes and ribbons.

Looking back, boxes and ribbons are whole: a lot, its button, the slag that dropped away. Looking
ahead they are the part that came from what was asked for, so that they only ever grow thinner.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from vault.application.book import Book
from vault.application.queries.answers.trace import (
    NodeKind,
    Ribbon,
    Trace,
    TraceNode,
    TraceQuestion,
)
from vault.application.queries.trace_boxes import Boxes, Figures
from vault.application.queries.trace_folds import Fold, Shown, shown_of
from vault.application.queries.trace_reach import Reach, Way, carries, reach_ahead, reach_back
from vault.application.queries.trace_rows import footing_of, rows_ahead, rows_back, total_of
from vault.core.errors import VaultError
from vault.core.flow import Flow
from vault.core.metals import ALL_SYMBOLS
from vault.reckoning.contents import Contents
from vault.reckoning.edges import GROSS, SourceKind
from vault.reckoning.mixing import DrawnParts
from vault.reckoning.origins import Origins

# A loss of less than this part of a work's feed is told in the footing, not drawn.
LEAST_LOSS = 0.001
# More lots than this cannot be told apart by colour; the rest share one, under this name.
MOST_COLOURS = 6
# What is less than this could not be seen as a stripe anyway (the silver in assay lead).
LEAST_COLOURED = 0.001
OTHER_LOTS = "other lots"
_LEAST_REST = 0.005

Drawn = Callable[[str], DrawnParts | None]


class NothingToTrace(VaultError):
    """The tag or lot that was asked for is not in the book."""


class NotWorkedOut(VaultError):
    """The figures that a trace is drawn from are not there yet."""


def trace(book: Book, question: TraceQuestion) -> Trace:
    """Answer where metal came from or went, in an open book.

    Raises:
        NotWorkedOut: while the figures are still being worked out.
        NothingToTrace: when there is no such item or lot.
    """
    reckoned = book.reckoned
    if reckoned is None:
        raise NotWorkedOut(
            "The figures of this book are still being worked out; the trace comes with them."
        )
    return trace_of(reckoned.flow, reckoned.contents, reckoned.origins, question, reckoned.drawn)


def foot(book: Book) -> str:
    """Give the line at the foot of a page: whose book, and the head of its chain."""
    head = book.reckoned.head.hex() if book.reckoned is not None else "not worked out"
    return f"{book.shop_name} · daybook proven to {head[:16]}"


def trace_of(
    flow: Flow,
    contents: Contents,
    origins: Origins,
    question: TraceQuestion,
    drawn: Drawn = lambda _metal: None,
) -> Trace:
    """Answer where metal came from or went.

    Args:
        flow: the items and works of the book.
        contents: what they hold, for that same state of the book.
        origins: how it was mixed, for that same state.
        question: what is traced; a metal that is not there is replaced by one that is.
        drawn: prepared draws of a metal, for the ± of shares; without them they have none.

    Raises:
        NothingToTrace: when there is no such item or lot.
    """
    starts = _starts(flow, question)
    metals = _metals(contents, origins, starts)
    if question.metal != GROSS and question.metal not in metals:
        question = replace(question, metal=_main_metal(contents, starts, metals))
    if question.lot:
        question = replace(question, backward=False, forward=True)
    figures = Figures(flow, contents, origins, question.metal)
    draws = None if question.metal == GROSS else drawn(question.metal)
    return _Answer(figures, question, starts).trace(metals, draws)


def _starts(flow: Flow, question: TraceQuestion) -> tuple[str, ...]:
    if not question.lot:
        if question.tag not in flow.items:
            raise NothingToTrace(f"There is no item {question.tag or 'without a tag'} in the book.")
        return (question.tag,)
    tags = tuple(item.tag for item in flow.sources() if item.lot == question.lot and item.terms)
    if not tags:
        raise NothingToTrace(f"There is no lot {question.lot} in the book.")
    return tags


def _metals(contents: Contents, origins: Origins, tags: Sequence[str]) -> tuple[str, ...]:
    """Give the metals that are, or may be, in any of these items."""
    found = {
        metal
        for tag in tags
        for metal, content in contents.of(tag).items()
        if metal in origins.metals and (content.fine_g > 0 or not content.determinable)
    }
    return tuple(metal for metal in ALL_SYMBOLS if metal in found)


def _main_metal(contents: Contents, tags: Sequence[str], metals: Sequence[str]) -> str:
    """Give the metal of which there is most in these items; the weight where there is none."""
    totals = {metal: contents.total(tags, metal) for metal in metals}
    return max(
        metals,
        key=lambda metal: totals[metal].fine_g if totals[metal].items else -1.0,
        default=GROSS,
    )


@dataclass(slots=True)
class _Joined:
    """Ribbons by their two ends, so that what runs between the same boxes is one ribbon."""

    grams: dict[tuple[str, str], float | None]
    nodes: dict[tuple[str, str], int]

    def add(self, source: str, target: str, grams: float | None, node: int) -> None:
        way = (source, target)
        if way not in self.grams:
            self.grams[way] = grams
            self.nodes[way] = node
        elif grams is not None:
            self.grams[way] = (self.grams[way] or 0.0) + grams


class _Answer:
    """One answer while it is put together."""

    def __init__(self, figures: Figures, question: TraceQuestion, starts: Sequence[str]) -> None:
        self._figures = figures
        self._question = question
        self._mixing = figures.mixing
        self._tags = tuple(starts)
        self._starts = tuple(figures.mixing.edges.place_of[tag] for tag in starts)
        self._boxes = Boxes(figures, question)
        self._nodes: dict[str, TraceNode] = {}
        self._ribbons: list[Ribbon] = []
        self._lots, self._shares = self._colours()

    def trace(self, metals: tuple[str, ...], drawn: DrawnParts | None) -> Trace:
        question, figures = self._question, self._figures
        back = question.backward and not question.lot
        works: list[int] = []
        if back:
            reach = reach_back(self._mixing, self._starts[0])
            works += self._draw(reach)
        ahead = None
        if question.forward or question.lot:
            ahead = reach_ahead(self._mixing, self._starts)
            works += self._draw(ahead)
        self._draw_sources()
        if back or ahead is None:
            rows = rows_back(figures, self._tags[0], drawn)
        else:
            rows = rows_ahead(figures, ahead, drawn)
        total_ug, total_u_ug = total_of(figures, self._tags)
        return Trace(
            question=question,
            title=self._boxes.title(),
            nodes=tuple(self._nodes.values()),
            ribbons=tuple(self._ribbons),
            lots=self._lots,
            rows=rows,
            total_ug=total_ug,
            total_u_ug=total_u_ug,
            metals=metals,
            footing=footing_of(figures, works),
        )

    def _colours(self) -> tuple[tuple[str, ...], list[dict[int, float]]]:
        """Give the lots that have colours, largest first, and by lot its share in every node."""
        mixing = self._mixing
        if self._question.lot:
            return (self._question.lot,), [dict.fromkeys(range(mixing.edges.nodes), 1.0)]
        shares = self._figures.origins.of_item(self._tags[0], self._question.metal)
        number = {source: at for at, source in enumerate(mixing.sources)}
        told = [
            one.source
            for one in shares
            if one.source.kind is not SourceKind.NOT_KNOWN and (one.share or 0.0) >= LEAST_COLOURED
        ][:MOST_COLOURS]
        reached = [mixing.forward_from(number[one], mixing.parts, 1.0)[0] for one in told]
        return tuple(one.name for one in told), reached

    def _lots_of(self, node: int, *, ahead: bool) -> tuple[tuple[str, float], ...]:
        """Give the lots of a node, largest of the whole trace first; the others together last."""
        # What came from an item is, however thin, of the same mixture as the item.
        place = self._starts[0] if ahead else node
        found = [
            (lot, share)
            for lot, shares in zip(self._lots, self._shares, strict=True)
            if (share := shares.get(place, 0.0)) > 0
        ]
        rest = 1.0 - sum(share for _, share in found)
        if found and rest > _LEAST_REST:
            found.append((OTHER_LOTS, rest))
        return tuple(found)

    def _draw(self, reach: Reach) -> list[int]:
        """Draw one way; give the works that were drawn."""
        question = self._question
        shown = shown_of(reach, self._mixing, question.unfolded, question.most_boxes)
        for node in sorted(shown.nodes):
            self._put_node(node, reach)
        joined = _Joined({}, {})
        works = [work for work in reach.works if work in shown.works]
        for work in works:
            self._draw_work(work, reach, shown, joined)
        for fold in shown.folds.values():
            self._draw_fold(fold, reach, joined)
        self._draw_ribbons(joined, ahead=reach.way is Way.AHEAD)
        for work in works:
            self._draw_loss(work, reach)
        return works

    def _put_node(self, node: int, reach: Reach) -> None:
        key = self._boxes.key(node)
        if key not in self._nodes:
            part = None if reach.way is Way.BACK else self._part(node, reach)
            self._nodes[key] = self._boxes.node(node, part, is_end=self._is_end(node))

    def _is_end(self, node: int) -> bool:
        return not self._question.lot and node == self._starts[0]

    def _part(self, node: int, reach: Reach) -> float | None:
        """Give the part of a node that came from the start; None where it is not known."""
        whole = self._mixing.grams[node]
        if not self._mixing.known[node] or whole <= 0:
            return None
        return reach.grams.get(node, 0.0) / whole

    def _grams(self, node: int, reach: Reach) -> float | None:
        if not self._mixing.known[node]:
            return None
        return self._mixing.grams[node] if reach.way is Way.BACK else reach.grams.get(node, 0.0)

    def _draw_work(self, work: int, reach: Reach, shown: Shown, joined: _Joined) -> None:
        key = self._boxes.work_key(work)
        self._nodes[key] = self._boxes.work(work)
        older, newer = (reach.far, reach.near) if reach.way is Way.BACK else (reach.near, reach.far)
        for node in older[work]:
            joined.add(self._end(node, shown), key, self._grams(node, reach), node)
        for node in newer[work]:
            joined.add(key, self._end(node, shown), self._grams(node, reach), node)
        for node in shown.beside.get(work, ()):
            self._put_node(node, reach)
            joined.add(key, self._boxes.key(node), self._grams(node, reach), node)

    def _end(self, node: int, shown: Shown) -> str:
        """Give the key of the box that a node is seen in: its own, or its fold's."""
        return self._boxes.key(node) if node in shown.nodes else shown.fold_of[node]

    def _draw_fold(self, fold: Fold, reach: Reach, joined: _Joined) -> None:
        known = [self._grams(node, reach) for node in fold.members]
        told = [grams for grams in known if grams is not None]
        self._nodes[fold.key] = self._boxes.fold(
            fold, sum(told) if told else None, ahead=reach.way is Way.AHEAD
        )
        if fold.is_side:
            work = self._boxes.work_key(fold.at)
            for node in fold.members:
                joined.add(work, fold.key, self._grams(node, reach), node)
        elif not fold.beside_work:
            own, grams = self._boxes.key(fold.at), self._grams(fold.at, reach)
            if reach.way is Way.BACK:
                joined.add(fold.key, own, grams, fold.at)
            else:
                joined.add(own, fold.key, grams, fold.at)

    def _draw_ribbons(self, joined: _Joined, *, ahead: bool) -> None:
        residues = {key for key, node in self._nodes.items() if node.is_residue}
        for (source, target), grams in joined.grams.items():
            lots = self._lots_of(joined.nodes[source, target], ahead=ahead)
            self._ribbons.append(Ribbon(source, target, grams, lots, is_residue=target in residues))

    def _draw_loss(self, work: int, reach: Reach) -> None:
        feed = self._figures.feed(work)
        loss = self._figures.loss(work)
        # A gap within its own doubt is no loss that anybody could point at.
        if loss is None or feed <= 0 or loss.fine_g < max(LEAST_LOSS * feed, loss.u_g):
            return
        part = 1.0 if reach.way is Way.BACK else min(1.0, reach.work_grams[work] / feed)
        key = f"loss:{self._mixing.edges.numbers[work]}"
        self._nodes[key] = TraceNode(
            key, NodeKind.LOSS, "unaccounted", (), loss.fine_g * part, loss.u_g * part
        )
        made = next((node for node in self._mixing.edges.outs[work]), None)
        lots = () if made is None else self._lots_of(made, ahead=reach.way is Way.AHEAD)
        self._ribbons.append(
            Ribbon(self._boxes.work_key(work), key, loss.fine_g * part, lots, is_loss=True)
        )

    def _draw_sources(self) -> None:
        """Put lots in front of what was received with them; a lot of one item is that item."""
        shown = [node for key in self._nodes if (node := self._boxes.node_of(key)) is not None]
        by_lot: dict[str, list[int]] = {}
        for node in shown:
            lot = self._boxes.lot_of(node)
            if lot and carries(self._mixing, node):
                by_lot.setdefault(lot, []).append(node)
        for lot, nodes in by_lot.items():
            if len(nodes) == 1 and not self._is_end(nodes[0]):
                key = self._boxes.key(nodes[0])
                self._nodes[key] = self._boxes.lot_of_one(lot, nodes[0], self._nodes[key])
            else:
                self._draw_lot(lot, nodes)

    def _draw_lot(self, lot: str, nodes: Sequence[int]) -> None:
        box = self._boxes.lot(lot, nodes)
        self._nodes[box.key] = box
        for node in nodes:
            own = self._nodes[self._boxes.key(node)]
            grams = None if not self._mixing.known[node] else self._mixing.grams[node]
            lots = self._lots_of(node, ahead=False)
            self._ribbons.append(Ribbon(box.key, own.key, grams, lots))
