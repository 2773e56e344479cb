"""The picture of where metal came from and went."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum


class NodeKind(Enum):
    """What a box of the trace stands for."""

    LOT = "lot"
    ITEM = "item"
    WORK = "work"
    LOSS = "loss"
    FOLD = "fold"


@dataclass(frozen=True, slots=True)
class TraceNode:
    """A box of the trace.

    Attributes:
        key: names it within the trace.
        title, lines: what is written on it.
        tag, lot, entry: what a click walks to; empty or None where not one of those.
        amount_g, u_g: its metal (or weight) in grams; None where not known.
        is_residue: drawn hatched and dropping away.
        is_end: what the trace was asked for.
    """

    key: str
    kind: NodeKind
    title: str
    lines: tuple[str, ...]
    amount_g: float | None
    u_g: float | None
    is_residue: bool = False
    is_end: bool = False
    tag: str = ""
    lot: str = ""
    entry: int | None = None


@dataclass(frozen=True, slots=True)
class Ribbon:
    """Metal going from one box to another.

    Attributes:
        lots: (lot, share) by which it is coloured, largest first.
    """

    source: str
    target: str
    amount_g: float | None
    lots: tuple[tuple[str, float], ...]
    is_residue: bool = False
    is_loss: bool = False


@dataclass(frozen=True, slots=True)
class TraceRow:
    """One line of the table beside the trace."""

    name: str
    words: str
    fine_ug: int | None
    u_ug: int | None
    share: float | None
    tag: str = ""
    lot: str = ""


# Asks for the metal of which there is most; no metal has this symbol.
MAIN_METAL = "main"


@dataclass(frozen=True, slots=True)
class TraceQuestion:
    """What is traced.

    Attributes:
        tag, lot: one of the two.
        metal: a symbol, or empty for gross weight; one that is not there, such as `MAIN_METAL`,
            is answered for the one of which there is most.
        backward, forward: which ways to look.
        unfolded: keys of folds that were opened.
        most_boxes: above this many boxes the trace is folded.
    """

    tag: str = ""
    lot: str = ""
    metal: str = "Ag"
    backward: bool = True
    forward: bool = False
    unfolded: frozenset[str] = frozenset()
    most_boxes: int = 150


@dataclass(frozen=True, slots=True)
class Trace:
    """A picture of where metal came from and went, and its table.

    Attributes:
        lots: every lot that colours a ribbon, largest first.
        metals: the metals that can be asked for here.
        footing: one sentence on how well the steps balance.
    """

    question: TraceQuestion
    title: str
    nodes: tuple[TraceNode, ...]
    ribbons: tuple[Ribbon, ...]
    lots: tuple[str, ...]
    rows: tuple[TraceRow, ...]
    total_ug: int | None
    total_u_ug: int | None
    metals: tuple[str, ...]
    footing: str
