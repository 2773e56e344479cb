"""A shop that does everything at random and keeps the rules: entries of every act, odd words."""

from __future__ import annotations

import random
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from typing import TypeVar
from zoneinfo import ZoneInfo

from vault.core.daybook import Act, Entry, Line, Process, Role, Said, When
from vault.core.fineness import Fineness
from vault.core.forms import PRODUCT_FORMS, RESIDUE_FORMS
from vault.core.items import State
from vault.core.knowledge import METHODS
from vault.core.masses import Mass
from vault.core.metals import ALL_SYMBOLS
from vault.core.money import Money
from vault.core.rules import faults_of
from vault.core.shop import Shop

T = TypeVar("T")

ZONE = ZoneInfo("Europe/Berlin")
PARTIES = ("Pennant Bench School", "Møller & Søn, ltd", "'t Hoekje", "陳記", "a|b;c", "Q\u200dR")
SCALES = ("bench scale", "µ-balance")
PLACES = ("bench", "tray", "safe", "drum C", "drum D", 'tub "2"')
NOTES = (
    "",
    "",
    "dull red, lid on",
    "=1+1",
    "-",
    "+49 or @home",
    "'",
    "'=quoted",
    "''twice",
    'he said "no"',
    "two\nlines",
    'ends in a quote"',
    "\uff1dwide",
    "µ ‰ ±",
    "1,5;2",
)


