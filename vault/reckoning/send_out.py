"""Send out, wait, sample, work here or keep: what each would bring for residues, and what is best.

Every option is played through in the same worlds (`worlds.py`), so that its range, the chance that
it is worse than keeping and the margin between two of them belong together. Nothing is advised
here and nothing is worded: the pieces are given, and the owner decides.

What would be worth knowing is told in money. With a the acts and x the contents,

    cost of doubt = E[max over a of E[net of a | x]] − max over a of E[net of a],

the expected value of perfect information; prices and recovery, which no assay tells, stay as they
are expected to be.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date

import numpy as np

from vault.core.terms_sheets import TermsSheet
from vault.reckoning.acts import Act, acts_of
from vault.reckoning.best_time import best_time, grown, outlook_of
from vault.reckoning.break_even import pays_from_g, pays_from_grade
from vault.reckoning.choices import (
    Choice,
    Making,
    NotCounted,
    Option,
    Residues,
    Setting,
    Way,
    WorkedHere,
)
from vault.reckoning.circumstances import Circumstances, OwnWorking
from vault.reckoning.facts import Floats
from vault.reckoning.net_return import NetReturn, net_of
from vault.reckoning.one_thread import one_thread
from vault.reckoning.sample_first import sampled_first, sampling_costs, worth_of_knowing
from vault.reckoning.turns import turns_of
from vault.reckoning.worlds import working_costs, worlds_of

_WORLDS = 4096
_LOW, _HIGH = 5.0, 95.0
_GRAMS_PER_KG = 1000.0


def choose(
    residues: Residues,
    sheets: Sequence[TermsSheet],
    circumstances: Circumstances,
    day: date,
    making: Making | None = None,
) -> Choice:
    """Give what could be done with residues, and what is best.

    Args:
        residues: what lies there, as far as it is known.
        sheets: of each, the version in force; those past their last day and those in another
            currency are not used, the latter are named.
        circumstances: prices and costs.
        day: today.
        making: how fast the shop makes more of the same; None where it makes no more.
    """
    setting = setting_of(residues, sheets, circumstances, day, making)
    with one_thread():
        return _chosen(setting, sheets)


def setting_of(
    residues: Residues,
    sheets: Sequence[TermsSheet],
    circumstances: Circumstances,
    day: date,
    making: Making | None = None,
) -> Setting:
    """Give what a choice is asked about, with those of the sheets that can be used."""
    usable = tuple(
        one
        for one in sheets
        if one.currency == circumstances.currency
        and (one.valid_until is None or day <= one.valid_until)
    )
    return Setting(residues, making, usable, circumstances, day)


def _chosen(setting: Setting, sheets: Sequence[TermsSheet]) -> Choice:
    time = best_time(outlook_of(setting), setting)
    worlds = worlds_of(setting.residues, setting.making, _WORLDS)
    acts = acts_of(setting, time, worlds)
    options = [_option(one, setting) for one in acts]
    drawn = [one.drawn for one in acts]
    best_known = max(options, key=lambda one: one.net)
    turns = turns_of(setting, time, options, best_known)
    sampling = setting.circumstances.sampling
    if sampling is not None and setting.residues.metals:
        costs = sampling_costs(setting.residues, setting.circumstances, sampling)
        sampled = sampled_first(setting, time, worlds, acts, sampling)
        payoff = sampled.drawn - costs
        first = replace(
            _told(payoff, Way.SAMPLE), net=best_known.net + sampled.worth - costs, costs=costs
        )
        options.insert(-1, first)
        drawn.insert(-1, payoff)
    best = max(range(len(options)), key=lambda at: options[at].net)
    others = [at for at in range(len(options)) if at != best and options[at].way is not Way.SAMPLE]
    # Where nothing else is possible, keeping is both.
    second = max(others, key=lambda at: options[at].net, default=best)
    ahead = drawn[best] - drawn[second]
    return Choice(
        options=tuple(options),
        best=options[best],
        runner_up=options[second],
        margin=options[best].net - options[second].net,
        margin_u=float(ahead.std()),
        margin_surely=float(np.mean(ahead > 0.0)),
        best_known=best_known,
        turns=turns,
        time=time,
        doubt_costs=worth_of_knowing(np.array([one.steady for one in acts])),
        all_doubt_costs=worth_of_knowing(np.array([one.drawn for one in acts])),
        not_counted=_not_counted(setting, sheets),
    )


def _option(act: Act, setting: Setting) -> Option:
    told = replace(_told(act.drawn, act.way), sheet=act.sheet, weeks=act.weeks)
    working = setting.circumstances.working
    if act.sheet is not None:
        told = replace(told, lines=_lines(act.sheet, act.weeks, setting))
        if act.way is Way.SEND:
            told = replace(
                told,
                pays_from_g=pays_from_g(setting, act.sheet),
                pays_from_grade=pays_from_grade(setting, act.sheet),
            )
    elif act.way is Way.WORK and working is not None:
        told = replace(told, worked=_worked_here(setting, working))
    return told


def _told(drawn: Floats, way: Way) -> Option:
    """Give an option with no more than what its draws tell."""
    low, high = np.percentile(drawn, [_LOW, _HIGH]).tolist()
    return Option(
        way=way,
        sheet=None,
        weeks=0,
        net=float(drawn.mean()),
        low=low,
        high=high,
        u=float(drawn.std()),
        worse_than_keeping=float(np.mean(drawn < 0.0)),
    )


def _lines(sheet: TermsSheet, weeks: int, setting: Setting) -> NetReturn:
    """Give the net return at the estimates and today's prices."""
    adds = setting.making or Making(0.0, 0.0, {})
    parcel, _ = grown(setting.residues, adds, np.array(float(weeks)))
    return net_of(parcel, sheet, setting.circumstances.prices, setting.circumstances.interest)


def _worked_here(setting: Setting, working: OwnWorking) -> WorkedHere:
    """Give what smelting here takes and leaves, at the estimates."""
    residues = setting.residues
    grams = {
        metal: max(content, 0.0)
        for metal, content in zip(residues.metals, residues.fine_g, strict=True)
        if metal in working.recovery
    }
    kg = np.array(residues.received_g / _GRAMS_PER_KG)
    flux, energy, wages = working_costs(kg, working, setting.circumstances)
    return WorkedHere(
        recovered_g={metal: working.recovery[metal][0] * one for metal, one in grams.items()},
        left_g={metal: working.kept[metal] * one for metal, one in grams.items()},
        flux=float(flux),
        energy=float(energy),
        wages=float(wages),
    )


def _not_counted(setting: Setting, sheets: Sequence[TermsSheet]) -> NotCounted:
    residues, costs = setting.residues, setting.circumstances
    lines = [_lines(one, 0, setting) for one in setting.sheets]

    def named(words: Iterable[Iterable[str]]) -> tuple[str, ...]:
        return tuple(dict.fromkeys(word for some in words for word in some))

    return NotCounted(
        things=residues.left_out,
        metals=named(one.not_known for one in lines),
        unpriced=tuple(one for one in residues.metals if one not in costs.prices),
        elements=named(one.not_told for one in lines),
        sheets=tuple(one.name for one in sheets if one.currency != costs.currency),
        dry=any(one.dry_not_told for one in lines),
    )
