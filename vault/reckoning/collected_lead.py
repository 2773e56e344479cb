"""Lead that reaches a cupel within its feed: the collector of an earlier smelt.

A button that lead collected is mostly lead, and in the cupel that lead counts as much as lead added
there. Of lead added to a smelt a handbook share is taken to stay in its buttons; from there it goes
on with the metal, by weight, through every melt and division, and ends in the first cupel.
"""

from __future__ import annotations

from heapq import heappop, heappush

import numpy as np

from vault.core.daybook import Process
from vault.reckoning.facts import NOBODY, PROCESSES, Facts, Floats
from vault.reckoning.handbook import handbook
from vault.reckoning.weights import Weights


def lead_of_works(facts: Facts, weights: Weights) -> Floats:
    """Give the lead of every work: added there, and in a cupellation what its feed brings."""
    cupels = facts.works.process == PROCESSES.index(Process.CUPEL)
    share = handbook("cupels")["collected_lead"]["share"]
    brought = np.where(cupels, 0.0, share * facts.works.lead_g)
    waiting = np.flatnonzero(brought > 0.0).tolist()
    # Works stand in the order of the daybook, so whatever feeds a work comes before it.
    while waiting:
        work = heappop(waiting)
        while waiting and waiting[0] == work:
            heappop(waiting)
        if cupels[work]:
            continue
        items = facts.made.item[slice(*np.searchsorted(facts.made.work, [work, work + 1]))]
        items = items[facts.kind[items] == NOBODY]
        gross = weights.gross_g[items]
        known = not np.isnan(gross).any() and float(gross.sum()) > 0.0
        part = gross / gross.sum() if known else np.full(len(items), 1.0 / max(len(items), 1))
        # No button holds more lead than it weighs.
        grams = np.fmin(brought[work] * part, gross)
        for item, lead in zip(items.tolist(), grams.tolist(), strict=True):
            following = int(facts.user[item])
            if following != NOBODY and lead > 0.0:
                brought[following] += lead
                heappush(waiting, following)
    return np.where(cupels, facts.works.lead_g + brought, facts.works.lead_g)
