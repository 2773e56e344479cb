"""Acts: what can be done with residues without asking anybody, and what each brings.

Each act is played through in the same worlds (`worlds.py`), once with prices and recovery drawn as
well, and once with both as expected, which leaves the doubt about contents alone.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from vault.core.terms_sheets import TermsSheet
from vault.reckoning.choices import BestTime, Setting, Way
from vault.reckoning.circumstances import OwnWorking
from vault.reckoning.facts import Floats
from vault.reckoning.payable import Amount
from vault.reckoning.worlds import (
    Worlds,
    content_expected,
    recovery_expected,
    sent,
    waited,
    worked,
    worked_value,
)


@dataclass(frozen=True, slots=True, eq=False)
class Act:
    """One thing that can be done.

    Attributes:
        way, sheet, weeks: as in `Option`.
        drawn: (n,) what it brings in every world.
        steady: (n,) the same with prices and recovery as expected.
    """

    way: Way
    sheet: TermsSheet | None
    weeks: int
    drawn: Floats
    steady: Floats


def acts_of(setting: Setting, time: BestTime, worlds: Worlds) -> tuple[Act, ...]:
    """Give the acts that are possible; keeping always is, stands last, and counts as nothing."""
    costs = setting.circumstances
    both = (True, False)
    acts = []
    for sheet in setting.sheets:
        if sheet.holds_on(setting.day):
            drawn, steady = (sent(worlds, sheet, costs, foreseen=one) for one in both)
            acts.append(Act(Way.SEND, sheet, 0, drawn, steady))
    if time.weeks:
        drawn, steady = (waited(worlds, time, costs, foreseen=one) for one in both)
        acts.append(Act(Way.WAIT, time.sheet, time.weeks, drawn, steady))
    if costs.working is not None:
        drawn, steady = (worked(worlds, costs.working, costs, foreseen=one) for one in both)
        acts.append(Act(Way.WORK, None, 0, drawn, steady))
    nothing = np.zeros_like(worlds.received_g)
    return (*acts, Act(Way.KEEP, None, 0, nothing, nothing))


def work_expected(
    working: OwnWorking,
    setting: Setting,
    prices: Mapping[str, Amount],
    fine_g: Mapping[str, Amount],
    u_g: Mapping[str, Amount],
) -> Floats:
    """Give what smelting here is expected to bring (…).

    Args:
        working: what it takes and gives.
        setting: weight and costs.
        prices: (…) for a gram of each metal.
        fine_g: (…) estimates of the contents.
        u_g: (…) their doubts.
    """
    brought = np.zeros(())
    for metal, mean in fine_g.items():
        if metal in prices and metal in working.recovery:
            got = recovery_expected(*working.recovery[metal])
            brought = brought + got * content_expected(mean, u_g[metal]) * prices[metal]
    return worked_value(brought, setting.residues.received_g, working, setting.circumstances)
