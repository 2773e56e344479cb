"""Shops that make residues for ten years: what is true of them, and what their books know.

Each week's feed and what residues keep of it are drawn; the shop believes in a house factor that is
not the true one, and learns from what is settled. Prices wander.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from math import sqrt

import numpy as np

from terms import fees, pays, sheet
from vault.reckoning.choices import Making, Residues
from vault.reckoning.circumstances import WEEKS_A_YEAR, usual, usual_sampling
from vault.reckoning.facts import Floats

METALS = ("Ag", "Au")
BEGINS = date(2031, 1, 6)
WEEKS = 522
QUARTER = 13
# What residues keep scatters by so much from week to week.
BATCH = 0.35
# Feed of a week scatters by so much, and is foreseen from the weeks before.
FEED = 0.5
LOOKS_BACK = 26


@dataclass(frozen=True)
class Kind:
    """One kind of shop.

    Attributes:
        feed_g: by metal, mean fine grams worked in a week.
        keeps: by metal, what residues are believed to keep of it.
        weight_g: mean weight of residues in a week.
        drum_g: weight at which the drum is full.
        house: how far off the owner's guess of what residues keep may be, relative.
        works: whether it can smelt residues itself.
        samples: whether it can blend and sample them.
    """

    name: str
    feed_g: tuple[float, float]
    keeps: tuple[float, float]
    weight_g: float
    drum_g: float
    house: float = 0.4
    works: bool = False
    samples: bool = False


KINDS = (
    Kind("poor cupels", (800.0, 4.0), (0.010, 0.0011), 3_000.0, 200_000.0),
    Kind("a bench with gold", (600.0, 60.0), (0.012, 0.002), 1_500.0, 60_000.0),
    Kind("rich slag", (3_000.0, 30.0), (0.010, 0.004), 2_000.0, 60_000.0),
    Kind("a busy shop", (9_000.0, 150.0), (0.010, 0.003), 9_000.0, 200_000.0),
    Kind("smelting here too", (3_000.0, 30.0), (0.010, 0.004), 600.0, 60_000.0, works=True),
    Kind(
        "hardly known, sampled if advised",
        (12_000.0, 20.0),
        (0.0035, 0.001),
        8_000.0,
        200_000.0,
        house=0.6,
        samples=True,
    ),
)
SHEETS = (
    sheet(
        pays("Ag", 0.95, deduction=0.0003, refining=0.02),
        pays("Au", 0.97, refining=0.5),
        name="by the kilo",
        per_kg=4.0,
        least=150.0,
        charges=fees(assay=35.0, sampling=60.0, freight=90.0, freight_per_kg=0.4, drum=15.0),
        days=45,
    ),
    sheet(
        pays("Ag", 0.85, least_fine_g=60.0),
        pays("Au", 0.90),
        name="small lots",
        per_kg=9.0,
        least=80.0,
        charges=fees(freight=40.0),
        days=20,
    ),
)
USUAL = usual("EUR", {"Ag": 0.9, "Au": 75.0})
# A riffle where the slag is fine already.
SAMPLING = replace(usual_sampling(), hours_per_kg=0.01)
COSTS = replace(USUAL, sampling=None, working=None)


@dataclass
class Truth:
    """What is true of one shop, week by week, and nobody knows.

    Attributes:
        fed_g, held_g: (w, m) what was worked in each week and what its residues hold.
        weight_g: (w,) of the residues.
        prices: (w, m) at the end of each week.
        recovery: by which the furnace here is off, in standard uncertainties.
        slips: (w, m) by which a sample taken in a week is off, in the same.
    """

    fed_g: Floats
    held_g: Floats
    weight_g: Floats
    prices: Floats
    recovery: float
    slips: Floats


def truth_of(kind: Kind, seed: int) -> Truth:
    """Draw a shop; what cannot be below nothing from gamma distributions."""
    generator = np.random.default_rng([seed, len(kind.name)])
    # A settlement late in the last week still has its price.
    weeks = WEEKS + 2 * QUARTER

    def scattered(mean: Floats | float, share: float, shape: tuple[int, ...]) -> Floats:
        return np.asarray(mean * generator.gamma(1 / share**2, share**2, shape))

    level = scattered(1.0, 0.3, (1, 1))
    fed = np.array(kind.feed_g) * level * scattered(1.0, FEED, (weeks, 1))
    keeps = np.array(kind.keeps) * scattered(1.0, kind.house, (1, 2))
    spread = np.array([COSTS.price_spread[one] for one in METALS])
    step = np.sqrt(np.log1p(spread**2) / WEEKS_A_YEAR)
    walk = np.cumsum(step * generator.standard_normal((weeks, 2)) - step**2 / 2, axis=0)
    return Truth(
        fed_g=fed,
        held_g=fed * keeps * scattered(1.0, BATCH, (weeks, 2)),
        weight_g=scattered(kind.weight_g, FEED, (weeks,)),
        prices=np.array([COSTS.prices[one] for one in METALS]) * np.exp(walk),
        recovery=float(generator.standard_normal()),
        slips=generator.standard_normal((weeks, 2)),
    )


@dataclass
class Book:
    """What the shop knows of its heap, and of what its residues keep.

    Attributes:
        since: the week after which the heap began.
        sampled: the week up to which it was sampled.
        sampled_g, sampled_g2: estimates and variances of that part.
        keeps, keeps_u: by what was settled so far.
    """

    kind: Kind
    truth: Truth

    def __post_init__(self) -> None:
        self.since = self.sampled = 0
        self.sampled_g, self.sampled_g2 = np.zeros(2), np.zeros(2)
        self.keeps = np.array(self.kind.keeps)
        self.keeps_u = self.kind.house * self.keeps
        # As believed when the heap began: what a sample of it taught, its settlement tells better.
        self.began = self.keeps, self.keeps_u

    def heap(self, week: int) -> Residues:
        """Give what lies there after a week, as it is known."""
        fed = self.truth.fed_g[self.sampled : week]
        total, squares = fed.sum(axis=0), np.square(fed).sum(axis=0)
        variance = (self.keeps_u * total) ** 2 + (BATCH * self.keeps) ** 2 * squares
        variance += self.sampled_g2
        return Residues(
            metals=METALS,
            fine_g=tuple((self.sampled_g + self.keeps * total).tolist()),
            covariance_g2=((float(variance[0]), 0.0), (0.0, float(variance[1]))),
            received_g=float(self.truth.weight_g[self.since : week].sum()),
            lumps_g=0.5,
        )

    def samples(self, week: int, u: Floats) -> None:
        """Take a sample of the whole heap, with its error, together with what was known."""
        heap = self.heap(week)
        held = self.truth.held_g[self.since : week].sum(axis=0)
        seen = held + u * self.truth.slips[week]
        known = np.diag(np.array(heap.covariance_g2))
        weight = known / (known + u**2)
        self.sampled_g = np.array(heap.fine_g) + weight * (seen - np.array(heap.fine_g))
        self.sampled_g2 = (1.0 - weight) * known
        self.sampled = week
        self._take(week, seen, u)

    def making(self, week: int) -> Making:
        """Give what is made in a week, from the weeks before; tied to the heap by the factor."""
        seen = slice(max(week - LOOKS_BACK, 0), week)
        count = min(week, LOOKS_BACK)
        fed, weight = self.truth.fed_g[seen].mean(axis=0), self.truth.weight_g[seen].mean()
        shared = self.keeps_u * fed
        own = self.keeps * fed * FEED / sqrt(count)
        u = np.hypot(shared, own)
        heap = self.heap(week)
        of_heap = self.keeps_u[0] * self.truth.fed_g[self.sampled : week, 0].sum()
        tied = of_heap / sqrt(heap.covariance_g2[0][0]) * shared[0] / u[0]
        return Making(
            weight_g=float(weight),
            weight_u_g=float(weight * FEED / sqrt(count)),
            fine_g={
                metal: (float(self.keeps[at] * fed[at]), float(u[at]))
                for at, metal in enumerate(METALS)
            },
            tied=float(tied),
        )

    def learns(self, week: int) -> None:
        """Take what a settled shipment held, and begin a new heap."""
        held = self.truth.held_g[self.since : week].sum(axis=0)
        self._take(week, held, np.zeros(2))
        self.began = self.keeps, self.keeps_u
        self.since = self.sampled = week
        self.sampled_g, self.sampled_g2 = np.zeros(2), np.zeros(2)

    def _take(self, week: int, held: Floats, u: Floats) -> None:
        """Learn what residues keep from what the whole heap was found to hold."""
        keeps, keeps_u = self.began
        fed = self.truth.fed_g[self.since : week]
        total = fed.sum(axis=0)
        scatter = ((BATCH * keeps) ** 2 * np.square(fed).sum(axis=0) + u**2) / total**2
        weight = keeps_u**2 / (keeps_u**2 + scatter)
        self.keeps = keeps + weight * (held / total - keeps)
        self.keeps_u = np.sqrt((1.0 - weight) * keeps_u**2)
