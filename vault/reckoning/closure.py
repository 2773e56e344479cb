"""Closure: does the whole weight of a work add up, with the oxygen it took and the gas it lost.

Metal that does not stay metal is weighed again as oxide in slag and cupel, heavier by what it took
from the air; fluxes are weighed again without their water and carbonic acid. What is then still
missing is fume and handling; its span says how much that can be, since nobody knows which oxide
copper became.

    missing = (metal that left) · factor + flux left − (what slag and cupel gained)

A work is out of the usual when even the doubt of its weights (three standard uncertainties) does
not bring that span to what usually goes missing. Nothing here refuses: what cannot be at all the
rules of the book refuse.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import Enum
from functools import cache
from math import sqrt
from typing import overload

import numpy as np
from numpy.typing import NDArray

from vault.core.daybook import Process
from vault.core.forms import is_residue
from vault.reckoning.guesses import COLD, MOLTEN, closing_share, weight_u
from vault.reckoning.handbook import handbook
from vault.reckoning.oxides import is_cupel, is_metallic_lead, left_of, oxide_factor, share_lost
from vault.reckoning.spans import Span
from vault.reckoning.weights import LEFT_BY_BURNING, LEFT_BY_BURNING_U

Floats = NDArray[np.float64]

# Three standard uncertainties; nearer than that the scale may be to blame.
LIMIT = 3.0


@dataclass(frozen=True, slots=True)
class Weighed:
    """One thing that went in or came out.

    Attributes:
        name: its tag, or what it is where it has none.
        form: what it is.
        grams: None where not weighed.
        u: one standard uncertainty; that of the scale in general where None.
        carries_metal: of a thing added, whether a content was said of it.
    """

    name: str
    form: str
    grams: float | None
    u: float | None = None
    carries_metal: bool = False

    @property
    def doubt(self) -> float:
        """Its standard uncertainty in grams, nothing where not weighed."""
        if self.grams is None:
            return 0.0
        return weight_u(self.grams) if self.u is None else self.u


class Part(Enum):
    """What a line of a closure tells."""

    WENT_IN = "went in"
    LEFT_THE_METAL = "metal that left"
    AS_OXIDES = "the same as oxides"
    AS_SLAG = "the same in the slag"
    FLUX_LEFT = "flux without its gas"
    FLUX_GAS = "gas from the flux"
    CUPEL_GAINED = "the cupel gained"
    SLAG_GAINED = "slag gained"
    BURNT_AWAY = "burnt away"
    CAME_OUT = "came out"
    MISSING = "missing"


class Verdict(Enum):
    """How a closure turns out."""

    CLOSES = "closes"
    TOO_MUCH = "more came out than can be"
    MORE_METAL = "more metal came out than went in"
    TOO_LITTLE = "more is missing than usual"
    NOT_WEIGHED = "not weighed"


@dataclass(frozen=True, slots=True)
class Closure:
    """The whole weight of one work.

    Attributes:
        lines: what to show, one under the other; the last is what is missing where that is known.
        missing: fume and handling; below zero where more came out than went in.
        usual: what usually goes missing.
        u_g: one standard uncertainty of `missing` by the scales alone.
        verdict: how it turns out.
        lacking: names of the things whose weight is wanting.
    """

    lines: tuple[tuple[Part, Span], ...]
    missing: Span | None
    usual: Span | None
    u_g: float
    verdict: Verdict
    lacking: tuple[str, ...] = ()


@overload
def closing_limit_g(put_in_g: float, variance: float, share: float) -> float: ...
@overload
def closing_limit_g(put_in_g: Floats, variance: Floats, share: Floats) -> Floats: ...
def closing_limit_g(
    put_in_g: float | Floats, variance: float | Floats, share: float | Floats
) -> float | Floats:
    """Give the most by which weights may differ that should be alike, of one work or of many.

    Args:
        put_in_g: what went in, after the gas of fluxes.
        variance: of all the weights together, in g².
        share: how closely such works close, as a share of what went in.
    """
    return LIMIT * (variance + (share * put_in_g) ** 2) ** 0.5


def closure_of(
    process: Process,
    *,
    used: Sequence[Weighed],
    added: Sequence[Weighed] = (),
    made: Sequence[Weighed],
) -> Closure:
    """Give the closure of one work, recorded or not.

    Example, 236.40 g of button with 120 g of lead on a cupel of 386.20 g, out come a bead of
    150.85 g and a cupel of 602.40 g; 120 g of lead are 129.3 g of PbO, 85.55 g of base metal 96.3 g
    of Cu2O or 107.1 g of CuO:

        >>> found = closure_of(
        ...     Process.CUPEL,
        ...     used=[Weighed("K-1", "button", 236.40)],
        ...     added=[Weighed("lead", "lead", 120.0), Weighed("cupel", "new cupel", 386.20)],
        ...     made=[Weighed("K-2", "bead", 150.85), Weighed("C-1", "spent cupel", 602.40)],
        ... )
        >>> [(part.value, round(span.low, 1), round(span.high, 1)) for part, span in found.lines]
        ... # doctest: +NORMALIZE_WHITESPACE
        [('metal that left', 205.5, 205.5), ('the same as oxides', 225.6, 236.4),
         ('the cupel gained', 216.2, 216.2), ('missing', 9.4, 20.2)]
        >>> found.verdict.value
        'closes'
    """
    lacking = tuple(one.name for one in (*used, *added, *made) if one.grams is None)
    if lacking or not used or not made:
        return Closure((), None, None, 0.0, Verdict.NOT_WEIGHED, lacking)
    u = sqrt(sum(one.doubt**2 for one in (*used, *added, *made)))
    if process is Process.BURN_OFF:
        return _burn_off(used, added, made, u)
    if process in COLD | MOLTEN:
        return _alike(process, used, added, made, u)
    return _fire(process, used, added, made, u)


def _alike(
    process: Process,
    used: Sequence[Weighed],
    added: Sequence[Weighed],
    made: Sequence[Weighed],
    u: float,
) -> Closure:
    """Close a work whose weight stays what it is, but for the gas of a flux."""
    molten = process in MOLTEN
    gas = sum(_g(one) * (1.0 - left_of(one.form)) for one in added) if molten else 0.0
    put_in, out = _sum(used) + _sum(added), _sum(made)
    limit = closing_limit_g(put_in - gas, u**2, closing_share(process))
    missing = Span.exactly(put_in - gas - out)
    lines = [(Part.WENT_IN, Span.exactly(put_in))]
    if gas > 0.0:
        lines.append((Part.FLUX_GAS, Span.exactly(gas)))
    lines += [(Part.CAME_OUT, Span.exactly(out)), (Part.MISSING, missing)]
    # The limit holds the doubt of the scales already.
    return _judged(lines, missing, Span(-limit, limit), u, slack=0.0)


def _burn_off(
    used: Sequence[Weighed], added: Sequence[Weighed], made: Sequence[Weighed], u: float
) -> Closure:
    """Close a burning: nobody knows how much of it burns, but nothing is gained."""
    put_in, out = _sum(used) + _sum(added), _sum(made)
    missing = Span.exactly(put_in - out)
    least_left = LEFT_BY_BURNING - 2.0 * LEFT_BY_BURNING_U
    lines = [
        (Part.WENT_IN, Span.exactly(put_in)),
        (Part.CAME_OUT, Span.exactly(out)),
        (Part.BURNT_AWAY, missing),
    ]
    return _judged(lines, missing, Span(0.0, (1.0 - least_left) * put_in), u, slack=LIMIT * u)


def _fire(
    process: Process,
    used: Sequence[Weighed],
    added: Sequence[Weighed],
    made: Sequence[Weighed],
    u: float,
) -> Closure:
    """Close a smelting or cupelling: what left the metal against what slag and cupel gained."""
    vessels = [one for one in added if is_vessel(one.form)]
    fluxes = [one for one in added if is_flux(one) and one not in vessels]
    lead = sum(_g(one) for one in added if is_metallic_lead(one.form))
    metal_added = [
        one
        for one in added
        if one not in vessels and one not in fluxes and not is_metallic_lead(one.form)
    ]
    aims = sum(_g(one) for one in made if not is_residue(one.form))
    gained = sum(_g(one) for one in made if is_residue(one.form)) - _sum(vessels)
    left_the_metal = _sum(used) + lead + _sum(metal_added) - aims
    cupelled = process is Process.CUPEL
    if left_the_metal < -LIMIT * u:
        surplus = Span.exactly(left_the_metal)
        return Closure(((Part.MISSING, surplus),), surplus, None, u, Verdict.MORE_METAL)
    turned = burnt_of(left_the_metal, lead, used)
    flux_left = sum(_g(one) * left_of(one.form) for one in fluxes)
    missing = turned + Span.exactly(flux_left - gained)
    lines = [
        (Part.LEFT_THE_METAL, Span.exactly(left_the_metal)),
        (Part.AS_OXIDES if cupelled else Part.AS_SLAG, turned),
    ]
    gas = _sum(fluxes) - flux_left
    if gas > 0.0:
        lines.append((Part.FLUX_GAS, Span.exactly(gas)))
    if fluxes:
        lines.append((Part.FLUX_LEFT, Span.exactly(flux_left)))
    lines.append((Part.CUPEL_GAINED if cupelled else Part.SLAG_GAINED, Span.exactly(gained)))
    lines.append((Part.MISSING, missing))
    most = _most_missing(cupelled=cupelled, turned=turned, flux=flux_left, vessel=_sum(vessels))
    return _judged(lines, missing, Span(0.0, most), u, slack=LIMIT * u)


def _most_missing(*, cupelled: bool, turned: Span, flux: float, vessel: float) -> float:
    table = handbook("closing")["missing"]
    if cupelled:
        return float(table["cupel"]["oxides"] * turned.high + table["cupel"]["cupel"] * vessel)
    return float(table["fire"]["slag"] * (turned.high + flux))


def _judged(
    lines: Iterable[tuple[Part, Span]], missing: Span, usual: Span, u: float, *, slack: float
) -> Closure:
    verdict = Verdict.CLOSES
    if missing.high < usual.low - slack:
        verdict = Verdict.TOO_MUCH
    elif missing.low > usual.high + slack:
        verdict = Verdict.TOO_LITTLE
    return Closure(tuple(lines), missing, usual, u, verdict)


def burnt_of(left_g: float, lead_g: float, used: Sequence[Weighed]) -> Span:
    """Give what metal that left weighs in slag and cupel: lead as PbO, the rest by what it was.

    Args:
        left_g: all that did not stay metal, the lead with it.
        lead_g: lead that was added.
        used: the items it came from; their forms say what the rest is.
    """
    lead = min(max(left_g, 0.0), lead_g)
    rest = max(left_g - lead_g, 0.0)
    whole = sum(one.grams or 0.0 for one in used)
    low = high = 0.0
    for one in used:
        share = (one.grams or 0.0) / whole if whole > 0.0 else 1.0 / len(used)
        least, most = becomes(one.form)
        low, high = low + share * least, high + share * most
    return Span.exactly(lead * oxide_factor("PbO")) + Span.exactly(rest).times(low, high)


@cache
def becomes(form: str) -> tuple[float, float]:
    """Give grams in the slag of one gram of a thing that did not stay metal, at least and at most.

    Example:
        >>> becomes("button")
        (1.12589, 1.25177)
    """
    tables = handbook("closing")["becomes"]
    table = next((one for one in tables.values() if form in one["forms"]), tables["dirt"])
    return float(table["low"]), float(table["high"])


def is_vessel(form: str) -> bool:
    """Tell whether an added thing is a cupel or crucible, weighed again with what it took up."""
    return is_cupel(form) or form.lower().endswith("crucible")


def is_flux(thing: Weighed) -> bool:
    """Tell whether an added thing ends up in the slag: a flux, litharge, or what nobody knows."""
    if is_metallic_lead(thing.form) or thing.carries_metal:
        return False
    return share_lost(thing.form) is not None or not _is_metal_word(thing.form)


def _is_metal_word(form: str) -> bool:
    words = form.lower().replace(",", " ").split()
    return any(word in _METALS for word in words)


_METALS = frozenset({"silver", "gold", "copper", "platinum", "palladium", "metal", "alloy"})


def _g(one: Weighed) -> float:
    return one.grams or 0.0


def _sum(things: Iterable[Weighed]) -> float:
    return sum(_g(one) for one in things)
