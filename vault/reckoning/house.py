"""The house factors: what all families together say of what residues keep here.

Each family leaves what it says of the factors as information and pull (see `DenseFamily`). With the
handbook's guess as a prior, counted once for the whole shop, the factors are

    Cκ = (1 + Σ information)⁻¹,   κ = Cκ · Σ pull,   in units of their first doubt.

The sums are exactly rounded, so that they do not depend on the order of the families.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import fsum

import numpy as np

from vault.reckoning.facts import KINDS, Floats

COUNT = len(KINDS)


@dataclass(frozen=True, slots=True, eq=False)
class House:
    """The factors of one metal as now believed.

    Attributes:
        mean: κ, by residue kind, in units of the first doubt.
        covariance: Cκ, kinds by kinds.
        information: Σ of all families.
        kept_g, fed_g: nominal grams kept and fed, by kind, over the whole book.
    """

    mean: Floats
    covariance: Floats
    information: Floats
    kept_g: Floats
    fed_g: Floats


def house_of(information: Floats, pull: Floats, kept_g: Floats, fed_g: Floats) -> House:
    """Join what all families say; one family per first index of every array."""
    total = _summed(information.reshape(len(information), -1)).reshape(COUNT, COUNT)
    total = (total + total.T) / 2.0
    precision = np.eye(COUNT) + total
    covariance = np.linalg.inv(precision)
    covariance = (covariance + covariance.T) / 2.0
    return House(
        mean=covariance @ _summed(pull),
        covariance=covariance,
        information=total,
        kept_g=_summed(kept_g),
        fed_g=_summed(fed_g),
    )


def _summed(columns: Floats) -> Floats:
    """Add up rows, each sum exactly rounded and so the same in any order."""
    some = (columns != 0.0).any(axis=0).tolist()
    return np.array(
        [fsum(columns[:, at].tolist()) if some[at] else 0.0 for at in range(columns.shape[1])]
    )
