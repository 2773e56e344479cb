"""What stands on the boxes of a trace, and the figures that they are made from."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property

from vault.application.queries.answers.trace import NodeKind, TraceNode, TraceQuestion
from vault.application.queries.trace_folds import Fold
from vault.core.daybook import Terms, When
from vault.core.flow import Flow
from vault.core.items import Item, State
from vault.core.metals import BY_SYMBOL
from vault.reckoning.contents import ABSENT, Contents, Loss
from vault.reckoning.edges import GROSS
from vault.reckoning.mixing import Mixing
from vault.reckoning.origins import Origins

_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_STATES = {
    State.ON_HAND: "on hand",
    State.SENT: "sent out",
    State.RETURNED: "returned",
    State.SOLD: "sold",
    State.MISSING: "missing",
}
# Above this share all of it is from here, as far as a percentage can tell.
_AS_GOOD_AS_ALL = 0.995


class Figures:
    """The figures of one metal, or of the weight, in one state of the book."""

    def __init__(self, flow: Flow, contents: Contents, origins: Origins, metal: str) -> None:
        self.flow = flow
        self.contents = contents
        self.origins = origins
        self.metal = metal

    @cached_property
    def mixing(self) -> Mixing:
        """How the works mixed it."""
        return self.origins.mixing(self.metal)

    def of(self, node: int) -> tuple[float | None, float | None]:
        """Give grams and their uncertainty, uncut; None where not known."""
        mixing = self.mixing
        if not mixing.known[node]:
            return None, None
        if node >= len(mixing.edges.tags):
            return mixing.grams[node], None
        place = self.contents.place_of[mixing.edges.tags[node]]
        if self.metal == GROSS:
            return float(self.contents.gross_g[place]), float(self.contents.gross_u_g[place])
        balance = self.contents.balances[self.metal]
        if balance.how[place] == ABSENT:
            return 0.0, None
        return float(balance.estimates[place]), float(balance.uncertainties[place])

    def feed(self, work: int) -> float:
        """Give the grams known to have gone into a work."""
        return sum(self.mixing.grams[node] for node in self.mixing.edges.ins[work])

    def loss(self, work: int) -> Loss | None:
        """Give what a work leaves over, None where that cannot be told."""
        if self.metal != GROSS:
            loss = self.contents.loss(self.mixing.edges.numbers[work], self.metal)
            return loss if loss is not None and loss.determinable else None
        nodes = (*self.mixing.edges.ins[work], *self.mixing.edges.outs[work])
        if not all(self.mixing.known[node] for node in nodes):
            return None
        out = sum(self.mixing.grams[node] for node in self.mixing.edges.outs[work])
        doubts = [self.of(node)[1] or 0.0 for node in nodes]
        u_g = sum(doubt * doubt for doubt in doubts) ** 0.5
        return Loss(self.feed(work) - out, u_g, determinable=True)

    def item(self, node: int) -> Item | None:
        """Give the item that a node is; None for a thing added."""
        tags = self.mixing.edges.tags
        return self.flow.items[tags[node]] if node < len(tags) else None


class Boxes:
    """Makes the boxes of one trace."""

    def __init__(self, figures: Figures, question: TraceQuestion) -> None:
        self._figures = figures
        self._question = question
        self._edges = figures.mixing.edges
        self._node_of: dict[str, int] = {}
        metal = BY_SYMBOL.get(question.metal)
        self._substance = metal.name if metal else "weight"

    def title(self) -> str:
        """Give the title of the whole trace."""
        if self._question.lot:
            return f"Trace of lot {self._question.lot}"
        item = self._figures.flow.items[self._question.tag]
        return f"Trace of {item.form} {item.tag}"

    def key(self, node: int) -> str:
        """Give the key of a node's box."""
        key = f"node:{node}"
        self._node_of[key] = node
        return key

    def node_of(self, key: str) -> int | None:
        """Give the node whose box has a key."""
        return self._node_of.get(key)

    def work_key(self, work: int) -> str:
        """Give the key of a work's box."""
        return f"work:{self._edges.numbers[work]}"

    def node(self, node: int, part: float | None, *, is_end: bool) -> TraceNode:
        """Give the box of an item or of a thing added.

        Args:
            node: which.
            part: the part of it that is meant; None for all of it.
            is_end: whether it is what was asked for.
        """
        grams, u_g = self._figures.of(node)
        item = self._figures.item(node)
        key = self.key(node)
        if item is None:
            name = self._edges.name_of(node)
            return TraceNode(key, NodeKind.LOT, name, ("added to the work",), grams, u_g)
        lines = [item.form]
        if part is not None and grams is not None and part < _AS_GOOD_AS_ALL:
            lines.append(f"{part * 100:.0f} % of its {self._substance}")
            grams, u_g = grams * part, None
        if item.state is not State.USED and not is_end:
            lines.append(whereabouts_in_words(item))
        return TraceNode(
            key,
            NodeKind.ITEM,
            item.tag,
            tuple(lines),
            grams,
            u_g,
            is_residue=item.is_residue,
            is_end=is_end,
            tag=item.tag,
        )

    def work(self, work: int) -> TraceNode:
        """Give the box of a work; a gain is written on it, since nothing can be drawn for it."""
        entry = self._edges.numbers[work]
        done = self._figures.flow.works[entry]
        lines = [day_in_words(done.when), f"entry {entry}"]
        loss = self._figures.loss(work)
        if loss is not None and loss.fine_g < -3 * loss.u_g - 1e-6:
            lines.append("more came out than went in")
        feed = self._figures.feed(work)
        return TraceNode(
            self.work_key(work),
            NodeKind.WORK,
            done.process.value,
            tuple(lines),
            feed or None,
            None,
            entry=entry,
        )

    def fold(self, fold: Fold, grams: float | None, *, ahead: bool) -> TraceNode:
        """Give the box of what is folded."""
        if fold.is_side:
            title = f"and {len(fold.members)} more made"
        elif fold.beside_work:
            title = f"and {len(fold.members)} more"
        elif ahead:
            title = f"went into {fold.within} more"
        else:
            title = f"made from {fold.within} more"
        deeper = fold.within - len(fold.members)
        lines = (f"{deeper} behind them",) if fold.beside_work and deeper > 0 else ()
        return TraceNode(fold.key, NodeKind.FOLD, title, lines, grams, None)

    def lot_of(self, node: int) -> str:
        """Give the lot with which an item was received; empty where it was not."""
        item = self._figures.item(node)
        return item.lot if item is not None and item.lot and item.terms else ""

    def lot_of_one(self, lot: str, node: int, own: TraceNode) -> TraceNode:
        """Give the box of a lot of which only one item stands in the trace."""
        item = self._figures.item(node)
        words = () if item is None else (f"{item.form} {item.tag}", owner_in_words(item))
        return TraceNode(
            own.key,
            NodeKind.LOT,
            lot,
            words,
            own.amount_g,
            own.u_g,
            tag=own.tag,
            lot=lot,
            is_end=lot == self._question.lot,
        )

    def lot(self, lot: str, nodes: Sequence[int]) -> TraceNode:
        """Give the box of a lot with several items in the trace."""
        tags = [self._edges.tags[node] for node in nodes]
        item = self._figures.flow.items[tags[0]]
        grams, u_g = sum_of(self._figures, tags)
        count = "1 item" if len(tags) == 1 else f"{len(tags)} items"
        return TraceNode(
            f"lot:{lot}",
            NodeKind.LOT,
            lot,
            (count, owner_in_words(item)),
            grams,
            u_g,
            lot=lot,
            is_end=lot == self._question.lot,
        )


