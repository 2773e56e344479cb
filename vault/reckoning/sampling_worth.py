"""Which thing to sample: where a sample makes the total surest, and the decision cheapest.

The doubt about a total is told as that of its worth at today's prices, so that metals add up. What
a sample is worth beside that is the loss from deciding under doubt that it avoids, as for sampling
everything first (`sample_first.py`): with w the covariance of a thing's content with the total, C
its own variance and u the error of its sample, the estimate of the total will move by a normal
amount of variance w²/(C + u²), and in every case the act that then is best is chosen.

A sample that moves the total of no metal more than another does, and costs no less, cannot be worth
more; so only those that nothing beats in both ways are played through. Things whose contents hang
together, slag and cupel of one bag, are tried in pairs as well.

Reference: as in `next_assays.py` and `sample_first.py`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from vault.reckoning.acts import Act, acts_of
from vault.reckoning.best_time import best_time, outlook_of
from vault.reckoning.choices import BestTime, Setting
from vault.reckoning.draws import normal_draws
from vault.reckoning.facts import Floats
from vault.reckoning.next_assays import after_bundle
from vault.reckoning.one_thread import one_thread
from vault.reckoning.sample_first import Known, expectation, worth_of_knowing
from vault.reckoning.worlds import worlds_of

# Enough to tell samples apart; the acts themselves are those of the choice.
_CASES = 512
_WORLDS = 1024
# The things whose samples tell most are tried in pairs.
_PAIRED = 8


@dataclass(frozen=True, slots=True, eq=False)
class Things:
    """Things of a total that could be sampled: items or whole containers.

    Attributes:
        tags: of each, what it is called.
        covariance_g2: by metal, (b, b) between their contents.
        with_total_g2: by metal, (b,) with the content of the total.
        u_g: by metal, (b,) error of a sample with its assay; infinite where it tells nothing.
        costs: (b,) of each sample with its assays.
    """

    tags: tuple[str, ...]
    covariance_g2: Mapping[str, Floats]
    with_total_g2: Mapping[str, Floats]
    u_g: Mapping[str, Floats]
    costs: Floats


@dataclass(frozen=True, slots=True)
class SampleWorth:
    """What sampling one thing, or two, would do.

    Attributes:
        tags: what would be sampled.
        cost: of sampling and assaying.
        before_g, after_g: by metal, doubt about the total now and afterwards.
        before, after: doubt about what the total is worth at today's prices.
        worth: the loss from deciding under doubt that it is expected to avoid.
    """

    tags: tuple[str, ...]
    cost: float
    before_g: Mapping[str, float]
    after_g: Mapping[str, float]
    before: float
    after: float
    worth: float

    @property
    def gain(self) -> float:
        """What it is worth for the decision beyond its cost."""
        return self.worth - self.cost

    @property
    def fall_for_cost(self) -> float:
        """By how much the doubt falls for each unit of its cost."""
        return (self.before - self.after) / self.cost if self.cost > 0.0 else np.inf


@dataclass(frozen=True, slots=True, eq=False)
class _Bundle:
    """One thing or two, and by how much each metal's variance of the total falls, (m,) g²."""

    places: tuple[int, ...]
    falls_g2: Floats
    cost: float


def samples_worth(setting: Setting, things: Things, *, most: int = 10) -> list[SampleWorth]:
    """Give what could be sampled: what gains most for the decision first, if anything does.

    After those come the others, by the fall of doubt for their cost.

    Args:
        setting: the choice about the total.
        things: what could be sampled of it.
        most: how many to give.
    """
    bundles = _bundles(setting, things)
    if not bundles:
        return []
    surest = sorted(bundles, key=lambda one: -_told(setting, things, one).fall_for_cost)
    tried = _unbeaten(bundles) | {one.places for one in surest[:most]}
    with one_thread():
        time = best_time(outlook_of(setting), setting)
        acts = acts_of(setting, time, worlds_of(setting.residues, setting.making, _WORLDS))
        found = [
            _told(setting, things, one, _worth(setting, time, acts, one.falls_g2))
            for one in bundles
            if one.places in tried
        ]
    return sorted(found, key=lambda one: (-max(one.gain, 0.0), -one.fall_for_cost))[:most]


