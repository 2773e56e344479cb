"""Lumps: how large a sample must be, and how far it may be off, where metal lies in pieces.

Taking m grams out of G, the relative standard uncertainty that the sample adds is

    u² = C · (1/m − 1/G),

with Gy's constant C in grams. Where the pieces themselves are known,

    C = f · g · l · c · d³
    c = (1 − a)/a · ((1 − a)·ρ + a·σ),     l = √(grain/d), at most 1,

with the largest piece d, a the part by mass that the metal (or its mineral) is, ρ and σ the
densities of it and of the rest, and the grain below which it lies free; f = 0.5 for the shape of
pieces and g = 0.25 for their mixed sizes. That is the scatter of a sample taken without bias from a
heap that was mixed; no formula mends a heap sampled from the top.

Reference: P. M. Gy, Sampling of Particulate Materials, Elsevier 1979, as B. A. Wills gives it,
Mineral Processing Technology (the formula from memory, checked against a published table).
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, sqrt

from vault.reckoning.handbook import handbook, told

_SHAPE = 0.5
_SIZES = 0.25
# Weights that a person can take: so many figures count.
_FIGURES = 10


@dataclass(frozen=True, slots=True)
class SampleWanted:
    """How to take a sample.

    Attributes:
        sample_g: what it should weigh, all increments together.
        increments: from how many places, all over the heap or across its flow.
        each_g: weight of each.
        u: relative standard uncertainty that the sample adds, without the assay's own.
        source: where the number of increments is from.
    """

    sample_g: float
    increments: int
    each_g: float
    u: float
    source: str


def sample_share_u(lumps_g: float, sample_g: float, whole_g: float) -> float:
    """Give the relative standard uncertainty that a sample adds; the whole adds none.

    Example, 100 g of slag (C = 0.5 g) out of very much:

        >>> round(sample_share_u(0.5, 100.0, 1e9), 4)
        0.0707
    """
    if sample_g >= whole_g:
        return 0.0
    return sqrt(lumps_g * (1.0 / sample_g - 1.0 / whole_g))


def sample_wanted_g(lumps_g: float, whole_g: float, u: float) -> float:
    """Give the weight of a sample that adds no more than a relative standard uncertainty.

    1/m = u²/C + 1/G, so never more than the whole.
    """
    return 1.0 / (u**2 / lumps_g + 1.0 / whole_g) if lumps_g > 0.0 else 0.0


def lumps_of(
    *,
    part: float,
    density: float,
    rest_density: float,
    largest_cm: float,
    grain_cm: float,
    sizes: float = _SIZES,
) -> float:
    """Give Gy's constant in grams of a material whose pieces are known.

    Args:
        part: part by mass that the metal, or the mineral with it, is.
        density: of it, g/cm³.
        rest_density: of the rest, g/cm³.
        largest_cm: size of the largest pieces.
        grain_cm: size below which the metal lies free of the rest.
        sizes: 0.25 for pieces of all sizes, 0.5 for sieved ones.
    """
    mineral = (1.0 - part) / part * ((1.0 - part) * density + part * rest_density)
    free = min(sqrt(grain_cm / largest_cm), 1.0)
    return _SHAPE * sizes * free * mineral * largest_cm**3


def sample_wanted(lumps_g: float, whole_g: float, u: float) -> SampleWanted:
    """Give how to take a sample that adds no more than a relative standard uncertainty.

    Weights are rounded up to two figures, so that they can be taken by hand.
    """
    table = handbook("sending")["sampling"]
    increments = int(table["increments"])
    each = sample_wanted_g(lumps_g, whole_g, u) / increments
    step = 1.0
    while 0.0 < each < _FIGURES * step:
        step /= _FIGURES
    while each >= _FIGURES * _FIGURES * step:
        step *= _FIGURES
    each = min(ceil(each / step - 1e-9) * step, whole_g / increments)
    sample = each * increments
    return SampleWanted(
        sample_g=sample,
        increments=increments,
        each_g=each,
        u=sample_share_u(lumps_g, sample, whole_g) if sample > 0.0 else 0.0,
        source=told(table),
    )
