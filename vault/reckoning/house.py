"""The house factors: what all families together say of what residues keep here.

Each family leaves what it says of the factors as information and pull (see `DenseFamily`). With the
handbook's guess as a prior, counted once for the whole shop, the factors are

    Cκ = (1 + Σ information)⁻¹,   κ = Cκ · Σ pull,   in units of their first doubt.

The sums are kept exactly and rounded once, so that they depend neither on the order of the families
nor on those that came and went: one more fact in a large book changes them by its own family only.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from vault.reckoning.facts import KINDS, Floats
from vault.reckoning.families import Family

COUNT = len(KINDS)
# The smallest float is 2⁻¹⁰⁷⁴.
_SMALLEST = 1074
_UNIT = 1 << _SMALLEST


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


class Sayings:
    """What all families of a metal say of the house factors, added up."""

    def __init__(self) -> None:
        self._information = ExactSums(COUNT * COUNT)
        self._pull, self._kept_g, self._fed_g = (ExactSums(COUNT) for _ in range(3))

    def add(self, family: Family, kept_g: Floats, fed_g: Floats, times: int = 1) -> None:
        """Add what a family says, or take it back with −1 time.

        Args:
            family: with its information and its pull.
            kept_g: nominal grams that it kept, by residue kind.
            fed_g: nominal grams that it was fed, by residue kind.
            times: how often.
        """
        kinds = family.system.kinds
        self._information.add(
            (kinds[:, None] * COUNT + kinds).ravel(), family.information.ravel(), times
        )
        self._pull.add(kinds, family.pull, times)
        for sums, grams in ((self._kept_g, kept_g), (self._fed_g, fed_g)):
            sums.add(np.arange(COUNT), grams, times)

    def house(self) -> House:
        """Join what all families say."""
        total = self._information.rounded().reshape(COUNT, COUNT)
        total = (total + total.T) / 2.0
        covariance = np.linalg.inv(np.eye(COUNT) + total)
        covariance = (covariance + covariance.T) / 2.0
        return House(
            mean=covariance @ self._pull.rounded(),
            covariance=covariance,
            information=total,
            kept_g=self._kept_g.rounded(),
            fed_g=self._fed_g.rounded(),
        )


class ExactSums:
    """Sums of floats that lose nothing while terms come and go.

    Every float is a whole number of the smallest one, and Python's whole numbers are exact.

    >>> sums = ExactSums(2)
    >>> sums.add([0, 1], [1e16, 0.5], 1)
    >>> sums.add([0, 1], [1.0, 0.25], 1)
    >>> sums.add([0], [1e16], -1)
    >>> sums.rounded()
    array([1.  , 0.75])
    """

    def __init__(self, count: int) -> None:
        self._totals = [0] * count

    def add(self, places: Iterable[int], terms: Iterable[float], times: int) -> None:
        """Add each term to the sum at its place, so many times; taken away below zero.

        Raises:
            OverflowError, ValueError: when a term is not finite.
        """
        for place, term in zip(places, terms, strict=True):
            if term:
                whole, parts = float(term).as_integer_ratio()
                self._totals[place] += times * (whole << (_SMALLEST - parts.bit_length() + 1))

    def rounded(self) -> Floats:
        """Give every sum, correctly rounded."""
        return np.array([total / _UNIT for total in self._totals])
