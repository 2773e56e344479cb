"""All families of one metal, in arrays over the slots of the book."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from vault.core.knowledge import How
from vault.core.turns import in_turns
from vault.reckoning.contents import ABSENT, HOWS
from vault.reckoning.facts import KINDS, NOBODY, Bools, Floats, Ints
from vault.reckoning.families import Family, MetalSolved, kept_and_fed
from vault.reckoning.guesses import Guesses
from vault.reckoning.house import Sayings
from vault.reckoning.solved_metal import NOT_DETERMINABLE, SolvedMetal

_COUNT = len(KINDS)
_CODE = {how: code for code, how in enumerate(HOWS)}
# A content whose doubt is still near that of somebody's word rests on that word.
_STILL_ITS_WORD = 0.7
_FIRST_ROOM = 1024


class MetalBook:
    """The families of one metal, and what they say of every slot at given house factors.

    Attributes:
        families: by number.
        tests: how many records are tested against each other.
    """

    def __init__(self, metal: str) -> None:
        self.metal = metal
        self.families: dict[int, Family] = {}
        self.tests = 0
        self._next = 0
        self._places: dict[int, Ints] = {}
        self._tests_of: dict[int, int] = {}
        self._work_family: dict[int, int] = {}
        self._works_of: dict[int, list[int]] = {}
        self._sayings = Sayings()
        self._by_slot = _BySlot(_FIRST_ROOM)

    def take(self, solved: MetalSolved, slots: Ints) -> None:
        """Take in solved families; `slots` are those of the items of their facts."""
        works: dict[int, list[int]] = {}
        family_of_work = solved.ground.work_family
        numbers = solved.ground.facts.works.number
        inside = np.flatnonzero(family_of_work != NOBODY)
        for name, number in in_turns(
            zip(family_of_work[inside].tolist(), numbers[inside].tolist(), strict=True)
        ):
            works.setdefault(name, []).append(number)
        for family in in_turns(solved.families):
            self._take_family(family, solved, slots, works)

    def forget(self, slots: Ints) -> None:
        """Drop every family that holds one of these slots."""
        inside = slots[slots < self._by_slot.room]
        for number in sorted(set(self._by_slot.family[inside].tolist()) - {NOBODY}):
            self._by_slot.clear(self._places.pop(number))
            self.tests -= self._tests_of.pop(number)
            for work in self._works_of.pop(number):
                del self._work_family[work]
            family = self.families.pop(number)
            self._sayings.add(family, *kept_and_fed(family.system), times=-1)

    def solved(self, count: int, guesses: Guesses, tests: int) -> SolvedMetal:
        """Give the metal as now believed, over the first `count` slots, frozen."""
        house = self._sayings.house()
        by_slot = self._by_slot
        by_slot.make_room(count)
        shift = by_slot.shift[:count].copy()
        x, variance = by_slot.x0[:count].copy(), by_slot.variance[:count].copy()
        # Column after column, so that every slot is rounded alike wherever it stands.
        for one in range(_COUNT):
            x += shift[:, one] * house.mean[one]
            for two in range(_COUNT):
                if house.covariance[one, two]:
                    variance += shift[:, one] * shift[:, two] * house.covariance[one, two]
        u = np.sqrt(np.maximum(variance, 0.0))
        return SolvedMetal(
            metal=self.metal,
            estimates=x,
            uncertainties=u,
            how=by_slot.how(u),
            shift=shift,
            families=dict(self.families),
            family=by_slot.family[:count].copy(),
            position=by_slot.position[:count].copy(),
            places=dict(self._places),
            work_family=dict(self._work_family),
            house=house,
            guesses=guesses,
            tests=tests,
        )

    def _take_family(
        self, family: Family, solved: MetalSolved, slots: Ints, works: dict[int, list[int]]
    ) -> None:
        number = self._next
        self._next += 1
        system = family.system
        unknowns = system.unknowns[: system.items]
        items = system.rows.items[unknowns]
        self.families[number] = family
        self._places[number] = slots[items]
        name = int(system.rows.unknown_family[system.unknowns[0]])
        self._works_of[number] = works.get(name, [])
        for work in self._works_of[number]:
            self._work_family[work] = number
        self._tests_of[number] = int(np.count_nonzero(system.u > 0.0))
        self.tests += self._tests_of[number]
        self._sayings.add(family, *kept_and_fed(family.system))
        self._by_slot.put(
            slots[items], number, family, solved.assayed[items], solved.declared_u_g[items]
        )


class _BySlot:
    """What families say of their items, over slots."""

    def __init__(self, room: int) -> None:
        self.room = 0
        self.x0: Floats = np.zeros(0)
        self.variance: Floats = np.zeros(0)
        self.size: Floats = np.zeros(0)
        self.declared_u: Floats = np.zeros(0)
        self.shift: Floats = np.zeros((0, _COUNT))
        self.assayed: Bools = np.zeros(0, dtype=bool)
        self.family: Ints = np.zeros(0, dtype=np.int64)
        self.position: Ints = np.zeros(0, dtype=np.int64)
        self.make_room(room)

    def make_room(self, count: int) -> None:
        """Make the arrays at least so long."""
        if count <= self.room:
            return
        more = max(count, 2 * self.room) - self.room
        for name in ("x0", "variance", "size", "declared_u"):
            old = getattr(self, name)
            setattr(self, name, np.concatenate([old, np.full(more, np.nan)]))
        self.shift = np.concatenate([self.shift, np.zeros((more, _COUNT))])
        self.assayed = np.concatenate([self.assayed, np.zeros(more, dtype=bool)])
        for name in ("family", "position"):
            old = getattr(self, name)
            setattr(self, name, np.concatenate([old, np.full(more, NOBODY, dtype=np.int64)]))
        self.room += more

    def put(
        self, slots: Ints, number: int, family: Family, assayed: Bools, declared_u: Floats
    ) -> None:
        """Write down one family."""
        if len(slots):
            self.make_room(int(slots.max()) + 1)
        count = len(slots)
        self.x0[slots] = family.x0[:count]
        self.variance[slots] = family.variances()[:count]
        self.size[slots] = family.system.size[:count]
        self.declared_u[slots] = declared_u
        self.assayed[slots] = assayed
        self.shift[slots] = 0.0
        self.shift[np.ix_(slots, family.system.kinds)] = family.shift[:count]
        self.family[slots] = number
        self.position[slots] = np.arange(count)

    def clear(self, slots: Ints) -> None:
        """Forget what was said of some slots."""
        for name in ("x0", "variance", "size", "declared_u"):
            getattr(self, name)[slots] = np.nan
        self.shift[slots] = 0.0
        self.assayed[slots] = False
        self.family[slots] = self.position[slots] = NOBODY

    def how(self, u: Floats) -> NDArray[np.int8]:
        """Give how every content is known."""
        count = len(u)
        found = np.full(count, _CODE[How.WORKED_OUT], dtype=np.int8)
        found[u >= _STILL_ITS_WORD * self.declared_u[:count]] = _CODE[How.DECLARED]
        found[self.assayed[:count]] = _CODE[How.ASSAYED]
        found[u > NOT_DETERMINABLE * self.size[:count]] = _CODE[How.NOT_KNOWN]
        found[self.family[:count] == NOBODY] = ABSENT
        return found