def sum_of(figures: Figures, tags: Sequence[str]) -> tuple[float | None, float | None]:
    """Give the grams of several items together and their uncertainty; None where none is known."""
    if len(tags) == 1:
        return figures.of(figures.mixing.edges.place_of[tags[0]])
    if figures.metal != GROSS:
        total = figures.contents.total(tags, figures.metal)
        return (total.fine_g, total.u_g) if total.items else (None, None)
    known = [figures.of(figures.mixing.edges.place_of[tag]) for tag in tags]
    told = [(grams, u_g or 0.0) for grams, u_g in known if grams is not None]
    if not told:
        return None, None
    # Readings of the scale on different days do not err together.
    return sum(grams for grams, _ in told), sum(u_g * u_g for _, u_g in told) ** 0.5


def day_in_words(when: When) -> str:
    """Write a day: `5 Mar 2031`."""
    return f"{when.day.day} {_MONTHS[when.day.month - 1]} {when.day.year}"


def whereabouts_in_words(item: Item) -> str:
    """Say where an item is that no work used up."""
    state = _STATES[item.state]
    if item.state is State.ON_HAND and item.place:
        return f"{state}, {item.place}"
    party = item.passages[-1].party if item.passages else ""
    return f"{state} to {party}" if party and item.state is not State.SENT else state


def owner_in_words(item: Item) -> str:
    """Say whose a received item is."""
    return item.party if item.terms == Terms.TOLL.value else "ours"
