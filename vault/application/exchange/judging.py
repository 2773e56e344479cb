"""Drafts judged by the rules of the book, one after another; what follows from a fault is spared.

After a faulty entry the shop goes on as if it had been right as far as that can be told: its tags
count as given and made, its shipment as sent. So one slip gives one fault, and not one for every
later row that names the same thing. Such a shop is for judging only and is never kept.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import replace
from datetime import date
from typing import Generic, TypeVar

from vault.application.exchange.drafts import Draft
from vault.application.exchange.faults import RowFault
from vault.application.exchange.moments import Moments
from vault.core.daybook import Act, Entry, Line, Process, Role, When
from vault.core.errors import Fault
from vault.core.items import State
from vault.core.metals import BY_SYMBOL
from vault.core.rules import ROLES, faults_of
from vault.core.shop import Shop

_MAKING = frozenset({Role.IN, Role.MADE, Role.EXTRA})
# What happens to items or to places, named by their tag.
_OF_PLACES = frozenset({Act.MOVE, Act.SEAL, Act.WEIGH})
_TAKING_AWAY = frozenset({Role.USED, Role.OUT, Role.MISSING})

# A cell that cannot be read leaves its neighbour alone.
_READ_TOGETHER = {
    "gross_u_g": {"gross_g", "gross_u_g"},
    "amount": {"amount", "currency"},
}
_CONTENT_COLUMNS = frozenset(BY_SYMBOL) | {f"{symbol}_u" for symbol in BY_SYMBOL}

T = TypeVar("T")


class Judge:
    """Takes drafts in their order and tells what is wrong with them.

    Attributes:
        shop: the shop so far; true only while `faults` is empty.
        entries: the entries taken, in order.
        faults: everything that is wrong.
        already: how many entries the book held before, word for word.
    """

    def __init__(self, shop: Shop | None, moments: Moments) -> None:
        self._moments = moments
        self.shop = Shop() if shop is None else shop.copy()
        self.entries: list[Entry] = []
        self.faults: list[RowFault] = []
        self.already = 0
        self._held: Mapping[int, Entry] = {} if shop is None else shop.entries
        self._first_rows: dict[int, int] = {}
        self._mercy = _Mercy(self.shop, self._first_rows)

    def judge(self, draft: Draft) -> None:
        """Take a draft in, or tell what is wrong with it."""
        number = draft.number
        is_repeated = number in self._first_rows
        if number is not None and is_repeated:
            draft.faults.append(_repeated(draft, self._first_rows[number]))
        entry = _entry_of(draft, self.shop)
        if entry is None:
            self._mercy.excuse(draft.lines)
        elif number not in self._held or is_repeated:
            self._take_or_tell(draft, entry)
        elif not draft.faults and _say_the_same(entry, self._held[entry.number]):
            self.already += 1
        else:
            draft.faults.append(_held_otherwise(draft))
        self._mercy.excused.update(draft.lost_tags)
        self.faults += draft.faults
        if number is not None:
            self._first_rows.setdefault(number, draft.first_row)

    def _take_or_tell(self, draft: Draft, entry: Entry) -> None:
        latest = self.shop.latest
        broken = faults_of(entry, self.shop)
        if not broken:
            self._mercy.all_is_in_order()
            if not draft.faults:
                self.shop.take(entry)
                self.entries.append(entry)
                return
        unspared = [one for one in broken if not self._mercy.spares(entry, one, draft)]
        told: dict[int, set[str]] = {}
        for fault in draft.faults:
            told.setdefault(fault.row, set()).add(fault.column)
        for one in unspared:
            row = draft.first_row if one.line is None else draft.rows[one.line]
            if not _follows_from(one.column, told.get(row, set())):
                sentence = one.sentence
                if one.column == "when" and latest is not None:
                    sentence = self._out_of_order(entry, latest)
                draft.faults.append(RowFault(row, one.column, sentence))
        self._mercy.go_on_after(entry, broken)

    def _out_of_order(self, entry: Entry, latest: When) -> str:
        """Tell the two moments by the shop's clock, as the file has them."""
        return (
            f"Entry {entry.number} is dated {self._moments.to_text(entry.when)}, an entry above it "
            f"{self._moments.to_text(latest)}; put entries in the order in which things happened."
        )


