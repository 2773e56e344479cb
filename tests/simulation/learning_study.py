"""How well does the house learn, and is it told when what it learnt no longer holds?

    python tests/simulation/learning_study.py --shops 250

prints, for shops with a number of settled slags and cupels, how often the factor's 95 % range holds
what they truly keep, how far off it is, how often a drift is told where there is none, and how
often where the keep became half as much again, or twice as much, half-way; as a table in Markdown,
which it keeps in `learning.md`. All of it takes four and a half minutes of one core.
"""

from __future__ import annotations

import argparse
import sys
from dataclasses import dataclass
from math import sqrt
from pathlib import Path

import numpy as np

if __name__ == "__main__":  # run by its name, it stands beside no package
    # The tests' own folder and the program's.
    sys.path[:0] = [str(Path(__file__).resolve().parents[at]) for at in (1, 2)]

from simulation.learning import CUPEL, SLAG, Factor, shop_that_learns
from vault.reckoning.contents import LearnedFactor
from vault.reckoning.drift import drifts_of
from vault.reckoning.guesses import DEFAULT
from vault.reckoning.reckoner import reckon
from vault.reckoning.solved_metal import SolvedMetal

RESULTS = Path(__file__).with_name("learning.md")
RANGE = 1.959964
KINDS = (SLAG, CUPEL)
# A house that keeps next to nothing of a kind is drawn no further down.
_LEAST_FACTOR = 0.15
_HEAD = (
    "| settled | kind | coverage of the 95 % range | rms error, of the first guess "
    "| drift told: none there | × 1.5 | × 2 | none there, scatter twice as guessed |"
)


@dataclass
class Learnt:
    """What was counted over shops of one sort, of one residue kind.

    Attributes:
        held: how often the 95 % range held the truth, where nothing changed.
        error_sq: sum of squared errors, relative to the first guess.
        drifts: how often a drift was told.
    """

    shops: int = 0
    held: int = 0
    error_sq: float = 0.0
    drifts: int = 0

    @property
    def coverage(self) -> float:
        """Share of the shops whose range held the truth."""
        return self.held / self.shops

    @property
    def error(self) -> float:
        """Root of the mean square of the relative errors."""
        return sqrt(self.error_sq / self.shops)

    @property
    def told(self) -> float:
        """Share of the shops in which a drift was told."""
        return self.drifts / self.shops


def learnt(
    shops: int, settled: int, *, change: float = 1.0, scatter: float = 1.0, first_seed: int = 0
) -> dict[str, Learnt]:
    """Draw shops and reckon them.

    Args:
        shops: how many.
        settled: how many slags and how many cupels are settled in each.
        change: by what the house's keep is multiplied for the second half of the lots.
        scatter: how much more batches scatter than they are taken to.
        first_seed: of the first shop.
    """
    found = {kind: Learnt() for kind in KINDS}
    for seed in range(first_seed, first_seed + shops):
        generator = np.random.default_rng(seed)
        house = {kind: _house(generator, kind) for kind in KINDS}
        factors = {kind: _changing(house[kind], change, settled // 2) for kind in KINDS}
        shop = shop_that_learns(generator, settled, factors, scatter=scatter)
        balance = reckon(shop.flow).balances["Ag"]
        assert isinstance(balance, SolvedMetal)
        for one in balance.factors():
            if one.kind in found:
                _count(found[one.kind], one, house[one.kind])
        for drift in drifts_of(balance):
            found[drift.kind].drifts += 1
    return found


def _house(generator: np.random.Generator, kind: str) -> float:
    spread = DEFAULT.keep(kind, "Ag").house
    return max(float(generator.gamma(1.0 / spread**2, spread**2)), _LEAST_FACTOR)


def _changing(house: float, change: float, since: int) -> Factor:
    return lambda lot: house * (change if lot >= since else 1.0)


def _count(counted: Learnt, factor: LearnedFactor, house: float) -> None:
    off = factor.now - house * factor.guess
    counted.shops += 1
    counted.held += abs(off) <= RANGE * factor.now_u
    counted.error_sq += (off / factor.guess) ** 2


def rows_of(shops: int) -> list[str]:
    """Give the rows of the table."""
    rows = [_HEAD, "|--|--|--|--|--|--|--|--|"]
    for settled in (10, 20, 40):
        steady = learnt(shops, settled)
        half = learnt(shops, settled, change=1.5)
        twice = learnt(shops, settled, change=2.0)
        wide = learnt(shops, settled, scatter=2.0)
        rows += [
            f"| {settled} | {kind} | {steady[kind].coverage:.3f} "
            f"| {100 * steady[kind].error:.0f} % "
            f"| {100 * steady[kind].told:.1f} % | {100 * half[kind].told:.0f} % "
            f"| {100 * twice[kind].told:.0f} % | {100 * wide[kind].told:.1f} % |"
            for kind in KINDS
        ]
    return rows


def main() -> None:
    """Run the study and keep its table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--shops", type=int, default=250)
    shops = parser.parse_args().shops
    rows = rows_of(shops)
    told = f"Made by `python tests/simulation/learning_study.py --shops {shops}`.\n\n"
    RESULTS.write_text(told + "\n".join(rows) + "\n", encoding="utf-8")
    print("\n".join(rows))  # noqa: T201  a program for the command line


if __name__ == "__main__":
    main()
