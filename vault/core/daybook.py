"""The daybook: entries, their lines, their canonical text, and the chain that seals them.

An entry is one thing that somebody recorded; its lines are what it says about single items.
Entries are never altered. Two chains run through them:

- the *chain* seals the facts of each entry together with all before it. It holds nothing but
  facts, so a daybook written out and read in again has the same chain, and a head printed on
  paper years ago can still be found in it;
- the *seal* adds when each entry was recorded and under which key.

Leaf and node hashes are those of RFC 6962, section 2.1: SHA-256(00 ‖ text) and
SHA-256(01 ‖ left ‖ right); the empty book has the head SHA-256("").
"""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from datetime import UTC, date, datetime
from enum import Enum
from functools import cached_property
from operator import attrgetter

from vault.core.fineness import Fineness
from vault.core.masses import Mass
from vault.core.money import Money

# A year outside these is a slip of the pen; inside them no time zone overflows the calendar.
FIRST_YEAR = 1900
LAST_YEAR = 2199

_canonical = json.JSONEncoder(ensure_ascii=False, sort_keys=True, separators=(",", ":")).encode

EMPTY_HEAD = hashlib.sha256(b"").digest()


class Act(Enum):
    """What kind of thing was recorded."""

    RECEIVE = "receive"
    WORK = "work"
    ASSAY = "assay"
    WEIGH = "weigh"
    MOVE = "move"
    SEND = "send"
    SETTLE = "settle"
    RETURN = "return"
    SELL = "sell"
    COUNT = "count"
    PRICE = "price"
    PHOTO = "photo"
    SEAL = "seal"
    SCALE_CHECK = "scale check"
    STRIKE = "strike"


class Role(Enum):
    """What a line's item is to its entry."""

    IN = "in"
    USED = "used"
    ADDED = "added"
    MADE = "made"
    OF = "of"
    OUT = "out"
    LINE = "line"
    MISSING = "missing"
    EXTRA = "extra"
    APPLIED = "applied"
    CHECKED = "checked"
    BROKEN = "broken"
    NONE = ""


class Process(Enum):
    """What was done to the items of a work."""

    SORT = "sort"
    DIVIDE = "divide"
    BURN_OFF = "burn off"
    SMELT = "smelt"
    CUPEL = "cupel"
    REMELT = "remelt"
    POUR = "pour"
    CRUSH = "crush"
    BLEND = "blend"
    SAMPLE = "sample"
    OTHER = "other"


class Terms(Enum):
    """On whose account a lot was received."""

    TOLL = "toll"
    BOUGHT = "bought"
    OWN = "own"


@dataclass(frozen=True, slots=True, order=True)
class When:
    """When something happened: a day of the shop, and the instant if the time was noted.

    Attributes:
        day: the day as the shop's own calendar has it.
        at: the instant in UTC, or None where only the day is known.
    """

    day: date
    at: datetime | None = None

    def is_before(self, other: When) -> bool:
        """Tell whether this certainly came before the other; a bare day is never out of order."""
        if self.day != other.day:
            return self.day < other.day
        return self.at is not None and other.at is not None and self.at < other.at

    def to_text(self) -> str:
        """Give the canonical form: the bare day, or the instant in UTC ending in Z."""
        if self.at is None:
            return self.day.isoformat()
        return (
            f"{self.day.isoformat()} {self.at.astimezone(UTC).isoformat().replace('+00:00', 'Z')}"
        )


@dataclass(frozen=True, slots=True)
class Said:
    """What a line says of one metal in its item.

    Attributes:
        metal: its symbol.
        fineness: the share by mass.
        u: one standard uncertainty of the fineness, or None where nothing was said.
    """

    metal: str
    fineness: Fineness
    u: Fineness | None = None