class _Mercy:
    """What faulty entries leave in doubt, so that later entries are not blamed for it."""

    def __init__(self, shop: Shop, first_rows: Mapping[int, int]) -> None:
        self._shop = shop
        self._first_rows = first_rows
        # Tags (and places) that nothing made as far as could be understood.
        self.excused: set[str] = set()
        # Everything that a faulty entry named.
        self._doubtful: set[str] = set()
        self._refs: set[str] = set()
        self._numbers: _Rising[int] = _Rising(lambda one, other: one <= other)
        self._moments: _Rising[When] = _Rising(When.is_before)

    def excuse(self, lines: Sequence[Line]) -> None:
        """Take note of all that an entry names which cannot be understood at all."""
        for line in lines:
            self.excused.update(word for word in (line.tag, line.place) if word)
            self._doubtful.add(line.tag)
            self._refs.add(line.ref)

    def all_is_in_order(self) -> None:
        """Take note of an entry that came in its order."""
        self._numbers.outlier = None
        self._moments.outlier = None

    def spares(self, entry: Entry, fault: Fault, draft: Draft) -> bool:
        """Tell whether a fault only follows from one that was told before."""
        if fault.line is None:
            return self._spares_whole(entry, fault, draft)
        line = entry.lines[fault.line]
        if fault.column == "tag":
            return self._spares_tag(entry, line)
        if fault.column == "ref":
            return self._spares_ref(entry, line)
        return False

    def _spares_whole(self, entry: Entry, fault: Fault, draft: Draft) -> bool:
        if fault.column == "entry":
            told = draft.number is None or draft.number in self._first_rows
            if not told and self._numbers.spares(entry.number):
                self._shop.last_number = entry.number - 1
                return True
            return told
        if fault.column == "when":
            if self._moments.spares(entry.when):
                self._shop.latest = entry.when
                return True
            return False
        # “uses no item”, “has no lines”: not when a line was lost that may have been it.
        return fault.column in ("role", "act") and len(draft.rows) < draft.height

    def _spares_tag(self, entry: Entry, line: Line) -> bool:
        if entry.act is Act.SETTLE and line.tag in self._doubtful:
            return True
        if line.tag in self._shop.items or not line.tag:
            return False
        if line.tag in self.excused:
            return True
        self.excused.add(line.tag)
        return False

    def _spares_ref(self, entry: Entry, line: Line) -> bool:
        if entry.act is Act.STRIKE:
            number = _number_in(line.ref)
            return number in self._first_rows and number not in self._shop.entries
        if entry.act is Act.SEAL:
            return line.tag in self._doubtful
        if entry.act is Act.SETTLE and line.ref:
            known = line.ref in self._refs
            self._refs.add(line.ref)
            return known
        return False

    def go_on_after(self, entry: Entry, broken: Sequence[Fault]) -> None:
        """Let the shop go on as if a faulty entry had been right, as far as can be told."""
        self._doubtful.update(line.tag for line in entry.lines)
        if entry.act is Act.STRIKE:
            self._strike_if_possible(entry)
            return
        shop = self._shop
        too_bad = {fault.line for fault in broken if fault.column in ("gross_g", "gross_u_g")}
        misplaced = {fault.line for fault in broken if fault.column == "place"}
        kept = tuple(
            replace(
                line,
                gross=None if at in too_bad else line.gross,
                gross_u=None if at in too_bad else line.gross_u,
                place="" if at in misplaced else line.place,
            )
            for at, line in self._possible(entry)
        )
        lots = {line.lot for line in kept if line.lot not in shop.lots}
        last = max(shop.last_number, entry.number)
        if entry.number in shop.entries:
            entry = replace(entry, number=-entry.number)
        shop.take(replace(entry, lines=kept))
        shop.last_number = last
        for lot in lots:
            # Whose lot it is may be the very fault.
            shop.lots.pop(lot, None)

    def _strike_if_possible(self, entry: Entry) -> None:
        shop = self._shop
        for line in entry.lines[:1]:
            number = _number_in(line.ref)
            target = shop.entries.get(number)
            if target is None or number in shop.struck or target.act is Act.STRIKE:
                return
            if not shop.leaning_on(number):
                last = max(shop.last_number, entry.number)
                shop.take(replace(entry, lines=(Line(Role.NONE, ref=str(number)),)))
                shop.last_number = last

    def _possible(self, entry: Entry) -> Iterator[tuple[int, Line]]:
        shop = self._shop
        made: set[str] = set()
        for at, line in enumerate(entry.lines):
            item = shop.items.get(line.tag)
            if line.role not in ROLES[entry.act]:
                self.excuse([line])
            elif line.role in _MAKING:
                if line.tag and line.tag not in shop.given and line.tag not in made:
                    made.add(line.tag)
                    yield at, line
            elif item is not None:
                if line.role not in _TAKING_AWAY or item.state is State.ON_HAND:
                    yield at, line
            elif not line.tag or (entry.act in _OF_PLACES and line.tag in shop.places):
                yield at, line
            else:
                self.excused.add(line.tag)


