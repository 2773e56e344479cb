"""Which assay next: how much surer a total becomes for each thing that could be assayed.

A thing is one item, or everything in a container blended and sampled: an assay of that measures the
sum of what lies in it. Slag and cupel of one bag know much of each other, so that the first assay
of the pair gains little and the second much; pairs are therefore offered beside single things.

If the sum g over some items is assayed with uncertainty u_g, the variance of the sum t falls by

    w_g²/(C_gg + u_g²),   w_g = Cov(g, t) = Σ over the items of (C·c)_i,

and for a bundle B of such sums by w_B′·(C_BB + U_B)⁻¹·w_B, U_B the diagonal of u². What is gained
does not depend on what is found. The best is what gains most for its cost.

Reference: the conditional covariance of a normal vector, e.g. C. R. Rao, Linear Statistical
Inference and Its Applications, 2nd ed., Wiley 1973, section 8a.2 (from memory).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from vault.reckoning.contents import ABSENT, NOT_KNOWN_CODE, Contents, Places
from vault.reckoning.facts import Floats
from vault.reckoning.solved_metal import SolvedMetal

# The best single things are tried in pairs.
_PAIRED = 8


@dataclass(frozen=True, slots=True)
class Offer:
    """Something that could be assayed.

    Attributes:
        tags: one item, or all that would be blended to one whole.
        u_g: one standard uncertainty of the assay and its sample together, grams, above 0.
        cost: of taking the sample and assaying it, above 0.
    """

    tags: tuple[str, ...]
    u_g: float
    cost: float


@dataclass(frozen=True, slots=True)
class AssayWorth:
    """What assaying one or two things would do for the doubt about a total.

    Attributes:
        offers: what would be assayed.
        u_g: one standard uncertainty of the total afterwards, in grams.
        before_g: the same now.
        cost: of all of it.
    """

    offers: tuple[Offer, ...]
    u_g: float
    before_g: float
    cost: float

    @property
    def gain_per_cost(self) -> float:
        """By how many grams the doubt falls for each amount spent."""
        return (self.before_g - self.u_g) / self.cost


def assays_worth(
    contents: Contents,
    total: Iterable[str],
    metal: str,
    offers: Sequence[Offer],
    *,
    most: int = 10,
) -> list[AssayWorth]:
    """Give the assays that would make a total surer, the one that gains most for its cost first.

    Offers that hold none of the metal are left out.

    Args:
        contents: a reckoned book.
        total: tags of the items in the total; those of which nothing is known are not in it.
        metal: its symbol.
        offers: what could be assayed; what is not known in a container blurs its assay.
        most: how many to give.
    """
    balance = contents.balances.get(metal)
    if not isinstance(balance, SolvedMetal):
        return []
    summed = _known(contents, metal, total)
    held = _Held.of(offers, contents, metal)
    if not len(summed) or not len(held.place):
        return []
    with_total = balance.covariance_with(summed)
    variance = float(with_total[summed].sum())
    before = float(np.sqrt(max(variance, 0.0)))
    shared = held.sums(with_total)
    assay = np.array([one.u_g for one in held.offers])
    alone = after_one(variance, shared, held.own(balance), assay)
    found = [
        AssayWorth((one,), u, before, one.cost)
        for one, u in zip(held.offers, alone.tolist(), strict=True)
    ]
    order = sorted(range(len(found)), key=lambda at: -found[at].gain_per_cost)
    best = order[:_PAIRED]
    columns = {at: held.sums(balance.covariance_with(held.places(at))) for at in best}
    for one, other in combinations(best, 2):
        pair = [one, other]
        covariance = np.array([columns[at][pair] for at in pair])
        u = after_bundle(variance, shared[pair], covariance, assay[pair])
        offered = (held.offers[one], held.offers[other])
        found.append(AssayWorth(offered, u, before, sum(it.cost for it in offered)))
    return sorted(found, key=lambda one: -one.gain_per_cost)[:most]


@dataclass(frozen=True, slots=True, eq=False)
class _Held:
    """What offers hold of a metal.

    Attributes:
        offers: those that hold any.
        place, first: the places of each one after the other, and where each begins.
    """

    offers: list[Offer]
    place: Places
    first: Places

    @classmethod
    def of(cls, offers: Sequence[Offer], contents: Contents, metal: str) -> _Held:
        """Find them; what is not known blurs an assay, what is absent is not in it."""
        owner = np.repeat(np.arange(len(offers)), [len(one.tags) for one in offers])
        place = contents.places(tag for one in offers for tag in one.tags)
        present = contents.balances[metal].how[place] != ABSENT
        which, first = np.unique(owner[present], return_index=True)
        return cls([offers[at] for at in which.tolist()], place[present], first)

    def places(self, at: int) -> Places:
        """Give the places of one offer."""
        past = self.first[at + 1] if at + 1 < len(self.first) else len(self.place)
        found: Places = self.place[self.first[at] : past]
        return found

    def sums(self, of_places: Floats) -> Floats:
        """Sum something over the places of every offer."""
        found: Floats = np.add.reduceat(of_places[self.place], self.first)
        return found

    def own(self, balance: SolvedMetal) -> Floats:
        """Give √C_gg of every offer; of one item it is known already."""
        own = balance.uncertainties[self.place[self.first]].copy()
        sizes = np.diff(np.append(self.first, len(self.place)))
        several = np.flatnonzero(sizes > 1).tolist()
        own[several] = np.sqrt(balance.variances_of([self.places(at) for at in several]))
        return own


def after_one(
    variance: float, with_sum: Floats, uncertainties: Floats, assay: Floats | float
) -> Floats:
    """Give the uncertainty of a sum after assaying each of some things alone, grams.

    Args:
        variance: u²(t) now, g².
        with_sum: (…) w_i, covariance of each thing with the sum, g².
        uncertainties: (…) √C_ii of each thing, grams.
        assay: u_i of the assay of each thing, grams.

    Returns:
        u(t) after each assay, shape (…).

    Example: the sum of two things, each ± 1 g on its own, after an exact assay of one is ± 1 g.

    >>> import numpy as np
    >>> after_one(2.0, np.array([1.0]), np.array([1.0]), 0.0)
    array([1.])
    """
    spread = uncertainties**2 + np.square(assay)
    gain = np.divide(with_sum**2, spread, out=np.zeros_like(spread), where=spread > 0.0)
    return np.sqrt(np.maximum(variance - gain, 0.0))


def after_bundle(
    variance: float, with_sum: Floats, covariance: Floats, assay: Sequence[float] | Floats
) -> float:
    """Give the uncertainty of a sum after assaying several things, grams.

    Args:
        variance: u²(t) now, g².
        with_sum: (b,) w_B, covariance of each thing with the sum, g².
        covariance: (b, b) C_BB of the things, g².
        assay: (b,) u of each assay, grams; above 0, or the things not tied by an exact balance.
    """
    inner = covariance + np.diag(np.square(np.asarray(assay, dtype=np.float64)))
    gain = float(with_sum @ np.linalg.solve(inner, with_sum))
    return float(np.sqrt(max(variance - gain, 0.0)))


def _known(contents: Contents, metal: str, tags: Iterable[str]) -> Places:
    places = contents.places(tags)
    codes = contents.balances[metal].how[places]
    known: Places = places[(codes != ABSENT) & (codes != NOT_KNOWN_CODE)]
    return known
