"""Contents: how much fine metal each item holds, how sure that is, and any sum of it.

A `Contents` is what a reckoning of the whole book gives: frozen, whole, and safe to hand to
another thread. Estimates are never clamped; a total carries the full covariance between its items,
never the root-sum-square of their uncertainties.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Mapping
from dataclasses import dataclass
from typing import Protocol, TypeVar

import numpy as np
from numpy.typing import NDArray

from vault.core.findings import Finding
from vault.core.knowledge import How
from vault.core.turns import in_turns

Floats = NDArray[np.float64]
Places = NDArray[np.int64]
Key = TypeVar("Key", bound=Hashable)

# The codes of `MetalBalance.how`, in the order of this tuple; ABSENT marks "nothing is said".
HOWS = (How.ASSAYED, How.WORKED_OUT, How.DECLARED, How.NOT_KNOWN)
NOT_KNOWN_CODE = HOWS.index(How.NOT_KNOWN)
ABSENT = -1


@dataclass(frozen=True, slots=True)
class Content:
    """The fine metal of one item.

    Attributes:
        fine_g: grams; uncut, so it may lie a little below zero. Meaningless where not known.
        u_g: one standard uncertainty in grams.
        how: how it is known; `NOT_KNOWN` when no more can be said than that it lies between
            nothing and the weight of the item.
    """

    fine_g: float
    u_g: float
    how: How

    @property
    def determinable(self) -> bool:
        """Whether anything is known beyond "between nothing and all of it"."""
        return self.how is not How.NOT_KNOWN


@dataclass(frozen=True, slots=True)
class Total:
    """The fine metal of several items together.

    Attributes:
        fine_g, u_g: grams and one standard uncertainty, with the covariance of the items.
        items: how many items are in it.
        not_known: tags of those left out because nothing says what they hold.
        how: how it is known, the least sure of its parts; `NOT_KNOWN` when none is known.
    """

    fine_g: float
    u_g: float
    items: int
    not_known: tuple[str, ...]
    how: How


@dataclass(frozen=True, slots=True)
class Loss:
    """What one work leaves over of a metal: what went in less what came out, signed.

    Attributes:
        fine_g: grams; above zero is an apparent loss, below zero an apparent gain.
        u_g: one standard uncertainty.
        determinable: whether all that went in and came out is known.
    """

    fine_g: float
    u_g: float
    determinable: bool


@dataclass(frozen=True, slots=True)
class BudgetLine:
    """One record's share in the doubt about a figure; shares of all records add up to one.

    Attributes:
        words: what the record is, for people.
        entry: the entry that says it, None for a guess of the handbook.
        tag: the item it is about, or empty.
        share: its part of the squared uncertainty.
    """

    words: str
    entry: int | None
    tag: str
    share: float


@dataclass(frozen=True, slots=True, eq=False)
class Joint:
    """What is known of several contents of one metal together.

    The contents are x = mean + root·ε + lean·(κ − κ̄), with ε and η independent unit normals and the
    house factors κ = κ̄ + factor_root·η, in units of their first doubt.

    Attributes:
        mean: grams, one for each content.
        root: grams, contents by ε.
        lean: grams, contents by residue kind.
        factor_mean, factor_root: κ̄ by residue kind, and the root of its covariance.
    """

    mean: Floats
    root: Floats
    lean: Floats
    factor_mean: Floats
    factor_root: Floats


@dataclass(frozen=True, slots=True)
class LearnedFactor:
    """What residues of one kind keep of a metal: as first guessed, and as the book now teaches.

    Attributes:
        kind: the residue kind in words ("spent cupel").
        metal: its symbol.
        guess, guess_u: share of the feed, from the handbook.
        now, now_u: the same as now believed.
        source: where the guess is from.
    """

    kind: str
    metal: str
    guess: float
    guess_u: float
    now: float
    now_u: float
    source: str


class MetalBalance(Protocol):
    """The solved balance of one metal, over item places (see `Contents.place_of`)."""

    @property
    def estimates(self) -> Floats:
        """Grams by place, NaN where the metal is absent."""

    @property
    def uncertainties(self) -> Floats:
        """One standard uncertainty in grams by place, NaN where absent."""

    @property
    def how(self) -> NDArray[np.int8]:
        """A code by place, an index into `HOWS`, or `ABSENT`."""

    def variances_of(self, groups: list[Places]) -> Floats:
        """Give the variance of the sum over each group of places, in g²."""

    def joint_of(self, places: Places) -> Joint:
        """Give what is known of the contents of some places together; each must be present."""

    def joint_of_sums(self, groups: list[Places]) -> Joint:
        """Give what is known of sums over groups, each for itself at given house factors."""

    def loss_of(self, work: int) -> Loss | None:
        """Give what a work leaves over, None where the metal takes no part in it."""

    def budget_of(self, places: Places) -> list[BudgetLine]:
        """Give every record's share in the variance of a sum, largest first."""

    def budget_by_kind(self, places: Places) -> list[BudgetLine]:
        """Give the share of every kind of record in the variance of a sum, largest first."""

    def noticeable_of(self, place: int) -> float | None:
        """Give the smallest error, in grams, of the item's own record that would be noticed."""

    def draws(self, count: int, generator: np.random.Generator) -> Floats:
        """Give `count` draws of all contents, shape (count, places), NaN where absent."""

    def factors(self) -> tuple[LearnedFactor, ...]:
        """Give what residues keep, as guessed and as now believed."""


