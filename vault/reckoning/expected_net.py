"""Expected net return of a parcel whose contents are doubtful, before and after prices.

    E net = (1 − waiting) · (Σ E payable · (price − refining) − charges at settlement) − on the way

Prices are independent of the contents and expected to stay as they are, so that only the payable
metal needs its distribution (`expected_pay.py`). Grams are kept apart from prices, since many
prices are asked of the same parcel.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from vault.core.terms_sheets import MetalTerms, TermsSheet
from vault.reckoning.expected_pay import expected_payable
from vault.reckoning.facts import Floats
from vault.reckoning.net_return import Parcel, charges_of, waiting_share, weight_of
from vault.reckoning.payable import Amount, pieces_of


@dataclass(frozen=True, slots=True, eq=False)
class ExpectedNet:
    """What is expected of a parcel, or of many, under one sheet.

    Attributes:
        grams: by metal that the sheet pays and that is known, the expected payable metal (…).
        refining: by metal, charge for a gram.
        at_settlement, on_the_way: (…) charges.
        share: what is left of an amount due after waiting for it.
    """

    grams: Mapping[str, Floats]
    refining: Mapping[str, float]
    at_settlement: Floats
    on_the_way: Floats
    share: float

    def at(self, prices: Mapping[str, Amount]) -> Floats:
        """Give the expected net return at some prices; a metal without one is not counted."""
        due = -self.at_settlement
        for metal, grams in self.grams.items():
            if metal in prices:
                due = due + grams * (prices[metal] - self.refining[metal])
        return self.share * due - self.on_the_way


def expected_under(
    sheet: TermsSheet, parcel: Parcel, u_g: Mapping[str, Amount], interest: float
) -> ExpectedNet:
    """Give what is expected of a parcel under a sheet.

    Args:
        sheet: the terms.
        parcel: with the means of its contents; its weights count as known.
        u_g: standard uncertainty of each content.
        interest: cost of money, a share of it a year.
    """
    weight = weight_of(parcel, sheet)
    grams, refining = {}, {}
    for terms in sheet.metals:
        if terms.metal in parcel.contents_g:
            mean, u = parcel.contents_g[terms.metal], u_g[terms.metal]
            grams[terms.metal] = expected_grams(terms, weight, mean, u)
            refining[terms.metal] = float(terms.refining.amount)
    charges = charges_of(parcel, sheet)
    return ExpectedNet(
        grams=grams,
        refining=refining,
        at_settlement=charges.at_settlement,
        on_the_way=charges.on_the_way,
        share=1.0 - waiting_share(sheet, interest),
    )


def expected_grams(terms: MetalTerms, weight_g: Floats, mean_g: Amount, u_g: Amount) -> Floats:
    """Give the expected payable metal (…) of a doubtful content in a parcel of known weight."""
    # Pieces lead with their own axis, so weights get the shape of the contents first.
    shape = np.broadcast_shapes(np.shape(mean_g), np.shape(u_g), weight_g.shape)
    return expected_payable(pieces_of(terms, np.broadcast_to(weight_g, shape)), mean_g, u_g)
