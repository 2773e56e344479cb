"""The shop as the daybook leaves it: a replay that refuses what cannot be true.

The same replay serves the import of a whole daybook, the recording of one entry (with just the
items that the entry names loaded into it) and the check of the book.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from copy import copy
from dataclasses import dataclass, field
from typing import TypeVar

from vault.core.daybook import Act, Entry, Line, Role, When
from vault.core.items import LEFT_THE_SHOP, Item, Passage, Photo, Placing, Saying, State, Weighing
from vault.core.scales import ScaleCheck
from vault.core.seals import Sealing, seals_after, unbroken
from vault.core.settling import agreed_in, refs_of_the_rest, settles_alone


@dataclass(slots=True)
class LotRecord:
    """Whose lot it is, on what terms, and which entries received it."""

    party: str
    terms: str
    received_by: list[int] = field(default_factory=list)


_LEAVING = {Act.SEND: State.SENT, Act.RETURN: State.RETURNED, Act.SELL: State.SOLD}
_MAKING = frozenset({Role.IN, Role.MADE, Role.EXTRA})
_SEALING = frozenset({Role.APPLIED, Role.CHECKED, Role.BROKEN})


T = TypeVar("T", Placing, Sealing, ScaleCheck)


class Shop:
    """Items, lots and containers after a run of entries.

    Attributes:
        items: every item that was made and whose making is not struck, by tag.
        given: every tag that was ever given, struck or not; a dict, since a large one is copied
            several times faster than a set.
        lots: every lot received and not struck, by name.
        containers: where containers were put, by their place name.
        seals: what was said of seals on containers, by their place name.
        scale_checks: how each scale was checked, by its name.
        entries: the entries taken, by number; struck ones too.
        places: every place that anything was ever put in.
        sent: numbers of the unstruck entries that sent under a shipment number, by that number.
        settled: the same for settlements.
        struck: number of the striking entry, by number of the struck one.
        latest: the latest moment reached, or None before the first entry.
        last_number: the highest number taken, 0 before the first entry.
    """

    def __init__(self) -> None:
        self.items: dict[str, Item] = {}
        self.given: dict[str, None] = {}
        self.lots: dict[str, LotRecord] = {}
        self.containers: dict[str, list[Placing]] = {}
        self.seals: dict[str, list[Sealing]] = {}
        self.scale_checks: dict[str, list[ScaleCheck]] = {}
        self.places: set[str] = set()
        self.sent: dict[str, list[int]] = {}
        self.settled: dict[str, list[int]] = {}
        self.entries: dict[int, Entry] = {}
        self.struck: dict[int, int] = {}
        self.latest: When | None = None
        self.last_number = 0

    def copy(self) -> Shop:
        """Give a shop of its own that can go on without changing this one."""
        other = Shop()
        other.items = {tag: item.copy() for tag, item in self.items.items()}
        other.given = dict(self.given)
        other.lots = {
            name: LotRecord(lot.party, lot.terms, list(lot.received_by))
            for name, lot in self.lots.items()
        }
        other.containers = {name: list(placings) for name, placings in self.containers.items()}
        other.seals = {name: list(sealings) for name, sealings in self.seals.items()}
        other.scale_checks = {name: list(checks) for name, checks in self.scale_checks.items()}
        other.places = set(self.places)
        other.sent = {ref: list(numbers) for ref, numbers in self.sent.items()}
        other.settled = {ref: list(numbers) for ref, numbers in self.settled.items()}
        other.entries = dict(self.entries)
        other.struck = dict(self.struck)
        other.latest = self.latest
        other.last_number = self.last_number
        return other

    def records(self) -> list[object]:
        """Give the very many records that it holds, one beside the other."""
        return [*self.items.values(), *self.entries.values(), *self.lots.values()]

    def after(self, entries: Sequence[Entry]) -> Shop:
        """Give the shop after some more entries; this one stays as it is.

        Only what the entries name is copied, so that one more entry costs little in a large book.
        """
        other = Shop()
        for name in vars(self):
            told = getattr(self, name)
            setattr(other, name, copy(told) if isinstance(told, dict | set) else told)
        for entry in entries:
            other.entries[entry.number] = entry
            strikes = entry.act is Act.STRIKE
            other._make_own(other.entries[entry.struck_number()] if strikes else entry, self)
            other.take(entry)
        return other

    def _make_own(self, entry: Entry, other: Shop) -> None:
        """Copy all that an entry changes and that still is the other shop's."""
        for ref in _refs(entry):
            for shipments in (self.sent, self.settled):
                if ref in shipments:
                    shipments[ref] = list(shipments[ref])
        self._make_own_items(entry, other)
        for line in entry.lines:
            lot = self.lots.get(line.lot)
            if lot is not None:
                self.lots[line.lot] = LotRecord(lot.party, lot.terms, list(lot.received_by))
            if line.tag in self.containers:
                self.containers[line.tag] = list(self.containers[line.tag])
            if line.tag in self.seals:
                self.seals[line.tag] = list(self.seals[line.tag])
            if line.scale in self.scale_checks:
                self.scale_checks[line.scale] = list(self.scale_checks[line.scale])

    def _make_own_items(self, entry: Entry, other: Shop) -> None:
        rest = [tag for ref in refs_of_the_rest(entry) for tag in self.shipment(ref)]
        for tag in {*rest, *(line.tag for line in entry.lines)}:
            item = self.items.get(tag)
            if item is not None and item is other.items.get(tag):
                self.items[tag] = item.copy()

    def take(self, entry: Entry) -> None:
        """Take in an entry that is known to keep the rules."""
        self.entries[entry.number] = entry
        self.last_number = entry.number
        self.latest = later(self.latest, entry.when)
        if entry.act is Act.STRIKE:
            self._strike(entry)
            return
        self._take_shipments(entry)
        for line in entry.lines:
            if line.place:
                self.places.add(line.place)
            if line.role in _MAKING:
                self._make(entry, line)
            elif line.tag:
                self._mention(entry, line)
            elif entry.act is Act.SCALE_CHECK:
                self._check_scale(entry, line)

    def _take_shipments(self, entry: Entry) -> None:
        for agreed in agreed_in(entry, self):
            for item in self._known(agreed.tags):
                item.agreed.append(agreed)
        shipments = self._shipments_of(entry.act)
        if shipments is not None:
            for ref in _refs(entry):
                shipments.setdefault(ref, []).append(entry.number)

    def leaning_on(self, number: int) -> list[int]:
        """List the unstruck entries that lean on an entry, in order.

        An entry leans on another when it names an item that the other made or found again,
        settles what the other sent, agrees on the rest of a shipment of which the other settled
        single items, looks at a seal that the other applied, or does what a seal forbade until
        the other broke it.
        """
        entry = self.entries[number]
        leaning: set[int] = set()
        for line in entry.lines:
            item = self.items.get(line.tag)
            if line.role in _SEALING:
                leaning.update(self._leaning_on_seal(line, number))
            if item is None:
                continue
            if line.role in _MAKING or _was_found_again(item, number):
                leaning.update(one for one in item.mentions if one > number)
            elif entry.act is Act.SEND:
                leaning.update(one.entry for one in item.sayings if one.entry > number)
        if entry.act is Act.SEND:
            for ref in _refs(entry):
                leaning.update(self.settled.get(ref, ()))
        for ref in _refs(entry):
            if settles_alone(entry, ref):
                leaning.update(self._rest_settled(ref, number))
        return sorted(leaning)

    def shipment(self, ref: str) -> tuple[str, ...]:
        """Give the tags of what was sent under a shipment's number, in order."""
        return tuple(
            line.tag
            for number in self.sent.get(ref, ())
            for line in self.entries[number].lines
            if line.tag and line.ref == ref
        )

    def place_of(self, item: Item) -> tuple[str, ...]:
        """Give where an item lies, innermost place first, through all containers."""
        return self.places_around(item.place)

    def places_around(self, place: str) -> tuple[str, ...]:
        """Give a place and the places it lies in, innermost first."""
        path: list[str] = []
        while place and place not in path:
            path.append(place)
            placings = self.containers.get(place)
            place = placings[-1].place if placings else ""
        return tuple(path)

    def seal_on(self, name: str) -> Sealing | None:
        """Give what was last said of the unbroken seal on an item or a container; None without."""
        item = self.items.get(name)
        return unbroken(self.seals.get(name, ()) if item is None else item.seals)

    def sealed_around(self, place: str) -> tuple[str, ...]:
        """Give the sealed ones among a place and the places it lies in, innermost first."""
        if not self.seals:
            return ()
        return tuple(one for one in self.places_around(place) if unbroken(self.seals.get(one, ())))

    def lying_in(self, container: str) -> set[str]:
        """Give the tags of all items on hand that lie in a container, through any depth."""
        return {
            tag
            for tag, item in self.items.items()
            if item.state is State.ON_HAND and container in self.places_around(item.place)
        }

    def _known(self, tags: Iterable[str]) -> list[Item]:
        return [self.items[tag] for tag in tags if tag in self.items]

    def _rest_settled(self, ref: str, since: int) -> list[int]:
        later = (number for number in self.settled.get(ref, ()) if number > since)
        return [number for number in later if ref in refs_of_the_rest(self.entries[number])]

    def _leaning_on_seal(self, line: Line, number: int) -> list[int]:
        item = self.items.get(line.tag)
        leaning = seals_after(self.seals.get(line.tag, ()) if item is None else item.seals, number)
        if line.role is Role.BROKEN and item is None:
            leaning += self._went_through(line.tag, number)
        elif line.role is Role.BROKEN and item is not None and (item.used_by or 0) > number:
            leaning.append(item.used_by or 0)
        return leaning

    def _went_through(self, container: str, since: int) -> Iterator[int]:
        """Give the later entries that put something into a container or took something out."""
        for item in self.items.values():
            yield from self._passed(item.placings, container, since)
            if container in self.places_around(item.place):
                left = (one.entry for one in item.passages if one.state in LEFT_THE_SHOP)
                yield from (one for one in (item.used_by or 0, *left) if one > since)
        for placings in self.containers.values():
            yield from self._passed(placings, container, since)

    def _passed(self, placings: list[Placing], container: str, since: int) -> Iterator[int]:
        before = ""
        for one in placings:
            if one.entry > since and one.place != before:
                around = (*self.places_around(before), *self.places_around(one.place))
                if container in around:
                    yield one.entry
            before = one.place

    def _shipments_of(self, act: Act) -> dict[str, list[int]] | None:
        return {Act.SEND: self.sent, Act.SETTLE: self.settled}.get(act)

    def _make(self, entry: Entry, line: Line) -> None:
        item = Item(
            tag=line.tag,
            form=line.form,
            made_by=entry.number,
            made_on=entry.when.day,
            lot=line.lot,
            party=line.party,
            terms=line.terms,
            note=line.note,
            hold_until=line.hold_until,
        )
        self.items[line.tag] = item
        self.given[line.tag] = None
        if entry.act is Act.RECEIVE:
            lot = self.lots.setdefault(line.lot, LotRecord(line.party, line.terms))
            if entry.number not in lot.received_by:
                lot.received_by.append(entry.number)
        _tell(item, entry, line)

    def _mention(self, entry: Entry, line: Line) -> None:
        item = self.items.get(line.tag)
        if item is None:
            # What is moved and is no item is a container, named by its place.
            if entry.act is Act.MOVE:
                self.containers.setdefault(line.tag, []).append(Placing(entry.number, line.place))
            elif entry.act is Act.SEAL:
                self.seals.setdefault(line.tag, []).append(_sealing(entry, line))
            return
        number = entry.number
        if entry.act is Act.PHOTO:
            item.photos.append(Photo(number, line.ref, line.note))
        elif entry.act is Act.SEAL:
            item.seals.append(_sealing(entry, line))
        if line.role is Role.USED:
            item.used_by = number
        elif line.role is Role.OUT:
            state = _LEAVING[entry.act]
            item.passages.append(Passage(number, state, line.party, line.ref))
        elif line.role is Role.MISSING:
            item.passages.append(Passage(number, State.MISSING))
        elif entry.act is Act.COUNT and item.state is State.MISSING:
            item.passages.append(Passage(number, State.ON_HAND))
        _tell(item, entry, line)

    def _check_scale(self, entry: Entry, line: Line) -> None:
        if line.nominal is not None and line.gross is not None:
            check = ScaleCheck(entry.number, entry.when.day, line.nominal, line.gross)
            self.scale_checks.setdefault(line.scale, []).append(check)

    def _strike(self, entry: Entry) -> None:
        number = entry.struck_number()
        self.struck[number] = entry.number
        target = self.entries[number]
        shipments = self._shipments_of(target.act)
        if shipments is not None:
            for ref in _refs(target):
                shipments[ref].remove(number)
        for ref in refs_of_the_rest(target):
            for item in self._known(self.shipment(ref)):
                item.forget(number)
        for line in target.lines:
            if line.role in _MAKING:
                self.items.pop(line.tag, None)
                self._forget_receipt(line.lot, number)
            elif line.tag in self.items:
                self.items[line.tag].forget(number)
            else:
                _forget_one(self.containers, line.tag, number)
                _forget_one(self.seals, line.tag, number)
                _forget_one(self.scale_checks, line.scale, number)

    def _forget_receipt(self, lot_name: str, number: int) -> None:
        lot = self.lots.get(lot_name)
        if lot is not None and number in lot.received_by:
            lot.received_by.remove(number)
            if not lot.received_by:
                del self.lots[lot_name]