def _bundles(setting: Setting, things: Things) -> list[_Bundle]:
    """Give every thing by itself, and those that tell most in pairs."""
    prices = np.array([setting.circumstances.prices.get(one, 0.0) for one in _metals(setting)])
    alone = [_bundle(setting, things, (at,)) for at in range(len(things.tags))]
    told = sorted(alone, key=lambda one: -float(prices**2 @ one.falls_g2))[:_PAIRED]
    pairs = combinations(sorted(one.places[0] for one in told), 2)
    return [*alone, *(_bundle(setting, things, pair) for pair in pairs)]


def _metals(setting: Setting) -> tuple[str, ...]:
    return setting.residues.metals


def _bundle(setting: Setting, things: Things, places: tuple[int, ...]) -> _Bundle:
    falls = np.zeros(len(_metals(setting)))
    for at, metal in enumerate(_metals(setting)):
        if metal not in things.u_g:
            continue
        telling = [one for one in places if np.isfinite(things.u_g[metal][one])]
        variance = setting.residues.covariance_g2[at][at]
        if telling and variance > 0.0:
            u = after_bundle(
                variance,
                things.with_total_g2[metal][telling],
                things.covariance_g2[metal][np.ix_(telling, telling)],
                things.u_g[metal][telling],
            )
            falls[at] = variance - u**2
    return _Bundle(places, falls, float(things.costs[list(places)].sum()))


def _unbeaten(bundles: Sequence[_Bundle]) -> set[tuple[int, ...]]:
    """Give those than which no other tells as much of every metal and costs no more."""
    kept: list[_Bundle] = []
    for one in sorted(bundles, key=lambda each: (each.cost, -float(each.falls_g2.sum()))):
        if not any(np.all(other.falls_g2 >= one.falls_g2) for other in kept):
            kept.append(one)
    return {one.places for one in kept}


def worth_of_surer(setting: Setting, after_g: Mapping[str, float]) -> float:
    """Give the loss from deciding under doubt that is avoided where contents get surer.

    Args:
        setting: the choice about the total.
        after_g: by metal, doubt about the total afterwards; those not named stay as they are.
    """
    variances = np.diag(np.array(setting.residues.covariance_g2))
    after = [
        min(after_g.get(metal, np.inf) ** 2, variance)
        for metal, variance in zip(_metals(setting), variances.tolist(), strict=True)
    ]
    with one_thread():
        time = best_time(outlook_of(setting), setting)
        acts = acts_of(setting, time, worlds_of(setting.residues, setting.making, _WORLDS))
        return _worth(setting, time, acts, variances - np.array(after))


def _worth(setting: Setting, time: BestTime, acts: Sequence[Act], falls_g2: Floats) -> float:
    """Give the expected loss that is avoided where variances fall by so much, (m,)."""
    moves = np.sqrt(falls_g2)[:, None] * normal_draws(_CASES, len(falls_g2))
    left = np.array(setting.residues.covariance_g2) - np.diag(falls_g2)
    known = Known(moves, left)
    return worth_of_knowing(np.array([expectation(one, setting, time, known) for one in acts]))


def _told(setting: Setting, things: Things, bundle: _Bundle, worth: float = 0.0) -> SampleWorth:
    covariance = np.array(setting.residues.covariance_g2)
    left = covariance - np.diag(bundle.falls_g2)
    metals, prices = _metals(setting), setting.circumstances.prices
    each = np.array([prices.get(one, 0.0) for one in metals])
    now, then = (np.sqrt(np.maximum(np.diag(one), 0.0)).tolist() for one in (covariance, left))
    return SampleWorth(
        tags=tuple(things.tags[at] for at in bundle.places),
        cost=bundle.cost,
        before_g=dict(zip(metals, now, strict=True)),
        after_g=dict(zip(metals, then, strict=True)),
        before=float(np.sqrt(max(each @ covariance @ each, 0.0))),
        after=float(np.sqrt(max(each @ left @ each, 0.0))),
        worth=worth,
    )
