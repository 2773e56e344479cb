"""Words for a settlement: against the own estimate, against the sheet, against the weight sent."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Protocol

from vault.application.operations.settlement_draft import SettlementDraft
from vault.application.queries.answers.settlements import MetalAgainst
from vault.application.queries.answers.shipments import ShipmentRow
from vault.application.wording import listed
from vault.core.days import day_to_text
from vault.core.knowledge import Figure
from vault.core.masses import Mass

# Of a hundredth of the currency and less nobody speaks.
_CENT = 0.005


class SettlementNumbers(Protocol):
    """How figures are written: the units and number style that the reader set."""

    def mass(self, mass: Mass) -> str:
        """Write a mass, exact, with its unit."""

    def uncut_with_unit(self, figure: Figure) -> str:
        """Write fine metal with its ± and its unit."""

    def roughly(self, ug: int) -> str:
        """Write fine metal to two digits with its unit."""

    def total_weight(self, ug: int, *, like_ug: int = 0) -> str:
        """Write a sum of weights short, in the unit in which another one is written."""

    def cents(self, amount: float) -> str:
        """Write an amount to the hundredth."""

    def share(self, share: float) -> str:
        """Write a share in per cent."""


def against_in_words(one: MetalAgainst, numbers: SettlementNumbers) -> str:
    """Say how what was agreed of a metal stands to the own estimate."""
    if one.own is None or one.gap is None or one.limit_ug is None or one.gap.fine_ug is None:
        return "You had no estimate of all of it, so there is nothing to hold it against."
    how = "more" if one.gap.fine_ug > 0 else "less"
    gap = numbers.roughly(abs(one.gap.fine_ug))
    limit = numbers.roughly(one.limit_ug)
    if one.is_beyond:
        return f"{gap} {how} than you thought: beyond the limit of {limit}."
    return f"{gap} {how} than you thought: within the limit of {limit}."


def by_sheet_in_words(
    due: float, paid: float | None, currency: str, numbers: SettlementNumbers
) -> str:
    """Say how what was paid stands to what the sheet comes to."""
    by_sheet = (
        f"By the sheet, at the prices below, {numbers.cents(due)} {currency} are due (what you "
        "pay on the way apart)"
    )
    if paid is None:
        return f"{by_sheet}; type the lines of money of their paper to hold them against it."
    gap = paid - due
    if abs(gap) <= _CENT:
        return f"{by_sheet}, and so much was settled."
    how = "more" if gap > 0 else "less"
    return (
        f"{by_sheet}; {numbers.cents(paid)} {currency} were settled, {numbers.cents(abs(gap))} "
        f"{currency} {how}. Compare "
        "line by line; first of all the price on which the metal was settled."
    )


def prices_in_words(days: Mapping[str, date | None], on: date, currency: str) -> str:
    """Say of which day the price of each metal is, and for which there is none.

    Args:
        days: of each metal that was found, the day of its price; None where none was set by then.
        on: the day whose prices the settlement goes by.
        currency: of the sheet.
    """
    groups: dict[date, list[str]] = {}
    for metal, day in days.items():
        if day is not None:
            groups.setdefault(day, []).append(metal)
    told = []
    for day, metals in sorted(groups.items()):
        if day == on:
            told.append(f"The price of {listed(metals)} is that of {day_to_text(day)}.")
        else:
            told.append(
                f"The price of {listed(metals)} is that of {day_to_text(day)}, the last one set "
                f"here before {day_to_text(on)}."
            )
    missing = [metal for metal, day in days.items() if day is None]
    if missing:
        told.append(
            f"No price of {listed(missing)} in {currency} was set here by {day_to_text(on)}: hold "
            "theirs against what was quoted on that day."
        )
    return " ".join(told)


def weight_in_words(draft: SettlementDraft, row: ShipmentRow, numbers: SettlementNumbers) -> str:
    """Say how the weight received stands to that sent, and how moist it was."""
    told = []
    if draft.received is not None and row.weight_ug and not row.not_weighed:
        gap = draft.received.micrograms - row.weight_ug
        sent = numbers.total_weight(row.weight_ug)
        if gap:
            how = "more" if gap > 0 else "less"
            share = numbers.share(abs(gap) / row.weight_ug)
            apart = numbers.total_weight(abs(gap), like_ug=row.weight_ug)
            told.append(f"They received {apart} ({share}) {how} than the {sent} you sent.")
        else:
            told.append(f"They received exactly the {sent} you sent.")
    if draft.received is not None and draft.dry is not None:
        moist = draft.received.micrograms - draft.dry.micrograms
        share = numbers.share(moist / draft.received.micrograms)
        told.append(
            "Dry it cannot weigh more than as it came; check the two weights."
            if moist < 0
            else f"By the two weights {share} of it was moisture."
        )
    return " ".join(told)