def _tell(item: Item, entry: Entry, line: Line) -> None:
    """Add what a line says of its item: a weight, contents, a place."""
    number = entry.number
    item.mentions.append(number)
    settles = entry.act is Act.SETTLE
    if line.gross is not None and not settles and line.role is not Role.USED:
        item.weighings.append(Weighing(number, line.gross, line.gross_u, line.scale))
    if line.contents:
        gross = line.gross if settles or entry.act is Act.ASSAY else None
        item.sayings.append(Saying(number, line.how or "declared", line.contents, gross, line.ref))
    if line.place:
        item.placings.append(Placing(number, line.place))


def _sealing(entry: Entry, line: Line) -> Sealing:
    return Sealing(entry.number, line.role, line.ref, line.witness)


def _forget_one(told: dict[str, list[T]], name: str, number: int) -> None:
    if name in told:
        told[name] = [one for one in told[name] if one.entry != number]


def _was_found_again(item: Item, number: int) -> bool:
    return any(one.entry == number and one.state is State.ON_HAND for one in item.passages)


def _refs(entry: Entry) -> set[str]:
    return {line.ref for line in entry.lines if line.ref}


def later(reached: When | None, when: When) -> When:
    """Give the later of two moments; a bare day does not forget the time reached on it."""
    if reached is None or reached.day < when.day:
        return when
    if when.at is None or reached.day > when.day:
        return reached
    return when if reached.at is None or reached.at < when.at else reached
