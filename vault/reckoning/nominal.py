"""Nominal contents: plain bookkeeping, good enough to set the scale of the doubts.

Some rows of the balance have a doubt in proportion to what was fed. A nominal feed sets that scale:
first by plain bookkeeping from what was said, forward and backward along the works; then from the
first solution. Nothing else of it enters the balance.
"""

from __future__ import annotations

import numpy as np

from vault.reckoning.collected_lead import lead_of_works
from vault.reckoning.cupels import silver_share_kept
from vault.reckoning.facts import (
    KINDS,
    METAL_CODE,
    NOBODY,
    WORD,
    Bools,
    Facts,
    Floats,
    Ints,
    sums,
)
from vault.reckoning.guesses import Guesses, unnamed_share
from vault.reckoning.weights import Weights

# Where nothing at all is said of a feed: a share of its weight, only to have a scale; but no more
# of a metal that is seldom there than goes unnamed. Too small a scale does no harm at first, as the
# first solution knows its own doubt; too large a one is that doubt.
_BLIND_SHARE = 0.1
_BLIND_GRAMS = 1000.0
# Bookkeeping goes this many works deep from the nearest saying; the first solution does the rest.
_MOST_SWEEPS = 40


def keeps_of(guesses: Guesses, metal: str) -> Floats:
    """Give the share that each residue kind keeps of a metal, before any fit to the batch."""
    return np.array([guesses.keep(kind, metal).share for kind in KINDS])


def nominal_contents(
    facts: Facts,
    weights: Weights,
    region: Bools,
    metal: int,
    keeps: Floats,
    known: Floats | None = None,
) -> Floats:
    """Give grams of a metal in every item by plain bookkeeping; NaN where that does not reach.

    Where `known` is a number, an earlier reckoning gives it, and nothing that was said does.
    """
    fine = _said(facts, weights, metal)
    if known is not None:
        fine = np.where(np.isnan(known), fine, known)
    fine[~region] = 0.0
    added = added_of(facts, metal)[0]
    missing = int(np.isnan(fine).sum())
    for _ in range(_MOST_SWEEPS):
        if not missing:
            break
        _forward(facts, weights, fine, added, keeps)
        _backward(facts, weights, fine, added, keeps)
        left = int(np.isnan(fine).sum())
        if left == missing:
            break
        missing = left
    return fine


def feeds_of(facts: Facts, fine: Floats, weights: Weights, metal: int) -> Floats:
    """Give the nominal feed of every work in grams, never nothing and never unknown."""
    count = len(facts.works.number)
    added = np.nan_to_num(added_of(facts, metal)[0])
    feed = sums(facts.used.work, fine[facts.used.item], count) + added
    out = sums(facts.made.work, fine[facts.made.item], count)
    gross = gross_feeds_of(facts, weights) + added
    feed = np.where(np.isnan(feed), out, feed)
    feed = np.where(np.isnan(feed), min(_BLIND_SHARE, unnamed_share(metal)) * gross, feed)
    return np.clip(feed, 1e-6 * gross, gross)


def gross_feeds_of(facts: Facts, weights: Weights) -> Floats:
    """Give the weight of all items that went into every work, a blind guess where none is known."""
    count = len(facts.works.number)
    grams = sums(facts.used.work, np.nan_to_num(weights.gross_g[facts.used.item]), count)
    return np.where(grams > 0.0, grams, _BLIND_GRAMS)


def added_of(facts: Facts, metal: int) -> tuple[Floats, Floats]:
    """Give grams of a metal added to every work and their variance; NaN where not weighed."""
    mine = facts.additions.metal == metal
    count = len(facts.works.number)
    work = facts.additions.work[mine]
    grams = sums(work, facts.additions.fine_g[mine], count)
    return grams, sums(work, facts.additions.u_g[mine] ** 2, count)


def batch_keeps(
    facts: Facts, weights: Weights, feeds: Floats, metal: int, keeps: Floats, residues: Ints
) -> Floats:
    """Give the share that each of some residues is first guessed to keep of its work's feed.

    Constant per kind, except silver in cupels: the fit to the published rows gives it by the
    silver and the lead of the work, that of earlier smelts in its feed included.
    """
    share = keeps[facts.kind[residues]].copy()
    if metal != METAL_CODE["Ag"]:
        return share
    code = KINDS.index("spent cupel")
    cupels = facts.kind[residues] == code
    works = facts.maker[residues[cupels]]
    gross = gross_feeds_of(facts, weights)
    lead = lead_of_works(facts, weights)
    fitted = silver_share_kept(feeds[works], lead[works], gross[works])
    share[cupels] = fitted * (keeps[code] / _HANDBOOK_CUPEL)
    return share


# The handbook's own constant share, against which a shop's own figure scales the fit.
_HANDBOOK_CUPEL = Guesses().keep("spent cupel", "Ag").share


def _said(facts: Facts, weights: Weights, metal: int) -> Floats:
    """Give grams by the weighted mean of what was said of each item itself."""
    said = facts.sayings
    mine = said.metal == metal
    item = said.item[mine]
    gross = np.where(np.isnan(said.gross_g[mine]), weights.gross_g[item], said.gross_g[mine])
    # A word never outweighs an assay, however sure it sounds.
    weight = np.where(said.source[mine] == WORD, 1e-6, 1.0) / said.u[mine] ** 2
    count = len(facts.tags)
    whole = sums(item, weight, count)
    grams = sums(item, weight * said.share[mine] * gross, count)
    return np.where(whole > 0.0, grams / np.where(whole > 0.0, whole, 1.0), np.nan)


def _forward(facts: Facts, weights: Weights, fine: Floats, added: Floats, keeps: Floats) -> None:
    made, count = facts.made, len(facts.works.number)
    feed = sums(facts.used.work, fine[facts.used.item], count) + added
    lacking = np.isnan(fine[made.item])
    residue = lacking & (facts.kind[made.item] != NOBODY)
    items = made.item[residue]
    fine[items] = keeps[facts.kind[items]] * feed[made.work[residue]]
    lacking = np.isnan(fine[made.item])
    rest = feed - sums(made.work, np.where(lacking, 0.0, fine[made.item]), count)
    _share_out(weights, fine, made.item[lacking], made.work[lacking], np.maximum(rest, 0.0))


def _backward(facts: Facts, weights: Weights, fine: Floats, added: Floats, keeps: Floats) -> None:
    used, made, count = facts.used, facts.made, len(facts.works.number)
    residue = facts.kind[made.item] != NOBODY
    kept = np.where(residue, keeps[facts.kind[made.item]], 0.0)
    share = sums(made.work, kept, count)
    aims = sums(made.work[~residue], fine[made.item[~residue]], count)
    feed = aims / np.maximum(1.0 - share, 0.1) - added
    lacking = np.isnan(fine[used.item])
    known = sums(used.work, np.where(lacking, 0.0, fine[used.item]), count)
    rest = np.maximum(feed - known, 0.0)
    _share_out(weights, fine, used.item[lacking], used.work[lacking], rest)


def _share_out(weights: Weights, fine: Floats, items: Ints, works: Ints, rest: Floats) -> None:
    """Share what is left of each work among its items by their weight, or else evenly."""
    if not len(items):
        return
    gross = weights.gross_g[items]
    count = len(rest)
    unweighed = sums(works, np.isnan(gross), count) > 0
    part = np.where(unweighed[works], 1.0, gross)
    whole = sums(works, part, count)
    fine[items] = rest[works] * part / np.maximum(whole[works], 1e-12)
