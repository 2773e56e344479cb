"""How each content is known: from what was said of the item itself, or of a sample of it."""

from __future__ import annotations

import numpy as np

from vault.core.daybook import Process
from vault.reckoning.facts import NOBODY, PROCESSES, WORD, Bools, Facts, Floats
from vault.reckoning.weights import Weights
from vault.reckoning.wholes import settled_alone

_SAMPLING = np.array([process in {Process.DIVIDE, Process.SAMPLE} for process in PROCESSES])


def assayed_items(facts: Facts, metal: int) -> Bools:
    """Tell which items a metal was measured in: on it, on a sample of it, or in a settlement.

    A sample speaks for what it was taken from and for what that was divided into.
    """
    said = facts.sayings
    measured = np.zeros(len(facts.tags), dtype=bool)
    measured[said.item[(said.metal == metal) & (said.source != WORD)]] = True
    measured |= settled_alone(facts, metal)
    is_sample = np.array([form == "sample" for form in facts.forms], dtype=bool)
    maker = facts.maker[measured & is_sample & (facts.maker != NOBODY)]
    spoken = np.zeros(len(facts.works.number), dtype=bool)
    spoken[maker[_SAMPLING[facts.works.process[maker]]]] = True
    measured[facts.made.item[spoken[facts.made.work]]] = True
    measured[facts.used.item[spoken[facts.used.work]]] = True
    return measured


def declared_doubts(facts: Facts, weights: Weights, metal: int) -> Floats:
    """Give the doubt in grams of what was declared of each item; NaN where nothing was."""
    said = facts.sayings
    mine = np.flatnonzero((said.metal == metal) & (said.source == WORD))
    doubt = np.full(len(facts.tags), np.nan)
    item = said.item[mine]
    doubt[item] = np.hypot(
        weights.gross_g[item] * said.u[mine], said.share[mine] * weights.u_g[item]
    )
    return doubt
