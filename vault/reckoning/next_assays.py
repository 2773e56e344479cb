"""Which assay next: how much surer a total becomes for each thing that could be assayed.

Slag and cupel of one bag know much of each other, so that the first assay of the pair gains little
and the second much. Pairs are therefore offered beside single things.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from vault.reckoning.balance.next_assay import after_bundle, after_one
from vault.reckoning.contents import ABSENT, NOT_KNOWN_CODE, Contents, Places
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


def _known(contents: Contents, metal: str, tags: Iterable[str]) -> Places:
    places = contents.places(tags)
    codes = contents.balances[metal].how[places]
    known: Places = places[(codes != ABSENT) & (codes != NOT_KNOWN_CODE)]
    return known
