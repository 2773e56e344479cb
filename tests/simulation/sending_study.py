"""Does it pay to act on the verdict? Simulated shops with known truth, against fixed habits.

    python tests/simulation/sending_study.py --shops 100

prints, for each kind of shop, what acting on the verdict earns beside sending every quarter,
sending when the drum is full, and never sending, all in money of the first day, with how much more
the verdict earns and the standard error of that; and how often the 90 % ranges hold what comes; as
a table in Markdown, which it keeps in `sending.md`. One shop of each kind takes ten seconds.
"""

from __future__ import annotations

import argparse
import sys
from dataclasses import dataclass, field, replace
from math import sqrt
from pathlib import Path

import numpy as np

if __name__ == "__main__":  # run by its name, it stands beside no package
    # The tests' own folder and the program's.
    sys.path[:0] = [str(Path(__file__).resolve().parents[at]) for at in (1, 2)]

from simulation.sending import KINDS, Kind, truth_of
from simulation.sending_habits import (
    Ranges,
    every_quarter,
    never,
    on_the_verdict,
    when_full,
)
from vault.reckoning.choices import Way

RESULTS = Path(__file__).with_name("sending.md")


@dataclass
class Tally:
    """What the shops of one kind earned under each habit, shop by shop."""

    kind: Kind
    verdict: list[float] = field(default_factory=list)
    quarterly: list[float] = field(default_factory=list)
    full: list[float] = field(default_factory=list)
    never: list[float] = field(default_factory=list)
    unsampled: list[float] = field(default_factory=list)
    shipments: int = 0
    samplings: int = 0
    ranges: dict[Way, Ranges] = field(default_factory=Ranges.of_all)

    def ahead(self, habit: str) -> tuple[float, float]:
        """Give by how much more the verdict earns a shop, and the standard error of that."""
        more = np.array(self.verdict) - np.array(getattr(self, habit))
        return float(more.mean()), float(more.std(ddof=1) / sqrt(len(more)))


def study(kind: Kind, shops: int, first_seed: int = 0) -> Tally:
    """Play so many shops of a kind under every habit."""
    tally = Tally(kind)
    for seed in range(first_seed, first_seed + shops):
        truth = truth_of(kind, seed)
        verdict = on_the_verdict(kind, truth, tally.ranges)
        tally.verdict.append(verdict.earned)
        tally.shipments += verdict.shipments
        tally.samplings += verdict.samplings
        tally.quarterly.append(every_quarter(kind, truth).earned)
        tally.full.append(when_full(kind, truth).earned)
        tally.never.append(never(kind, truth).earned)
        if kind.samples:
            plain = on_the_verdict(replace(kind, samples=False), truth, Ranges.of_all())
            tally.unsampled.append(plain.earned)
    return tally


HEAD = (
    (
        "| shop | shops | on the verdict | every quarter | when the drum is full | never | "
        "on the verdict, never sampled | shipments, samples a shop | "
        "90 % ranges hold: sending | smelting here |"
    ),
    "|--|--|--|--|--|--|--|--|--|--|",
)


def row(tally: Tally) -> str:
    """Give the line of the table for one kind of shop."""
    count = len(tally.verdict)
    cells = [_amount(float(np.mean(tally.verdict)))]
    for habit in ("quarterly", "full", "never", "unsampled"):
        if getattr(tally, habit):
            more, slip = tally.ahead(habit)
            mean = float(np.mean(getattr(tally, habit)))
            cells.append(f"{_amount(mean)} ({_amount(more, '+')} ± {_amount(slip)})")
        else:
            cells.append("")
    here = tally.ranges[Way.WORK]
    told = f"{here.share:.3f}" if here.seen else ""
    return (
        f"| {tally.kind.name} | {count} | {' | '.join(cells)} | {tally.shipments / count:.1f}, "
        f"{tally.samplings / count:.1f} | "
        f"{tally.ranges[Way.SEND].share:.3f} | {told} |"
    )


def _amount(value: float, sign: str = "-") -> str:
    return f"{value:{sign},.0f}".replace(",", " ").replace("-", "−")


def main() -> None:
    """Run the study and keep its table, as far as it has got."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--shops", type=int, default=100)
    shops = parser.parse_args().shops
    rows = [f"Made by `python tests/simulation/sending_study.py --shops {shops}`.", "", *HEAD]
    for kind in KINDS:
        rows.append(row(study(kind, shops)))
        RESULTS.write_text("\n".join(rows) + "\n", encoding="utf-8")
        print(rows[-1], flush=True)  # noqa: T201  a program for the command line


if __name__ == "__main__":
    main()