class _Rising(Generic[T]):
    """Tells which of two values that do not rise is the slip, once the next one is known.

    After a value too low, either it or the high one before it was the slip. If the next is too
    low as well but not lower than the first, it was the high one, which was told already.
    """

    def __init__(self, is_before: Callable[[T, T], bool]) -> None:
        self.outlier: T | None = None
        self._is_before = is_before

    def spares(self, value: T) -> bool:
        """Take note of a value that is too low; tell whether an earlier one is to blame."""
        if self.outlier is not None and not self._is_before(value, self.outlier):
            self.outlier = None
            return True
        self.outlier = value
        return False


def _entry_of(draft: Draft, shop: Shop) -> Entry | None:
    """Give the entry, with stand-ins where a fault was told; None where its act is not known."""
    if draft.act is None:
        return None
    process = draft.process
    if process is None and draft.act is Act.WORK and draft.has_fault_in("process"):
        process = Process.OTHER
    return Entry(
        number=-draft.first_row if draft.number is None else draft.number,
        when=draft.when or shop.latest or When(date(2000, 1, 1)),
        by=draft.by,
        act=draft.act,
        lines=tuple(draft.lines),
        process=process,
    )


def _number_in(ref: str) -> int:
    return int(ref) if ref.isascii() and ref.isdigit() and len(ref) <= 9 else 0


def _follows_from(column: str, told: AbstractSet[str]) -> bool:
    """Tell whether a broken rule only follows from a cell of its row that could not be read."""
    if not told:
        return False
    if column == "how" or column in BY_SYMBOL:
        return not told.isdisjoint(_CONTENT_COLUMNS)
    return not told.isdisjoint(_READ_TOGETHER.get(column, {column}))


def _repeated(draft: Draft, first_row: int) -> RowFault:
    return RowFault(
        draft.first_row,
        "entry",
        f"Entry {draft.number} stands in row {first_row} already; rows of one entry follow each "
        "other, and a number is given once.",
    )


def _say_the_same(entry: Entry, held: Entry) -> bool:
    return entry == held or entry.canonical_text() == held.canonical_text()


def _held_otherwise(draft: Draft) -> RowFault:
    return RowFault(
        draft.first_row,
        "entry",
        f"Entry {draft.number} is in the book already and says something else there; what is "
        "recorded is never altered. Give a new entry a new number, and strike the old one if it "
        "was wrong.",
    )