class RandomShop:
    """Records one random entry after another, each as the rules allow.

    Attributes:
        shop: where it stands.
        entries: all that was recorded.
    """

    def __init__(self, seed: int, zone: ZoneInfo = ZONE) -> None:
        self.shop = Shop()
        self.entries: list[Entry] = []
        self._chance = random.Random(seed)
        self._zone = zone
        self._now = datetime(2031, 1, 1, 7, 0, tzinfo=UTC)
        self._tags = 0
        self._lots = 0
        self._shipments = 0

    def go_on(self, entries: int) -> None:
        """Record so many more entries."""
        wanted = len(self.entries) + entries
        while len(self.entries) < wanted:
            entry = self._attempt()
            if entry is not None and not faults_of(entry, self.shop):
                self.shop.take(entry)
                self.entries.append(entry)

    def _attempt(self) -> Entry | None:
        act = self._chance.choice(tuple(Act))
        weights = 4 if act is Act.RECEIVE else 1
        lines = self._lines[act](self) if self._chance.random() < weights else ()
        if not lines:
            return None
        self._now += timedelta(microseconds=self._chance.choice((0, 10**6, 6 * 10**7, 10**11)))
        process = self._chance.choice(tuple(Process)) if act is Act.WORK else None
        number = self.shop.last_number + self._chance.choice((1, 1, 1, 5))
        return Entry(
            number, self._when(), self._chance.choice(("Imke", "Ole B.")), act, lines, process
        )

    def _when(self) -> When:
        day = self._now.astimezone(self._zone).date()
        return When(day, self._now if self._chance.random() < 0.7 else None)

    # What each act says ------------------------------------------------------------------------

    def _receive(self) -> tuple[Line, ...]:
        self._lots += 1
        terms = self._chance.choice(("toll", "bought", "own"))
        party = "" if terms == "own" else self._chance.choice(PARTIES)
        lot = f"L-{self._lots}"
        return tuple(
            self._made(Role.IN, lot=lot, party=party, terms=terms)
            for _ in range(self._chance.randint(1, 3))
        )

    def _work(self) -> tuple[Line, ...]:
        tags = self._on_hand(self._chance.randint(1, 3))
        added = [
            Line(
                Role.ADDED,
                form=self._chance.choice(("lead", "borax, anhydrous", "new cupel")),
                gross=self._maybe(self._mass),
                contents=said,
                how="declared" if said else "",
            )
            for said in (self._said(0.3) for _ in range(self._chance.randint(0, 2)))
        ]
        furnace = self._chance.choice(("", "965 °C, 85 min"))
        made = [self._made(Role.MADE) for _ in range(self._chance.randint(1, 3))]
        return (
            *(Line(Role.USED, tag=tag, note=self._note(), furnace=furnace) for tag in tags),
            *added,
            *made,
        )

    def _assay(self) -> tuple[Line, ...]:
        said = self._said(1.0)
        if not said or not self.shop.items:
            return ()
        tag = self._chance.choice(tuple(self.shop.items))
        how = self._chance.choice(METHODS)
        return (Line(Role.OF, tag=tag, contents=said, how=how, ref=f"F-{self._tags}"),)

    def _weigh(self) -> tuple[Line, ...]:
        # A container is weighed by its place name, with all that lies in it.
        places = self._chance.sample(sorted(self.shop.places), 1 if self.shop.places else 0)
        return tuple(
            Line(
                Role.OF,
                tag=tag,
                gross=self._mass(),
                gross_u=self._maybe(self._mass),
                scale=self._chance.choice(("", *SCALES)),
                witness=self._chance.choice(("", "Ole B.")),
                tare=self._maybe(self._mass),
            )
            for tag in (self._on_hand(1) if self._chance.random() < 0.8 else places)
        )

    def _move(self) -> tuple[Line, ...]:
        where = self._chance.choice(PLACES)
        if self.shop.places and self._chance.random() < 0.2:
            what = [self._chance.choice(sorted(self.shop.places))]
        else:
            what = self._on_hand(2)
        return tuple(Line(Role.OF, tag=tag, place=where) for tag in what)

    def _send(self) -> tuple[Line, ...]:
        self._shipments += 1
        return self._out("by the kilo", f"V-{self._shipments}")

    def _return(self) -> tuple[Line, ...]:
        return self._out("", "")

    def _out(self, terms: str, ref: str) -> tuple[Line, ...]:
        party = self._chance.choice(PARTIES)
        return tuple(
            Line(Role.OUT, tag=tag, party=party, terms=terms, ref=ref, note=self._note())
            for tag in self._on_hand(2)
        )

    def _settle(self) -> tuple[Line, ...]:
        sent = [
            (tag, item.passages[-1].ref)
            for tag, item in self.shop.items.items()
            if item.state is State.SENT and item.passages[-1].ref
        ]
        if not sent:
            return ()
        tag, ref = self._chance.choice(sent)
        cents = self._chance.randint(-10_000, 10_000)
        said, rest = self._said(1.0), self._said(0.4)
        line = Line(Role.LINE, tag=tag, ref=ref, contents=said, how="settlement" if said else "")
        whole = Line(
            Role.LINE, ref=ref, gross=self._maybe(self._mass), contents=rest, how="settlement"
        )
        lines = [*([line] if self._chance.random() < 0.7 else []), *([whole] if rest else [])]
        money = Line(Role.LINE, ref=ref, money=Money(cents * 10_000, "EUR"), note=self._note())
        return (*lines, money)

    def _count(self) -> tuple[Line, ...]:
        found, missing = self._on_hand(1), self._on_hand(2)[1:]
        lines = [Line(Role.OF, tag=tag, gross=self._maybe(self._mass)) for tag in found]
        lines += [Line(Role.MISSING, tag=tag) for tag in missing if tag not in found]
        for tag, item in self.shop.items.items():
            if item.state is State.MISSING and self._chance.random() < 0.3:
                lines.append(Line(Role.OF, tag=tag))
        if self._chance.random() < 0.3:
            lines.append(self._made(Role.EXTRA))
        return tuple(lines)

    def _price(self) -> tuple[Line, ...]:
        metal = self._chance.choice(ALL_SYMBOLS)
        price = Money(self._chance.randint(1, 10**9), "EUR")
        return (Line(Role.LINE, ref=metal, money=price, note=self._note()),)

    def _strike(self) -> tuple[Line, ...]:
        if not self.entries:
            return ()
        target = self._chance.choice(self.entries[-8:])
        return (Line(Role.NONE, ref=str(target.number), note=self._note() or "a slip"),)

    def _photo(self) -> tuple[Line, ...]:
        if not self.shop.items:
            return ()
        tags = self._chance.choices(tuple(self.shop.items), k=self._chance.randint(1, 2))
        return tuple(
            Line(Role.OF, tag=tag, ref=f"{self._chance.getrandbits(256):064x}", note=self._note())
            for tag in tags
        )

    def _seal(self) -> tuple[Line, ...]:
        names = [*self._on_hand(2), *sorted(self.shop.places)]
        if not names:
            return ()
        name = self._chance.choice(names)
        on_it = self.shop.seal_on(name)
        role = self._chance.choice((Role.CHECKED, Role.BROKEN, Role.BROKEN))
        if on_it is None:
            role = Role.APPLIED
        number = f"{len(self.entries):06d}" if on_it is None else on_it.number
        return (Line(role, tag=name, ref=number, witness=self._chance.choice(("", "Ole B."))),)

    def _scale_check(self) -> tuple[Line, ...]:
        return tuple(
            Line(Role.LINE, scale=scale, nominal=Mass(nominal), gross=self._mass())
            for scale in self._chance.sample(SCALES, self._chance.randint(1, 2))
            for nominal in (200_000_000, 20_000_000)
        )

    _lines: dict[Act, Callable[[RandomShop], tuple[Line, ...]]] = {  # noqa: RUF012 -- read only
        Act.RECEIVE: _receive,
        Act.WORK: _work,
        Act.ASSAY: _assay,
        Act.WEIGH: _weigh,
        Act.MOVE: _move,
        Act.SEND: _send,
        Act.SETTLE: _settle,
        Act.RETURN: _return,
        Act.SELL: _return,
        Act.COUNT: _count,
        Act.PRICE: _price,
        Act.PHOTO: _photo,
        Act.SEAL: _seal,
        Act.SCALE_CHECK: _scale_check,
        Act.STRIKE: _strike,
    }

    # Its parts ---------------------------------------------------------------------------------

    def _made(self, role: Role, *, lot: str = "", party: str = "", terms: str = "") -> Line:
        self._tags += 1
        said = self._said(0.4)
        gross = self._maybe(self._mass)
        return Line(
            role,
            tag=f"{self._chance.choice('RKSBé')}-{self._tags:04d}",
            form=self._chance.choice(PRODUCT_FORMS + RESIDUE_FORMS),
            lot=lot,
            party=party,
            terms=terms,
            place=self._chance.choice(("", *PLACES)),
            gross=gross,
            gross_u=None if gross is None else self._maybe(self._mass),
            contents=said,
            how="declared" if said else "",
            note=self._note(),
            hold_until=self._hold() if role is Role.IN else None,
        )

    def _hold(self) -> date | None:
        if self._chance.random() < 0.8:
            return None
        return self._now.astimezone(self._zone).date() + timedelta(days=self._chance.randint(0, 9))

    def _on_hand(self, most: int) -> list[str]:
        tags = [tag for tag, item in self.shop.items.items() if item.state is State.ON_HAND]
        return self._chance.sample(tags, min(most, len(tags)))

    def _mass(self) -> Mass:
        return Mass(self._chance.choice((1, 10**3, 10**6, 10**8)) * self._chance.randint(1, 9_999))

    def _said(self, likely: float) -> tuple[Said, ...]:
        if self._chance.random() > likely:
            return ()
        metals = sorted(self._chance.sample(range(len(ALL_SYMBOLS)), self._chance.randint(1, 2)))
        return tuple(
            Said(
                ALL_SYMBOLS[at],
                Fineness(self._chance.randint(0, 500_000_000)),
                self._maybe(lambda: Fineness(self._chance.randint(0, 10_000_000))),
            )
            for at in metals
        )

    def _note(self) -> str:
        return self._chance.choice(NOTES)

    def _maybe(self, make: Callable[[], T]) -> T | None:
        return make() if self._chance.random() < 0.7 else None
