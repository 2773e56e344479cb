"""Sampling first: what it is worth to blend, sample and assay everything before choosing.

A sample measures the contents x with an error e of known spread, y = x + e. With C the covariance
of the contents and U that of the errors, what is then known of them is normal with

    mean + C(C + U)⁻¹(y − mean)        and        C − C(C + U)⁻¹C,

and the act is chosen that brings most by that. In every world a sample is drawn, the act chosen,
and what it brings there counted; the expectation of the best, less the best of the expectations
now, is what the sample is worth. The week of waiting is not chosen anew, so that it is worth a
little more than told.

Reference: H. Raiffa, R. Schlaifer, Applied Statistical Decision Theory, 1961, chapter 4 on
preposterior analysis (from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from vault.core.terms_sheets import TermsSheet
from vault.reckoning.acts import Act, work_expected
from vault.reckoning.best_time import space_until, weekly
from vault.reckoning.choices import BestTime, Making, Residues, Setting, Way
from vault.reckoning.circumstances import Circumstances, OwnSampling
from vault.reckoning.expected_net import expected_under
from vault.reckoning.facts import Floats
from vault.reckoning.lumps import sample_share_u
from vault.reckoning.net_return import Parcel
from vault.reckoning.payable import Amount
from vault.reckoning.worlds import Worlds

_GRAMS_PER_KG = 1000.0


@dataclass(frozen=True, slots=True, eq=False)
class Sampled:
    """What comes of sampling first, before its cost.

    Attributes:
        worth: by how much the best is expected to bring more, never below nothing.
        drawn: (n,) what the act chosen in each world brings there.
    """

    worth: float
    drawn: Floats


@dataclass(frozen=True, slots=True, eq=False)
class Known:
    """What is known of the contents in each of many cases.

    Attributes:
        shift: (m, n) how far the estimates of the present stock have moved.
        covariance: (m, m) of what is left of the doubt, the same in all cases.
    """

    shift: Floats
    covariance: Floats


def sampling_costs(
    residues: Residues, circumstances: Circumstances, sampling: OwnSampling
) -> float:
    """Give what it costs to blend and sample residues and to assay the metals they hold."""
    hours = sampling.hours_per_lot + sampling.hours_per_kg * residues.received_g / _GRAMS_PER_KG
    return hours * circumstances.wage_per_hour + sampling.assay * len(residues.metals)


def sample_u(residues: Residues, sampling: OwnSampling) -> Floats:
    """Give (m,) how far a sample of blended residues and its assay may be off, in grams.

    Relative, √(a² + C(1/m − 1/G)): the assay's own part and Gy's, with C of the material, the
    sample m and the whole G. Of what is not there the doubt about it stands for the content.
    """
    lumps = sample_share_u(residues.lumps_g, sampling.sample_g, residues.received_g)
    own = np.sqrt(np.diag(np.array(residues.covariance_g2)))
    scale = np.maximum(np.abs(np.array(residues.fine_g)), own)
    found: Floats = scale * np.hypot(sampling.assay_share, lumps)
    return found


def sampled_first(
    setting: Setting, time: BestTime, worlds: Worlds, acts: Sequence[Act], sampling: OwnSampling
) -> Sampled:
    """Give what comes of sampling everything first, in every world."""
    u = sample_u(setting.residues, sampling)
    covariance = np.array(setting.residues.covariance_g2)
    means = np.array(setting.residues.fine_g)[:, None]
    gain = covariance @ np.linalg.pinv(covariance + np.diag(u**2))
    shift = gain @ (worlds.contents_g - means + u[:, None] * worlds.slips)
    known = Known(shift, covariance - gain @ covariance)
    expected = np.array([expectation(one, setting, time, known) for one in acts])
    chosen = expected.argmax(axis=0)
    drawn = np.array([one.drawn for one in acts])[chosen, np.arange(len(chosen))]
    return Sampled(worth=worth_of_knowing(expected), drawn=drawn)


def worth_of_knowing(expected: Floats) -> float:
    """Give the mean over cases of the best act, less the best act by its mean.

    Args:
        expected: (a, n) what each act is expected to bring in each case.
    """
    return max(float(expected.max(axis=0).mean() - expected.mean(axis=1).max()), 0.0)


def expectation(act: Act, setting: Setting, time: BestTime, known: Known) -> Floats:
    """Give (n,) what an act is expected to bring once the contents are known so far."""
    costs = setting.circumstances
    if act.way is Way.WORK and costs.working is not None:
        grams, u = _contents_after(setting, 0, known, stock=True)
        return work_expected(costs.working, setting, costs.prices, grams, u)
    if act.sheet is None:
        return np.zeros(known.shift.shape[1])
    net = _net(act.sheet, setting, act.weeks, known, stock=True)
    if not act.weeks:
        return net
    i, weeks = weekly(costs), np.array([float(act.weeks)])
    adds = setting.making.weight_g if setting.making else 0.0
    following = np.zeros(())
    if time.every_weeks is not None and time.every_sheet is not None:
        every = time.every_weeks
        each = np.exp(-i * every) * _net(time.every_sheet, setting, every, known, stock=False)
        each = each - space_until(np.array([float(every)]), 0.0, adds, costs)[0]
        following = each / -np.expm1(-i * every)
    kept = float(np.exp(-i * act.weeks))
    occupied = space_until(weeks, setting.residues.received_g, adds, costs)[0]
    found: Floats = kept * net - (1.0 - kept) * following - occupied
    return found


def _net(sheet: TermsSheet, setting: Setting, weeks: int, known: Known, *, stock: bool) -> Floats:
    """Give (n,) the expected net after some weeks, with the present stock or of a later heap."""
    residues, costs = setting.residues, setting.circumstances
    grams, u = _contents_after(setting, weeks, known, stock=stock)
    adds = setting.making.weight_g if setting.making else 0.0
    received = residues.received_g * stock + adds * weeks
    dry = None if residues.dry_share is None else residues.dry_share * received
    parcel = Parcel(received, grams, dry, residues.not_known, residues.shares)
    return expected_under(sheet, parcel, u, costs.interest).at(costs.prices)


def _contents_after(
    setting: Setting, weeks: int, known: Known, *, stock: bool
) -> tuple[dict[str, Amount], dict[str, Amount]]:
    """Give estimates and doubts of what is there after some weeks.

    What is learnt of the stock tells of the rate as well, as far as the two are tied.
    """
    residues, making = setting.residues, setting.making or Making(0.0, 0.0, {})
    grams: dict[str, Amount] = {}
    doubts: dict[str, Amount] = {}
    for at, metal in enumerate(residues.metals):
        rate, rate_u = making.fine_g.get(metal, (0.0, 0.0))
        u = float(np.sqrt(residues.covariance_g2[at][at]))
        tied = making.tied if u > 0.0 else 0.0
        times = stock + (weeks * tied * rate_u / u if u > 0.0 else 0.0)
        own = (1.0 - tied**2) * (weeks * rate_u) ** 2
        grams[metal] = residues.fine_g[at] * stock + rate * weeks + times * known.shift[at]
        doubts[metal] = float(np.sqrt(max(times**2 * known.covariance[at, at] + own, 0.0)))
    return grams, doubts
