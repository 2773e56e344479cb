"""How honest is the ±? Random shops with known truth, reckoned, against what is stated.

    python tests/simulation/study.py --shops 1000

prints, for each scenario, how often the stated 95 % ranges hold the truth, how often a sound book
raises an alarm, and how far the residue total is off beside plain bookkeeping; as a table in
Markdown. One shop takes a few hundredths of a second.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections import Counter
from dataclasses import dataclass, field
from math import sqrt
from pathlib import Path

import numpy as np

if __name__ == "__main__":  # run by its name, it stands beside no package
    # The tests' own folder and the program's.
    sys.path[:0] = [str(Path(__file__).resolve().parents[at]) for at in (1, 2)]

from scipy.special import gammaincc

from simulation.shops import COMMON_FACTOR_LEFT_OUT, SCENARIOS, Scenario, Shop, simulated
from vault.core.knowledge import How
from vault.reckoning.contents import Contents
from vault.reckoning.doubts import critical_z
from vault.reckoning.facts import METAL_CODE, facts_of
from vault.reckoning.nominal import keeps_of, nominal_contents
from vault.reckoning.reckoner import reckon
from vault.reckoning.regions import region_of
from vault.reckoning.solved_metal import SolvedMetal
from vault.reckoning.weights import weights_of

# 95 % of a normal distribution lie within this many standard uncertainties.
RANGE = 1.959964


@dataclass
class Tally:
    """What was counted over the shops of one scenario."""

    scenario: str
    shops: int = 0
    items: int = 0
    seen: Counter[str] = field(default_factory=Counter)
    held: Counter[str] = field(default_factory=Counter)
    totals: int = 0
    total_held: int = 0
    plain_sum_held: int = 0
    engine_sq: float = 0.0
    bookkeeping_sq: float = 0.0
    truth: float = 0.0
    alarms: Counter[str] = field(default_factory=Counter)
    factors: int = 0
    factors_held: int = 0
    seconds: float = 0.0

    def coverage(self, kind: str = "") -> float:
        """Give how often the ranges of a kind of item, or of all, hold the truth."""
        if kind:
            return self.held[kind] / self.seen[kind]
        return sum(self.held.values()) / sum(self.seen.values())

    def total_coverage(self) -> float:
        return self.total_held / self.totals

    def error_ratio(self) -> float:
        """Give the rms error of the residue total beside that of plain bookkeeping."""
        return sqrt(self.engine_sq / self.bookkeeping_sq)


def study(scenario: Scenario, shops: int, first_seed: int = 0) -> Tally:
    """Reckon so many shops of a scenario and tally them."""
    tally = Tally(scenario.name)
    for seed in range(first_seed, first_seed + shops):
        shop = simulated(scenario, seed)
        start = time.process_time()
        contents = reckon(shop.flow, guesses=scenario.guesses)
        tally.seconds += time.process_time() - start
        tally.shops += 1
        tally.items += len(shop.truth)
        for metal in scenario.metals:
            _items(tally, shop, contents, metal)
            _residues(tally, shop, contents, scenario, metal)
            _factors(tally, shop, contents, metal)
        tally.alarms.update(_alarms(contents))
    return tally


def _items(tally: Tally, shop: Shop, contents: Contents, metal: str) -> None:
    for tag, fine in shop.truth.items():
        content = contents.of(tag).get(metal)
        if content is None or content.how is How.NOT_KNOWN:
            continue
        kind = shop.kinds[tag]
        tally.seen[kind] += 1
        tally.held[kind] += abs(content.fine_g - fine[metal]) <= RANGE * content.u_g


def _residues(tally: Tally, shop: Shop, contents: Contents, scenario: Scenario, metal: str) -> None:
    total = contents.total(shop.locked_up(), metal)
    tags = [tag for tag in shop.locked_up() if tag not in total.not_known]
    true = sum(shop.truth[tag][metal] for tag in tags)
    alone = sqrt(sum(contents.of(tag)[metal].u_g ** 2 for tag in tags))
    error = total.fine_g - true
    tally.totals += 1
    tally.total_held += abs(error) <= RANGE * total.u_g
    tally.plain_sum_held += abs(error) <= RANGE * alone
    tally.engine_sq += (error / true) ** 2
    tally.bookkeeping_sq += (_bookkeeping(shop, scenario, metal, tags) / true - 1.0) ** 2


def _bookkeeping(shop: Shop, scenario: Scenario, metal: str, tags: list[str]) -> float:
    """Give the residue total as fixed factors and what was said of each thing would have it."""
    flow = shop.flow
    facts = facts_of(flow.items.values(), flow.works.values(), scenario.guesses)
    code, weights = METAL_CODE[metal], weights_of(facts)
    keeps = keeps_of(scenario.guesses, metal)
    fine = nominal_contents(facts, weights, region_of(facts, code), code, keeps)
    place = {tag: at for at, tag in enumerate(facts.tags)}
    return float(np.nansum([fine[place[tag]] for tag in tags]))


def _factors(tally: Tally, shop: Shop, contents: Contents, metal: str) -> None:
    for factor in contents.house_factors:
        true = shop.factors.get((factor.kind, metal))
        if factor.metal == metal and true is not None:
            tally.factors += 1
            tally.factors_held += abs(factor.now - factor.guess * true) <= RANGE * factor.now_u


def _alarms(contents: Contents) -> set[str]:
    """Give the alarms of one shop, all metals together."""
    misfit, freedom, worst, tests = 0.0, 0.0, 0.0, 1
    for balance in contents.balances.values():
        assert isinstance(balance, SolvedMetal)
        more = balance.misfit()
        misfit, freedom = misfit + more[0], freedom + more[1]
        tests = balance.tests
        for number in balance.families:
            worst = max(worst, float(np.abs(balance.doubts(number).z).max()))
    chance = float(gammaincc(freedom / 2.0, misfit / 2.0))
    found = {name for name, level in (("5 %", 0.05), ("1 %", 0.01)) if chance < level}
    return found | ({"record"} if worst > critical_z(tests) else set())


def table(tallies: list[Tally]) -> str:
    """Give the tallies as two tables in Markdown."""
    heads = (
        "scenario",
        "shops",
        "items a shop",
        "coverage of 95 % ranges: items",
        "house factors",
        "residue total: with covariance / root-sum-square",
        "rms error of that total: engine / plain bookkeeping",
        "χ² alarms at 5 % / 1 %",
        "any-record alarm at 5 %",
        "ms of one core a shop",
    )
    lines = [f"| {' | '.join(heads)} |", "|--" * len(heads) + "|"]
    for one in tallies:
        count = one.totals
        lines.append(
            f"| {one.scenario} | {one.shops} | {one.items / one.shops:.0f} | {one.coverage():.3f} "
            f"| {one.factors_held / max(one.factors, 1):.3f} "
            f"| {one.total_coverage():.3f} / {one.plain_sum_held / count:.3f} "
            f"| {100 * sqrt(one.engine_sq / count):.1f} % / "
            f"{100 * sqrt(one.bookkeeping_sq / count):.1f} % "
            f"| {100 * one.alarms['5 %'] / one.shops:.1f} / "
            f"{100 * one.alarms['1 %'] / one.shops:.1f} % "
            f"| {100 * one.alarms['record'] / one.shops:.1f} % "
            f"| {1000 * one.seconds / one.shops:.0f} |"
        )
    kinds = sorted({kind for one in tallies for kind in one.seen})
    lines += [
        "",
        "| coverage by kind | " + " | ".join(kinds) + " |",
        "|--" * (len(kinds) + 1) + "|",
    ]
    for one in tallies:
        cells = [f"{one.coverage(kind):.3f}" if one.seen[kind] else "" for kind in kinds]
        lines.append(f"| {one.scenario} | " + " | ".join(cells) + " |")
    return "\n".join(lines)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("--shops", type=int, default=1000, help="shops for each scenario")
    shops = parser.parse_args().shops
    print(table([study(one, shops) for one in (*SCENARIOS, COMMON_FACTOR_LEFT_OUT)]))  # noqa: T201  # it is what the command is for


if __name__ == "__main__":
    main()
