"""Drums blended and assayed as a whole: what that says of each thing in them, against the truth."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from builders import assayed, thing, worked
from simulation.learning import CUPEL, SLAG, Factor, LearningShop, shop_that_learns
from vault.reckoning.guesses import DEFAULT
from vault.reckoning.reckoner import reckon

SHOPS, LOTS = 40, 24
# A sample of the blend and its assay together.
SAMPLE_U = 0.03
RANGE = 1.959964


def steady(factor: float) -> dict[str, Factor]:
    return {SLAG: lambda _lot: 1.0, CUPEL: lambda _lot: factor}


def blended(shop: LearningShop, tags: list[str], chance: np.random.Generator) -> str:
    """Blend these cupels to one drum, and assay a sample of it; give the drum's tag."""
    whole = sum(shop.weights[tag] for tag in tags)
    share = sum(shop.kept[tag] for tag in tags) / whole
    read = share * (1.0 + chance.normal(0.0, SAMPLE_U))
    drum = thing("D-1", "spent cupel", f"{whole:.2f}")
    shop.entries.append(worked(shop.number, "blend", used=tags, made=[drum]))
    says = f"Ag {1000 * read:.6f} ± {1000 * SAMPLE_U * share:.6f}"
    shop.entries.append(assayed(shop.number, "D-1", says, how="ICP"))
    return "D-1"


@cache
def shops() -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Give the ± of every cupel before and after, in units of it before, and its z after."""
    before, after, z = [], [], []
    for seed in range(SHOPS):
        chance = np.random.default_rng(90_000 + seed)
        spread = DEFAULT.keep(CUPEL, "Ag").house
        factor = max(float(chance.gamma(1.0 / spread**2, spread**2)), 0.15)
        shop = shop_that_learns(chance, LOTS, steady(factor), measured=0.0)
        tags = [f"C-{lot:04d}" for lot in range(LOTS)]
        first = reckon(shop.flow)
        blended(shop, tags, chance)
        second = reckon(shop.flow)
        for tag in tags:
            known = second.of(tag)["Ag"]
            before.append(first.of(tag)["Ag"].u_g)
            after.append(known.u_g)
            z.append((known.fine_g - shop.kept[tag]) / known.u_g)
    return np.array(before), np.array(after), np.array(z)


def test_every_cupel_of_a_blended_drum_is_known_better_for_one_assay() -> None:
    before, after, _ = shops()
    # Batches scatter by 35 %, the house by 50 %: of a √(0.35² + 0.5²) = 0.61 some 0.35 is left.
    assert np.all(after < before)
    assert np.median(after / before) == pytest.approx(0.35 / 0.61, abs=0.12)


def test_the_range_of_every_cupel_holds_what_is_truly_in_it() -> None:
    _, _, z = shops()
    assert 0.92 <= np.mean(np.abs(z) <= RANGE) <= 0.985


def test_the_drum_and_its_cupels_tell_the_same() -> None:
    chance = np.random.default_rng(7)
    shop = shop_that_learns(chance, LOTS, steady(0.6), measured=0.0)
    tags = [f"C-{lot:04d}" for lot in range(LOTS)]
    blended(shop, tags, chance)
    contents = reckon(shop.flow)
    drum, cupels = contents.of("D-1")["Ag"], contents.total(tags, "Ag")
    assert cupels.fine_g == pytest.approx(drum.fine_g, rel=0.01)
    assert cupels.u_g < 0.06 * drum.fine_g
    # What the drum taught holds for the next cupel as well.
    (factor,) = [one for one in contents.house_factors if (one.kind, one.metal) == (CUPEL, "Ag")]
    assert factor.now / factor.guess == pytest.approx(0.6, abs=2.5 * factor.now_u / factor.guess)
    assert factor.now_u < 0.3 * factor.guess_u
