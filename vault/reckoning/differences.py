"""What a refinery found against what the shop believed: the difference, its limit, its money.

The own estimate and the refinery's figure rest on records of their own, so their doubts are
independent:

    limit = k · √(u_own² + u_agreed²)

with u_own from the covariances of all the items. A difference within the limit says nothing against
either; one beyond it is looked into.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import hypot

from vault.core.terms_sheets import TermsSheet
from vault.reckoning.contents import Contents
from vault.reckoning.payable import payable_of
from vault.reckoning.reported import Agreed, compared


@dataclass(frozen=True, slots=True)
class Difference:
    """One metal of a settlement beside the shop's own estimate.

    Attributes:
        agreed_g, agreed_u_g: what was agreed.
        own_g, own_u_g: what was believed before; None where nothing was known of some of it.
        limit_g: how far the two may lie apart; None where there is no estimate.
    """

    metal: str
    agreed_g: float
    agreed_u_g: float
    own_g: float | None
    own_u_g: float | None
    limit_g: float | None

    @property
    def gap_g(self) -> float | None:
        """How much more was agreed than believed; below zero where it was less."""
        return None if self.own_g is None else self.agreed_g - self.own_g

    @property
    def gap_u_g(self) -> float | None:
        """One standard uncertainty of that."""
        return None if self.own_u_g is None else hypot(self.own_u_g, self.agreed_u_g)

    @property
    def is_beyond(self) -> bool:
        """Whether the two lie further apart than they may."""
        gap = self.gap_g
        return gap is not None and self.limit_g is not None and abs(gap) > self.limit_g


def differences(
    agreed: Mapping[str, Agreed], contents: Contents, limit_in_u: float
) -> Iterator[Difference]:
    """Give the difference of every metal of a settlement.

    Args:
        agreed: by metal.
        contents: as believed before the settlement.
        limit_in_u: how many combined standard uncertainties the two may lie apart.
    """
    for metal, one in agreed.items():
        both = compared(one, contents, metal)
        limit = None if both.own_u_g is None else limit_in_u * hypot(both.own_u_g, one.u_g)
        yield Difference(metal, one.grams, one.u_g, both.own_g, both.own_u_g, limit)


def in_dispute(one: Difference, sheet: TermsSheet, weight_g: float, price: float) -> float | None:
    """Give what the metal would bring more by the own estimate than by what was agreed.

    Example, 200 kg of which the shop believed 600 g of silver and 560 g are agreed, 85 % paid:
        >>> from vault.core.fineness import Fineness
        >>> from vault.core.money import Money
        >>> from datetime import date
        >>> from vault.core.terms_sheets import Fees, MetalTerms, Treatment
        >>> none = Money(0, "EUR")
        >>> silver = MetalTerms("Ag", Fineness(850_000_000), none)
        >>> sheet = TermsSheet("a", 1, "b", date(2031, 1, 1), None, "EUR", (silver,),
        ...     Treatment(none, none), Fees(none, none, none, none, none, none, none))
        >>> round(in_dispute(Difference("Ag", 560.0, 3.0, 600.0, 9.0, 19.0), sheet, 2e5, 0.9), 6)
        30.6
    """
    terms = sheet.terms_of(one.metal)
    if terms is None or one.own_g is None:
        return None
    more = payable_of(terms, one.own_g, weight_g) - payable_of(terms, one.agreed_g, weight_g)
    return float(more) * (price - float(terms.refining.amount))
