"""Which assay next: how much surer a total becomes for each thing that could be assayed.

Slag and cupel of one bag know much of each other, so that the first assay of the pair gains little
and the second much. Pairs are therefore offered beside single things.

If thing i is assayed with uncertainty u_i, the variance of the sum t = Σ c·x falls by

    w_i²/(C_ii + u_i²),   w = C·c,

and for a bundle B by w_B′·(C_BB + U_B)⁻¹·w_B, U_B the diagonal of u². What is gained does not
depend on what is found.

Reference: the conditional covariance of a normal vector, e.g. C. R. Rao, Linear Statistical
Inference and Its Applications, 2nd ed., Wiley 1973, section 8a.2 (from memory).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from vault.reckoning.contents import ABSENT, NOT_KNOWN_CODE, Contents, Places
from vault.reckoning.facts import Floats
from vault.reckoning.solved_metal import SolvedMetal

# The best single things are tried in pairs.
_PAIRED = 8


@dataclass(frozen=True, slots=True)
class AssayWorth:
    """What an assay of one or two things would do for the doubt about a total.

    Attributes:
        tags: what would be assayed.
        u_g: one standard uncertainty of the total afterwards, in grams.
        before_g: the same now.
    """

    tags: tuple[str, ...]
    u_g: float
    before_g: float


def assays_worth(
    contents: Contents,
    total: Iterable[str],
    metal: str,
    assay_u_g: Mapping[str, float],
    *,
    most: int = 10,
) -> list[AssayWorth]:
    """Give the assays that would make a total surest, best first.

    Args:
        contents: a reckoned book.
        total: tags of the items in the total.
        metal: its symbol.
        assay_u_g: what could be assayed, and the uncertainty of each assay in grams, above 0.
        most: how many to give.
    """
    balance = contents.balances.get(metal)
    if not isinstance(balance, SolvedMetal):
        return []
    summed = _known(contents, metal, total)
    tags = [contents.tags[at] for at in _known(contents, metal, assay_u_g)]
    if not len(summed) or not tags:
        return []
    places = contents.places(tags)
    variance = float(balance.variances_of([summed])[0])
    with_total = balance.covariance_with(summed)[places]
    own, assay = balance.uncertainties[places], np.array([assay_u_g[tag] for tag in tags])
    alone = after_one(variance, with_total, own, assay)
    before = float(np.sqrt(variance))
    found = [AssayWorth((tag,), float(u), before) for tag, u in zip(tags, alone, strict=True)]
    best = np.argsort(alone, kind="stable")[:_PAIRED].tolist()
    columns = {at: balance.covariance_with(places[at : at + 1])[places] for at in best}
    for one, other in combinations(best, 2):
        pair = [one, other]
        covariance = np.array([columns[at][pair] for at in pair])
        u = after_bundle(variance, with_total[pair], covariance, assay[pair])
        found.append(AssayWorth((tags[one], tags[other]), float(u), before))
    return sorted(found, key=lambda one: one.u_g)[:most]


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