@dataclass(frozen=True, slots=True)
class Line:
    """One line of an entry; what does not apply is empty or None.

    Attributes:
        role: what the item is to the entry.
        tag: the item's tag; for a moved container its place name.
        form: the item's form; for an added thing what it is.
        lot, party, terms, place: as in the daybook's columns of those names.
        gross: weight on the scale, None where not weighed.
        gross_u: one standard uncertainty of the weight, None where nothing was said.
        contents: what is said of each metal, at most once per metal.
        how: `declared` or the assay method, where contents are said.
        ref: certificate, shipment, struck entry, the metal of a price, the number of a seal, or the
            SHA-256 of a picture's file.
        money: amount of a settled line, or price for one gram.
        note: anything.
        tare: what the bag or vessel weighed; `gross` is without it.
        nominal: the mass of the test weight that a scale was checked with.
        hold_until: the day before which a received item is neither worked, sent nor sold.
        scale: name of the scale that a weight was read on; empty where it was typed by hand.
        witness: a second person who saw it.
        furnace: temperature, time and the like, in words.
    """

    role: Role
    tag: str = ""
    form: str = ""
    lot: str = ""
    party: str = ""
    terms: str = ""
    place: str = ""
    gross: Mass | None = None
    gross_u: Mass | None = None
    contents: tuple[Said, ...] = ()
    how: str = ""
    ref: str = ""
    money: Money | None = None
    note: str = ""
    tare: Mass | None = None
    nominal: Mass | None = None
    hold_until: date | None = None
    scale: str = ""
    witness: str = ""
    furnace: str = ""

    def facts(self) -> dict[str, object]:
        """Give what the line says, empty things left out, in whole smallest units."""
        said: dict[str, object] = {"role": self.role.value}
        said |= {name: word for name, word in zip(WORDS, words_of(self), strict=True) if word}
        if self.gross is not None:
            said["gross_ug"] = self.gross.micrograms
        if self.gross_u is not None:
            said["gross_u_ug"] = self.gross_u.micrograms
        if self.tare is not None:
            said["tare_ug"] = self.tare.micrograms
        if self.nominal is not None:
            said["nominal_ug"] = self.nominal.micrograms
        if self.hold_until is not None:
            said["hold_until"] = self.hold_until.isoformat()
        if self.contents:
            said["contents_ppb"] = {
                one.metal: [one.fineness.ppb, None if one.u is None else one.u.ppb]
                for one in self.contents
            }
        if self.money is not None:
            said["money_millionths"] = [self.money.millionths, self.money.currency]
        return said


# The columns of a line that hold words, and all of them picked from a line at once.
WORDS = (
    "tag", "form", "lot", "party", "terms", "place", "how", "ref", "note",
    "scale", "witness", "furnace",
)  # fmt: skip
words_of = attrgetter(*WORDS)


@dataclass(frozen=True)
class Entry:
    """One thing that somebody recorded.

    Attributes:
        number: its place in the daybook, from 1 upwards; numbers rise and may leave gaps.
        when: when it happened.
        by: who recorded it.
        act: what kind of thing it is.
        process: what was done, for a work; None otherwise.
        lines: what it says of single items; never empty.
    """

    number: int
    when: When
    by: str
    act: Act
    lines: tuple[Line, ...]
    process: Process | None = None

    def canonical_text(self) -> str:
        """Give the one text that stands for the facts of this entry, byte for byte.

        JSON with sorted keys and no spaces, whole numbers and words only.
        """
        facts: dict[str, object] = {
            "act": self.act.value,
            "by": self.by,
            "lines": [line.facts() for line in self.lines],
            "number": self.number,
            "when": self.when.to_text(),
        }
        if self.process is not None:
            facts["process"] = self.process.value
        return _canonical(facts)

    @cached_property
    def leaf(self) -> bytes:
        """The hash of this entry's own canonical text."""
        return leaf_of(self.canonical_text())

    def struck_number(self) -> int:
        """Give the number of the entry that a strike strikes."""
        return int(self.lines[0].ref)


@dataclass(frozen=True, slots=True)
class Recorded:
    """An entry as the book keeps it.

    Attributes:
        entry: the facts.
        recorded_at: when it was recorded, UTC.
        key: the action's own key; a retry with the same key is recorded once.
        head: the chain up to and with this entry.
        seal: the seal up to and with this entry.
        struck_by: number of the entry that struck it, or None.
    """

    entry: Entry
    recorded_at: datetime
    key: str
    head: bytes
    seal: bytes
    struck_by: int | None = None


def leaf_of(text: str) -> bytes:
    """Hash a text as a leaf (RFC 6962, section 2.1)."""
    return hashlib.sha256(b"\x00" + text.encode()).digest()


def node_of(left: bytes, right: bytes) -> bytes:
    """Hash two hashes as a node (RFC 6962, section 2.1)."""
    return hashlib.sha256(b"\x01" + left + right).digest()


def seal_text(recorded_at: datetime, key: str) -> str:
    """Give the text by which the seal covers when and under which key an entry was recorded."""
    return f"{recorded_at.astimezone(UTC).isoformat()} {key}"


def next_seal(seal: bytes, head: bytes, recorded_at: datetime, key: str) -> bytes:
    """Give the seal after one more entry, from the seal before and that entry's head."""
    return node_of(seal, node_of(head, leaf_of(seal_text(recorded_at, key))))
