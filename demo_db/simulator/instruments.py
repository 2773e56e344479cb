"""Scales and assays: a reading is the truth, an error drawn from its stated doubt, and a step."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

from demo_db.simulator.dice import Dice
from demo_db.simulator.stuff import PRECIOUS, UG, Stuff
from vault.core.daybook import Said
from vault.core.fineness import PPB_PER_PERMILLE, WHOLE_PPB, Fineness
from vault.core.masses import Mass

# The scales of the shop: up to which weight, step and standard uncertainty in micrograms.
SCALES = (
    (20 * UG, 1_000, 2_000),
    (1_000 * UG, 10_000, 20_000),
    (2_200 * UG, 10_000, 50_000),
    (1_000_000 * UG, 1_000_000, 1_000_000),
)


@dataclass(frozen=True, slots=True)
class Reading:
    """What a scale showed, with the standard uncertainty that the shop states for it."""

    gross: Mass
    u: Mass


def weigh(truth_ug: int, dice: Dice) -> Reading:
    """Put something on the smallest scale that takes it.

    The step adds its own doubt of step / √12 (JCGM 100:2008, F.2.2.1); both together are u.
    """
    for most, step, u in SCALES:
        if truth_ug <= most:
            sd = sqrt(u * u - step * step / 12.0)
            steps = round((truth_ug + dice.normal(sd)) / step)
            return Reading(Mass(max(steps, 1) * step), Mass(u))
    raise ValueError(f"no scale takes {truth_ug} µg")


# Below half a per mille nobody looks for platinum metals (common practice, no source).
_LOOKED_FOR = {"Ag": 0.0, "Au": 0.0, "Pt": 0.0005, "Pd": 0.0005}


def doubt_permille(method: str, permille: float) -> float:
    """Give the standard uncertainty in ‰ that the shop states for a method at a content.

    Small shops' fire assay is wider than the 0.08 ‰ of listed refiners (LBMA 2021); XRF 4.1 ‰
    from fifteen published pairs; the rest is common practice without a source.
    """
    if method == "XRF":
        return 4.0 if permille > 40.0 else max(0.1 * permille, 0.2)
    if method == "ICP":
        return max(0.012 * permille, 0.002)
    if permille > 300.0:
        return 0.5
    if permille > 20.0:
        return max(0.004 * permille, 0.2)
    return max(0.02 * permille, 0.004)


def said(metal: str, share: float, doubt: float, dice: Dice) -> Said | None:
    """Read one metal's fineness; None where it cannot be told from nothing."""
    u_ppb, step = _stated(doubt)
    if share * WHOLE_PPB < 4 * u_ppb:
        return None
    read = share * WHOLE_PPB + dice.normal(sqrt(u_ppb * u_ppb - step * step / 12.0))
    ppb = min(max(round(read / step), 0) * step, WHOLE_PPB)
    return Said(metal, Fineness(ppb), Fineness(u_ppb))


def assay(thing: Stuff, method: str, dice: Dice) -> tuple[Said, ...]:
    """Assay a thing; what is below detection, or not looked for, is not named."""
    found = []
    for metal in PRECIOUS:
        share = thing.share(metal)
        if share < _LOOKED_FOR[metal]:
            continue
        one = said(metal, share, doubt_permille(method, share * 1000.0), dice)
        if one is not None:
            found.append(one)
    return _within_pure(tuple(found))


def declare(thing: Stuff, metals: tuple[str, ...], dice: Dice, *, vague: bool) -> tuple[Said, ...]:
    """Say what a customer says: a round figure, a little too good, with or without a doubt."""
    found = []
    for metal in metals:
        permille = thing.share(metal) * 1000.0 * (1.04 + dice.normal(0.08))
        step = 25 if permille > 200 else 5 if permille > 20 else 1
        said_permille = min(max(round(permille / step) * step, step), 990)
        u = Fineness(round(said_permille * 0.1 * 10) * PPB_PER_PERMILLE // 10)
        found.append(Said(metal, Fineness(said_permille * PPB_PER_PERMILLE), None if vague else u))
    return _within_pure(tuple(found))


def settle(thing: Stuff, *, share_u: float, dice: Dice) -> tuple[Said, ...]:
    """Agree contents with a refinery, with a doubt that is a share of each content."""
    found = []
    for metal in PRECIOUS:
        permille = thing.share(metal) * 1000.0
        if permille < 1000.0 * _LOOKED_FOR[metal]:
            continue
        one = said(metal, thing.share(metal), max(share_u * permille, 0.003), dice)
        if one is not None:
            found.append(one)
    return _within_pure(tuple(found))


def _within_pure(found: tuple[Said, ...]) -> tuple[Said, ...]:
    """Bring readings that add up to more than pure metal down to it, the vaguest the most."""
    over = sum(one.fineness.ppb for one in found) - WHOLE_PPB
    if over <= 0:
        return found
    squares = [_u_ppb(one) ** 2 for one in found]
    return tuple(
        Said(one.metal, Fineness(_lowered(one, over * square // sum(squares))), one.u)
        for one, square in zip(found, squares, strict=True)
    )


def _u_ppb(one: Said) -> int:
    return one.fineness.ppb // 10 if one.u is None else one.u.ppb


def _lowered(one: Said, by_ppb: int) -> int:
    step = _step_of(_u_ppb(one))
    return max(one.fineness.ppb - (by_ppb // step + 1) * step, 0)


def _stated(doubt: float) -> tuple[int, int]:
    """Round a doubt in ‰ to one digit, or two that begin with 1 or 2; give it and its step in ppb.

    The step of the figure is the last digit of its doubt.
    """
    ppb = round(doubt * PPB_PER_PERMILLE)
    step = _step_of(ppb)
    return max(round(ppb / step), 1) * step, step


def _step_of(u_ppb: int) -> int:
    step = 1
    while u_ppb >= 30 * step:
        step *= 10
    return step
