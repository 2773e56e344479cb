"""Samples: how far a sample of a whole and its assay may be off, and what they cost.

Relative to the content, u² = a² + C·(1/m − 1/G): the assay's own part a and that of the sample m
out of the whole G (`lumps.py`).

Example: 500 g of 20 kg with C = 0.2 g and an assay good to 2 % are good to 2.81 %.

>>> from vault.reckoning.circumstances import usual_sampling
>>> round(share_u(usual_sampling(), 0.2, 20_000.0), 4)
0.0281
"""

from __future__ import annotations

from math import hypot

from vault.reckoning.circumstances import OwnSampling
from vault.reckoning.lumps import sample_share_u

# No sample takes more of a thing than that; the rest goes on to be worked or sent.
_MOST_OF_IT = 0.25
_GRAMS_PER_KG = 1000.0


def sample_g(sampling: OwnSampling, whole_g: float) -> float:
    """Give how much is taken of a whole."""
    return min(sampling.sample_g, _MOST_OF_IT * whole_g)


def share_u(sampling: OwnSampling, lumps_g: float, whole_g: float) -> float:
    """Give the relative standard uncertainty of the content found by sample and assay.

    Args:
        sampling: how the house takes samples.
        lumps_g: Gy's constant of the material.
        whole_g: what is sampled, above 0.
    """
    lumps = sample_share_u(lumps_g, sample_g(sampling, whole_g), whole_g)
    return hypot(sampling.assay_share, lumps)


def sample_cost(sampling: OwnSampling, wage_per_hour: float, whole_g: float) -> float:
    """Give what blending a whole, taking a sample and having one metal of it assayed costs."""
    hours = sampling.hours_per_lot + sampling.hours_per_kg * whole_g / _GRAMS_PER_KG
    return hours * wage_per_hour + sampling.assay
