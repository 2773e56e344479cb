"""Turns: the levels of a price or a content at which something else becomes best.

One price, or the estimate of one content, is moved up and down with all else as it is, and what
each option is expected to bring is followed; waiting chooses its week anew at every level. The
first level on each side at which another option comes out on top is told, to a thousandth of what
was searched.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from vault.core.terms_sheets import TermsSheet
from vault.reckoning.acts import work_expected
from vault.reckoning.best_time import MOST_WEEKS, MOST_WEEKS_BETWEEN, Outlook, grown, outlook_of
from vault.reckoning.choices import BestTime, Hinge, Making, Option, Setting, Turn, Way
from vault.reckoning.expected_net import ExpectedNet, expected_grams
from vault.reckoning.facts import Floats
from vault.reckoning.net_return import weight_of
from vault.reckoning.payable import Amount

# Levels looked at on each side: down to nothing, and up to so many times what stands there.
_LEVELS = 33
_MOST_TIMES = 16.0
# Weeks looked at, the farther apart the later they are.
_SOME_WEEKS = 40

Which = tuple[Way, TermsSheet | None]


@dataclass(frozen=True, slots=True, eq=False)
class _Scale:
    """What every option is expected to bring at moved prices or contents.

    Attributes:
        setting: what is asked about.
        outlook: at some weeks only, the first of them now.
        which: the options, in the order of the rows of `at`.
        offset: (a, 1) by how much the draws of today lie above the expectation.
    """

    setting: Setting
    outlook: Outlook
    which: tuple[Which, ...]
    offset: Floats

    def at(self, hinge: Hinge, metal: str, levels: Floats) -> Floats:
        """Give (a, f) what each option is expected to bring where one thing is at some levels."""
        prices: dict[str, Amount] = dict(self.setting.circumstances.prices)
        fine: dict[str, Floats] = {}
        outlook = self.outlook
        if hinge is Hinge.PRICE:
            prices[metal] = levels[:, None]
        else:
            fine[metal] = levels[:, None]
            outlook = replace(outlook, stock=self._stock(metal, levels[:, None]))
        rows = []
        for curve in outlook.curves(prices):
            whole = np.broadcast_to(curve, (len(levels), len(outlook.weeks)))
            rows += [whole[:, 0], whole[:, 1:].max(axis=1)]
        working = self.setting.circumstances.working
        if working is not None:
            residues = self.setting.residues
            told: dict[str, Amount] = dict(zip(residues.metals, residues.fine_g, strict=True))
            told |= fine
            worked = work_expected(working, self.setting, prices, told, doubts_of(self.setting))
            rows.append(np.broadcast_to(worked, (len(levels), 1))[:, 0])
        rows.append(np.zeros(len(levels)))
        return np.array(rows) + self.offset

    def _stock(self, metal: str, content: Floats) -> tuple[ExpectedNet, ...]:
        """Give what is expected under each sheet where one content is another, (f, 1) grams."""
        setting, now = self.setting, self.outlook.stock
        made = setting.making or Making(0.0, 0.0, {})
        parcel, doubts = grown(setting.residues, made, self.outlook.weeks, {metal: content})
        found = []
        for sheet, one in zip(setting.sheets, now, strict=True):
            terms = sheet.terms_of(metal)
            if terms is not None:
                grams = expected_grams(
                    terms, weight_of(parcel, sheet), parcel.contents_g[metal], doubts[metal]
                )
                found.append(replace(one, grams={**one.grams, metal: grams}))
            else:
                found.append(one)
        return tuple(found)


def doubts_of(setting: Setting) -> dict[str, float]:
    """Give the standard uncertainty of each content, in grams."""
    residues = setting.residues
    return {
        metal: float(np.sqrt(residues.covariance_g2[at][at]))
        for at, metal in enumerate(residues.metals)
    }


def turns_of(
    setting: Setting, time: BestTime, options: Sequence[Option], best: Option
) -> tuple[Turn, ...]:
    """Give the nearest levels at which another option than the best becomes best.

    Args:
        setting: what is asked about.
        time: when to send.
        options: all but sampling first.
        best: that of them which brings most.
    """
    scale = _scale_of(setting, time, options)
    prices, doubts = setting.circumstances.prices, doubts_of(setting)
    mine = scale.which.index((best.way, best.sheet))
    found = []
    for metal, content in zip(setting.residues.metals, setting.residues.fine_g, strict=True):
        if metal not in prices:
            continue
        for hinge, now, reach in (
            (Hinge.PRICE, prices[metal], prices[metal]),
            (Hinge.CONTENT, content, max(content, doubts[metal])),
        ):
            down = np.linspace(now, min(now, 0.0), _LEVELS)
            up = now + reach * (np.geomspace(1.0, _MOST_TIMES, _LEVELS) - 1.0)
            for levels in (down, up):
                turn = _first_turn(scale, hinge, metal, levels, mine)
                found += [turn] if turn is not None else []
    return tuple(found)


def _scale_of(setting: Setting, time: BestTime, options: Sequence[Option]) -> _Scale:
    weeks = np.append(0.0, _some(MOST_WEEKS, time.weeks))
    between = _some(MOST_WEEKS_BETWEEN, time.every_weeks)
    which: list[Which] = []
    for sheet in setting.sheets:
        which += [(Way.SEND, sheet), (Way.WAIT, sheet)]
    if setting.circumstances.working is not None:
        which.append((Way.WORK, None))
    which.append((Way.KEEP, None))
    outlook = outlook_of(setting, weeks=weeks, between=between)
    plain = _Scale(setting, outlook, tuple(which), np.zeros((len(which), 1)))
    priced = [one for one in setting.residues.metals if one in setting.circumstances.prices]
    if not priced:
        return plain
    today = np.array([setting.circumstances.prices[priced[0]]])
    expected = dict(zip(which, plain.at(Hinge.PRICE, priced[0], today)[:, 0].tolist(), strict=True))
    more = {(one.way, one.sheet): one.net - expected[one.way, one.sheet] for one in options}
    # Waiting that is not offered leaves its expectation as sending now under its sheet does.
    offset = [more.get((way, sheet), more.get((Way.SEND, sheet), 0.0)) for way, sheet in which]
    return replace(plain, offset=np.array(offset)[:, None])


def _some(most: int, also: int | None) -> Floats:
    """Give weeks from 1 on, the farther apart the later, with one that must be among them."""
    spread = np.round(np.geomspace(1.0, most, _SOME_WEEKS))
    return np.unique(np.append(spread, float(also or 1)))


def _first_turn(scale: _Scale, hinge: Hinge, metal: str, levels: Floats, mine: int) -> Turn | None:
    """Give the first of some levels, beginning at today's, at which another option is best."""
    now, top = float(levels[0]), mine
    for _ in range(2):
        values = scale.at(hinge, metal, levels)
        others = np.flatnonzero(values[:, 1:].argmax(axis=0) != mine)
        if not len(others):
            return None
        at = int(others[0]) + 1
        top = int(values[:, at].argmax())
        levels = np.linspace(levels[at - 1], levels[at], _LEVELS)
    way, sheet = scale.which[top]
    return Turn(hinge, metal, now, float(levels[-1]), way, sheet)
