"""Payable metal: what a sheet pays of the fine metal in a parcel, as pieces of straight lines.

Whatever the terms, the payable metal is a straight line of the content between some breaks:
slope · x + intercept. The same lines serve single parcels, draws, and exact expectations over a
content that is not known well (`expected_pay.py`).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from vault.core.terms_sheets import MetalTerms, Paid
from vault.reckoning.facts import Floats

Amount = float | Floats
# A content that lies on a threshold but for the last digits of a float is on it.
_ON_IT = 1e-12


@dataclass(frozen=True, slots=True, eq=False)
class Pieces:
    """Straight lines that follow one another.

    Attributes:
        starts: (k, …) grams at which each begins, rising, the first 0; below it nothing is paid.
        slopes, intercepts: (k, …) of each line.
    """

    starts: Floats
    slopes: Floats
    intercepts: Floats


def payable_of(terms: MetalTerms, content_g: Amount, weight_g: Amount) -> Floats:
    """Give the payable fine metal in grams.

    Args:
        terms: what the sheet says of the metal.
        content_g: (…) fine metal in the parcel; below nothing counts as nothing.
        weight_g: (…) weight of the parcel on the sheet's basis.

    Example, 100 kg with 300 g of silver, of which 1 g/kg is deducted and 95 % of the rest paid:

        >>> from vault.core.fineness import Fineness
        >>> from vault.core.money import Money
        >>> terms = MetalTerms("Ag", Fineness(950_000_000), Money(0, "EUR"), Fineness(1_000_000))
        >>> round(float(payable_of(terms, 300.0, 100_000.0)), 9)
        190.0
    """
    content = np.maximum(np.asarray(content_g, dtype=np.float64), 0.0)
    slope, intercept = _line_at(terms, content, np.asarray(weight_g, dtype=np.float64))
    return slope * content + intercept


def part_of(terms: MetalTerms, content_g: Amount, weight_g: Amount) -> Floats:
    """Give the payable part that holds for a parcel of this grade, by the bands of the sheet."""
    content, weight = np.asarray(content_g, np.float64), np.asarray(weight_g, np.float64)
    reached = content * (1.0 + _ON_IT)
    part = np.full(np.broadcast_shapes(content.shape, weight.shape), terms.payable.share)
    for band in terms.bands:
        part = np.where(reached >= band.grade.share * weight, band.payable.share, part)
    return part


def is_too_little(terms: MetalTerms, content_g: Amount, weight_g: Amount) -> bool:
    """Tell whether a parcel is poorer than the least grade, or holds less than the least mass."""
    weight = np.asarray(weight_g, np.float64)
    return bool(content_g * (1.0 + _ON_IT) < _threshold(terms, weight))


def pieces_of(terms: MetalTerms, weight_g: Amount) -> Pieces:
    """Give the payable metal as lines of the content, for one weight or for many.

    Pieces may be empty (begin where the next begins); the last goes on for ever.
    """
    weight = np.asarray(weight_g, dtype=np.float64)
    deducted = terms.deduction.share * weight
    breaks = [np.zeros_like(weight), deducted, _threshold(terms, weight)]
    breaks += [one.grade.share * weight for one in terms.bands]
    if terms.paid is Paid.LESSER:
        parts = [terms.payable, *(one.payable for one in terms.bands)]
        breaks += [deducted / (1.0 - part.share) for part in parts if part.share < 1.0]
    starts = np.sort(np.array(breaks), axis=0)
    ends = np.concatenate([starts[1:], starts[-1:] + 1.0 + weight])
    slopes, intercepts = _line_at(terms, (starts + ends) / 2.0, weight)
    return Pieces(starts, slopes, intercepts)


def _threshold(terms: MetalTerms, weight: Floats) -> Floats:
    """Give the content in grams under which nothing is paid."""
    return np.maximum(terms.least_grade.share * weight, terms.least_fine.grams)


def _line_at(terms: MetalTerms, content: Floats, weight: Floats) -> tuple[Floats, Floats]:
    """Give slope and intercept of the line on which a content lies."""
    reached = content * (1.0 + _ON_IT)
    part = part_of(terms, content, weight)
    deducted = terms.deduction.share * weight
    if terms.paid is Paid.LESSER:
        whole = content - deducted < part * content
        slope, intercept = np.where(whole, 1.0, part), np.where(whole, -deducted, 0.0)
    else:
        slope, intercept = part, -part * deducted
    nothing = (content < deducted) | (reached < _threshold(terms, weight))
    return np.where(nothing, 0.0, slope), np.where(nothing, 0.0, intercept)
