"""The reckoner: the contents of a whole book, kept ready to take in one more fact.

Lots that never met share nothing but the house factors. So a new fact is met by solving anew only
the families it touches; all other families merely shift with the factors. The outcome is, bit for
bit, that of a reckoning from scratch.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from functools import partial

import numpy as np

from vault.core.flow import Flow, Work
from vault.core.items import Item
from vault.core.metals import ALL_SYMBOLS
from vault.core.turns import in_turns
from vault.reckoning.contents import Contents, MetalBalance
from vault.reckoning.diagnosis import diagnose
from vault.reckoning.facts import Facts, facts_of
from vault.reckoning.families import solve_metals
from vault.reckoning.guesses import DEFAULT, Guesses
from vault.reckoning.metal_book import MetalBook
from vault.reckoning.one_thread import one_thread
from vault.reckoning.regions import families_of
from vault.reckoning.shortfalls import Shortfall, reweighed_lighter, unclosed_works
from vault.reckoning.slots import Slots
from vault.reckoning.weights import weights_of
from vault.reckoning.wholes import Weightless, weightless_wholes

Progress = Callable[[int, int], None]
Stopped = Callable[[], bool]


class ReckoningStopped(Exception):
    """Somebody asked the reckoning to stop; what was known before still stands."""


@dataclass(slots=True)
class _Ticker:
    """Tells how far a reckoning is, and ends it where somebody asks."""

    progress: Progress | None
    stopped: Stopped | None
    done: int = 0
    whole: int = 1

    def __call__(self) -> None:
        if self.stopped is not None and self.stopped():
            raise ReckoningStopped
        self.done = min(self.done + 1, self.whole)
        if self.progress is not None:
            self.progress(self.done, self.whole)


def reckon(
    flow: Flow,
    *,
    guesses: Guesses = DEFAULT,
    progress: Progress | None = None,
    stopped: Stopped | None = None,
) -> Contents:
    """Work out what every item of a flow holds.

    Args:
        flow: all items and works.
        guesses: first guesses and what the owner has set.
        progress: called with pieces done and all pieces, from time to time.
        stopped: asked from time to time; when it says yes, the reckoning ends.

    Raises:
        ReckoningStopped: when `stopped` said yes.
    """
    return Reckoner(guesses).begin(flow, progress=progress, stopped=stopped)


@dataclass(slots=True)
class _Standing:
    """All that a reckoner knows, replaced only as a whole."""

    slots: Slots = field(default_factory=Slots)
    metals: dict[str, MetalBook] = field(default_factory=dict)
    components: dict[int, tuple[str, ...]] = field(default_factory=dict)
    component_of: dict[str, int] = field(default_factory=dict)
    next_component: int = 0
    shortfalls: dict[str, list[Shortfall | Weightless]] = field(default_factory=dict)


class Reckoner:
    """Works out contents, and works out anew only what a change touches."""

    def __init__(self, guesses: Guesses = DEFAULT) -> None:
        self.guesses = guesses
        self._standing = _Standing()

    def begin(
        self, flow: Flow, *, progress: Progress | None = None, stopped: Stopped | None = None
    ) -> Contents:
        """Work out everything from scratch and keep it for updates."""
        ticker = _Ticker(progress, stopped, whole=8 + len(flow.items) // 800)
        standing = _Standing()
        standing.slots.add(flow.items)
        self._take(standing, flow.items.values(), flow.works.values(), ticker)
        self._standing = standing
        return self._contents(ticker)

    def update(
        self, flow: Flow, touched: Iterable[str], *, stopped: Stopped | None = None
    ) -> Contents:
        """Take in what changed: `touched` are the tags that new or struck entries name.

        Items that the flow no longer has (their making was struck) fall away. Everything in the
        families of the touched items is worked out anew, and whatever leans on the house factors
        shifts with them.
        """
        standing = self._standing
        named = set(touched)
        gone = named | {
            tag
            for one in named
            if one in standing.component_of
            for tag in standing.components[standing.component_of[one]]
        }
        reach = _reach(flow, gone)
        for tag in gone | reach:
            component = standing.component_of.pop(tag, None)
            if component is not None:
                standing.components.pop(component, None)
        for tag in gone | reach:
            standing.shortfalls.pop(tag, None)
        standing.slots.add(_in_order_of_making(flow, reach, standing.slots))
        leaving = standing.slots.of(tag for tag in gone | reach if tag in standing.slots)
        for book in standing.metals.values():
            book.forget(leaving)
        standing.slots.forget(tag for tag in gone if tag not in flow.items)
        items = sorted(
            (flow.items[tag] for tag in reach),
            key=lambda item: (item.made_by, standing.slots.slot_of[item.tag]),
        )
        works = {work.number: work for item in items for work in _works_at(flow, item)}
        ticker = _Ticker(None, stopped)
        self._take(standing, items, [works[number] for number in sorted(works)], ticker)
        return self._contents(ticker)

    def family_of(self, tags: Iterable[str]) -> set[str]:
        """Give all items that hang together with these, as far as they are known."""
        standing = self._standing
        names = {standing.component_of[tag] for tag in tags if tag in standing.component_of}
        return {tag for name in names for tag in standing.components[name]}

    def records(self) -> list[object]:
        """Give the very many records that it holds, one beside the other."""
        standing = self._standing
        families = [one for book in standing.metals.values() for one in book.families.values()]
        return [*families, *standing.components.values()]

    def _take(
        self, standing: _Standing, items: Iterable[Item], works: Iterable[Work], ticker: _Ticker
    ) -> None:
        """Solve whole components and put them among what is known."""
        ticker()
        listed = list(items)
        facts = facts_of(listed, works, self.guesses)
        ticker()
        weights = weights_of(facts)
        short: list[Shortfall | Weightless] = [*reweighed_lighter(listed)]
        short += [*unclosed_works(facts, weights), *weightless_wholes(facts, weights)]
        for one in short:
            standing.shortfalls.setdefault(one.tags[0], []).append(one)
        slots = standing.slots.of(facts.tags)
        standing.slots.weigh(slots, weights)
        _take_components(standing, facts)
        with one_thread():
            for solved in solve_metals(facts, weights, self.guesses, ticker):
                book = standing.metals.get(solved.metal)
                if book is None:
                    book = standing.metals[solved.metal] = MetalBook(solved.metal)
                book.take(solved, slots)

    def _contents(self, ticker: _Ticker) -> Contents:
        standing = self._standing
        slots = standing.slots
        count = len(slots)
        short = sorted(
            (one for some in standing.shortfalls.values() for one in some),
            key=lambda one: (one.entries, one.tags),
        )
        balances: dict[str, MetalBalance] = {}
        with one_thread():
            tests = sum(book.tests for book in standing.metals.values())
            for metal in ALL_SYMBOLS:
                if metal in standing.metals and standing.metals[metal].families:
                    ticker()
                    balances[metal] = standing.metals[metal].solved(count, self.guesses, tests)
        ticker()
        return Contents(
            tags=slots.tags(),
            place_of=slots.view(),
            balances=balances,
            gross_g=slots.gross_g[:count].copy(),
            gross_u_g=slots.gross_u_g[:count].copy(),
            gross_known=slots.gross_known[:count].copy(),
            find=partial(diagnose, shortfalls=short),
        )


def _take_components(standing: _Standing, facts: Facts) -> None:
    """Remember which items hang together by works and settlements, whatever the metal."""
    family, _ = families_of(facts, np.ones(len(facts.tags), dtype=bool))
    order = np.argsort(family, kind="stable")
    cuts = np.flatnonzero(np.diff(family[order])) + 1
    for members in in_turns(np.split(order, cuts) if len(order) else ()):
        name = standing.next_component
        standing.next_component += 1
        tags = tuple(facts.tags[at] for at in members.tolist())
        standing.components[name] = tags
        for tag in tags:
            standing.component_of[tag] = name


def _works_at(flow: Flow, item: Item) -> list[Work]:
    found = (flow.works.get(item.made_by), flow.user_of(item.tag))
    return [work for work in found if work is not None]


def _reach(flow: Flow, starts: Iterable[str]) -> set[str]:
    """Give every item that hangs together with the starting ones, those included."""
    reached = {tag for tag in starts if tag in flow.items}
    waiting = list(reached)
    seen: set[object] = set()
    while waiting:
        item = flow.items[waiting.pop()]
        joins: list[tuple[object, tuple[str, ...]]] = [
            (work.number, (*work.used, *work.made)) for work in _works_at(flow, item)
        ]
        joins += [((one.entry, one.ref, one.metal), one.tags) for one in item.agreed]
        for name, tags in joins:
            if name in seen:
                continue
            seen.add(name)
            fresh = [tag for tag in tags if tag not in reached]
            reached.update(fresh)
            waiting += fresh
    return reached


def _in_order_of_making(flow: Flow, reach: set[str], slots: Slots) -> list[str]:
    """Give the tags without a slot in the order of the flow; new ones stand at its end."""
    fresh = {tag for tag in reach if tag not in slots}
    found: list[str] = []
    for tag in reversed(flow.items) if fresh else ():
        if len(found) == len(fresh):
            break
        if tag in fresh:
            found.append(tag)
    return found[::-1]