class Contents:
    """What every item of a book holds, as all facts together say.

    Attributes:
        tags: the tag of every place; a place is an item's position in every array here.
        place_of: the place of every tag.
        balances: the solved balance of each metal that anything is said of.
        gross_g, gross_u_g: weight by place, worked out where not weighed; NaN where unknown.
        gross_known: by place, whether a weight was read off a scale.
    """

    def __init__(  # a record of whole arrays, made by the reckoner only
        self,
        *,
        tags: tuple[str, ...],
        place_of: Mapping[str, int],
        balances: Mapping[str, MetalBalance],
        gross_g: Floats,
        gross_u_g: Floats,
        gross_known: NDArray[np.bool_],
        find: Callable[[Contents], tuple[Finding, ...]],
    ) -> None:
        self.tags = tags
        self.place_of = place_of
        self.balances = balances
        self.gross_g = gross_g
        self.gross_u_g = gross_u_g
        self.gross_known = gross_known
        self._find = find
        self._findings: tuple[Finding, ...] | None = None

    @property
    def metals(self) -> tuple[str, ...]:
        """The metals that anything in the book speaks of, in the order of the metal list."""
        return tuple(self.balances)

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What does not add up; worked out when first asked for."""
        if self._findings is None:
            self._findings = self._find(self)
        return self._findings

    @property
    def house_factors(self) -> tuple[LearnedFactor, ...]:
        """What slag and cupels keep of each metal, as guessed and as now believed."""
        return tuple(one for balance in self.balances.values() for one in balance.factors())

    def of(self, tag: str) -> dict[str, Content]:
        """Give the content of one item, for each metal that anything is said of."""
        place = self.place_of[tag]
        found: dict[str, Content] = {}
        for metal, balance in self.balances.items():
            code = int(balance.how[place])
            if code != ABSENT:
                found[metal] = Content(
                    float(balance.estimates[place]), float(balance.uncertainties[place]), HOWS[code]
                )
        return found

    def total(self, tags: Iterable[str], metal: str) -> Total:
        """Give the metal of several items together; what is not known is left out and named."""
        return self.totals({"": tags}, metal)[""]

    def totals(self, groups: Mapping[Key, Iterable[str]], metal: str) -> dict[Key, Total]:
        """Give the total of many groups of items at once; see `total`."""
        balance = self.balances.get(metal)
        if balance is None:
            return {key: Total(0.0, 0.0, 0, (), How.NOT_KNOWN) for key in groups}
        known: list[Places] = []
        unknown: list[tuple[str, ...]] = []
        for tags in groups.values():
            places = self.places(tags)
            codes = balance.how[places]
            known.append(places[(codes != ABSENT) & (codes != NOT_KNOWN_CODE)])
            unknown.append(tuple(self.tags[one] for one in places[codes == NOT_KNOWN_CODE]))
        variances = balance.variances_of(known)
        return {
            key: Total(
                fine_g=float(balance.estimates[places].sum()),
                u_g=float(np.sqrt(variance)),
                items=len(places),
                not_known=missing,
                how=_least_sure(balance.how[places]),
            )
            for key, places, missing, variance in zip(
                groups, known, unknown, variances, strict=True
            )
        }

    def loss(self, work: int, metal: str) -> Loss | None:
        """Give what a work leaves over of a metal; None where it takes no part in it."""
        balance = self.balances.get(metal)
        return None if balance is None else balance.loss_of(work)

    def budget(self, tags: Iterable[str], metal: str) -> list[BudgetLine]:
        """Give each record's share in the doubt about a total, largest first; they add to one."""
        balance = self.balances.get(metal)
        return [] if balance is None else balance.budget_of(self._counted(tags, balance))

    def budget_by_kind(self, tags: Iterable[str], metal: str) -> list[BudgetLine]:
        """Give each kind of record's share in the doubt about a total, as `budget` does."""
        balance = self.balances.get(metal)
        return [] if balance is None else balance.budget_by_kind(self._counted(tags, balance))

    def noticeable(self, tag: str, metal: str) -> float | None:
        """Give the smallest error of an item's own record that would be noticed, in grams.

        None where the item has no record of its own, or nothing checks it.
        """
        balance = self.balances.get(metal)
        return None if balance is None else balance.noticeable_of(self.place_of[tag])

    def draws(self, metal: str, count: int, seed: int) -> Floats:
        """Give random draws of all contents as they may truly be, for doubts of what follows.

        Returns:
            Grams, shape (count, len(tags)); NaN where the metal is absent.
        """
        return self.balances[metal].draws(count, np.random.default_rng(seed))

    def places(self, tags: Iterable[str]) -> Places:
        """Give the places of tags as an array, for use with the arrays of a balance."""
        return np.fromiter((self.place_of[tag] for tag in in_turns(tags)), dtype=np.int64)

    def _counted(self, tags: Iterable[str], balance: MetalBalance) -> Places:
        """Give the places of the tags that count in totals of a metal."""
        places = self.places(tags)
        codes = balance.how[places]
        counted: Places = places[(codes != ABSENT) & (codes != NOT_KNOWN_CODE)]
        return counted


def _least_sure(codes: NDArray[np.int8]) -> How:
    """Give the weakest way in which any of these is known; declared is weaker than worked out."""
    return HOWS[int(codes.max())] if len(codes) else How.NOT_KNOWN
