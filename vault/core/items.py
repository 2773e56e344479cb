"""Items: what the facts say of one physical thing, and the state that follows from them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date
from enum import Enum

from vault.core.daybook import Said
from vault.core.forms import is_residue
from vault.core.masses import Mass
from vault.core.seals import Sealing, unbroken


class State(Enum):
    """Where an item's story stands."""

    ON_HAND = "on hand"
    USED = "used"
    SENT = "sent"
    RETURNED = "returned"
    SOLD = "sold"
    MISSING = "missing"


LEFT_THE_SHOP = frozenset({State.SENT, State.RETURNED, State.SOLD})


@dataclass(frozen=True, slots=True)
class Weighing:
    """One reading of the scale.

    Attributes:
        entry: the entry that says it.
        gross: the weight.
        u: one standard uncertainty, None where nothing was said.
        scale: name of the scale, empty where the weight was typed by hand.
    """

    entry: int
    gross: Mass
    u: Mass | None
    scale: str = ""


@dataclass(frozen=True, slots=True)
class Saying:
    """What one entry says of an item's contents.

    Attributes:
        entry: the entry that says it.
        how: `declared` or the assay method.
        contents: what is said of each metal.
        gross: the weight it refers to where the line gave one (a refinery's own weight).
        ref: certificate or shipment.
    """

    entry: int
    how: str
    contents: tuple[Said, ...]
    gross: Mass | None = None
    ref: str = ""


@dataclass(frozen=True, slots=True)
class Agreed:
    """What one settlement agreed of a metal in several items of a shipment together.

    Attributes:
        entry: the settlement.
        ref: the shipment.
        metal: its symbol.
        tags: the items that it is the metal of, in the order in which they were sent.
        sayings: the shares agreed, each with the weight that it is a share of where one was given;
            what is agreed is the sum over all of them.
    """

    entry: int
    ref: str
    metal: str
    tags: tuple[str, ...]
    sayings: tuple[Saying, ...]


@dataclass(frozen=True, slots=True)
class Placing:
    """Where an item was put, and by which entry."""

    entry: int
    place: str


@dataclass(frozen=True, slots=True)
class Passage:
    """A change of state: sent, returned, sold, missing, or found again.

    Attributes:
        entry: the entry that says it.
        state: the state from then on.
        party: to whom, where it left.
        ref: the shipment, where it was sent.
    """

    entry: int
    state: State
    party: str = ""
    ref: str = ""


@dataclass(frozen=True, slots=True)
class Photo:
    """A picture of an item: the SHA-256 of its file as hexadecimal digits, and what it shows."""

    entry: int
    sha256: str
    caption: str = ""


@dataclass(slots=True)
class Item:
    """One physical thing or bag with its own tag, and all that was said of it.

    Only `Shop` changes it. Lists are in the order of the daybook and hold nothing struck.

    Attributes:
        tag, form, lot, party, terms, note: as its first line gave them; lot, party and terms
            only where it was received.
        made_by, made_on: the entry that made it, and its day.
        used_by: the work that used it up, or None.
        hold_until: the day before which it is neither worked, sent nor sold, or None.
        agreed: what settlements agreed of it and others together.
        mentions: every entry that names it, in order.
    """

    tag: str
    form: str
    made_by: int
    made_on: date
    lot: str = ""
    party: str = ""
    terms: str = ""
    note: str = ""
    used_by: int | None = None
    hold_until: date | None = None
    weighings: list[Weighing] = field(default_factory=list)
    sayings: list[Saying] = field(default_factory=list)
    agreed: list[Agreed] = field(default_factory=list)
    placings: list[Placing] = field(default_factory=list)
    passages: list[Passage] = field(default_factory=list)
    photos: list[Photo] = field(default_factory=list)
    seals: list[Sealing] = field(default_factory=list)
    mentions: list[int] = field(default_factory=list)

    @property
    def state(self) -> State:
        """The state that follows from the entries."""
        if self.used_by is not None:
            return State.USED
        return self.passages[-1].state if self.passages else State.ON_HAND

    @property
    def gross(self) -> Mass | None:
        """The last weighing; None where it was never weighed."""
        return self.weighings[-1].gross if self.weighings else None

    @property
    def gross_u(self) -> Mass | None:
        """The standard uncertainty said with the last weighing."""
        return self.weighings[-1].u if self.weighings else None

    @property
    def place(self) -> str:
        """Where it was last put; empty where nobody said."""
        return self.placings[-1].place if self.placings else ""

    @property
    def seal(self) -> str:
        """The number of the unbroken seal on it; empty where there is none."""
        last = unbroken(self.seals)
        return "" if last is None else last.number

    def is_held_on(self, day: date) -> bool:
        """Tell whether it must not yet be worked, sent or sold on a day."""
        return self.hold_until is not None and day < self.hold_until

    @property
    def is_residue(self) -> bool:
        """Whether it is what work leaves behind rather than its aim."""
        return is_residue(self.form)

    def copy(self) -> Item:
        """Give an item of its own that can go on without changing this one."""
        return Item(
            self.tag,
            self.form,
            self.made_by,
            self.made_on,
            self.lot,
            self.party,
            self.terms,
            self.note,
            self.used_by,
            self.hold_until,
            list(self.weighings),
            list(self.sayings),
            list(self.agreed),
            list(self.placings),
            list(self.passages),
            list(self.photos),
            list(self.seals),
            list(self.mentions),
        )

    def forget(self, entry: int) -> None:
        """Take back all that one entry said of this item (when that entry is struck)."""
        if self.used_by == entry:
            self.used_by = None
        self.weighings = [one for one in self.weighings if one.entry != entry]
        self.sayings = [one for one in self.sayings if one.entry != entry]
        self.agreed = [one for one in self.agreed if one.entry != entry]
        self.placings = [one for one in self.placings if one.entry != entry]
        self.passages = [one for one in self.passages if one.entry != entry]
        self.photos = [one for one in self.photos if one.entry != entry]
        self.seals = [one for one in self.seals if one.entry != entry]
        self.mentions = [one for one in self.mentions if one != entry]

    def said_of(self, metal: str) -> Iterator[tuple[Saying, Said]]:
        """Give everything that was said of one metal, in order."""
        for saying in self.sayings:
            for said in saying.contents:
                if said.metal == metal:
                    yield saying, said
