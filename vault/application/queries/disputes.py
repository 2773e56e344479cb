"""What to do when a refinery found another content than the limit allows."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from vault.application.operations.settlement_draft import SettlementDraft
from vault.application.queries.answers.settlements import Dispute
from vault.application.queries.answers.shipments import ShipmentRow
from vault.application.queries.settlement_words import SettlementNumbers, weight_in_words
from vault.application.wording import listed
from vault.core.days import day_to_text
from vault.core.findings import Finding
from vault.core.knowledge import Figure, How
from vault.core.metals import BY_SYMBOL
from vault.core.terms_sheets import TermsSheet
from vault.reckoning.contents import Contents
from vault.reckoning.differences import Difference, in_dispute
from vault.reckoning.micrograms import micrograms

LIMIT_WORDS = (
    "The limit is {times} times the ± of both together; yours counts what the items have in "
    "common. {source}. It is yours to set under Settings, Sending out."
)
_LEAST_SHARE = 0.2
_SAMPLING = (
    "Sampling: of lumpy slag and cupels two samples differ more than two assays. Ask how they "
    "sampled, who saw it, and for the part that was kept; have that assayed before anything else."
)
_PLEASE = (
    "Please send us the scale ticket, the moisture found, how and by whom it was sampled, and the "
    "assay report with each single assay. Please keep the reserve sample until this is settled."
)
InMoney = tuple[TermsSheet, float, Mapping[str, float]]


def dispute_of(
    draft: SettlementDraft,
    row: ShipmentRow,
    tags: Sequence[str],
    beyond: Sequence[Difference],
    contents: Contents,
    in_money: InMoney | None,
    numbers: SettlementNumbers,
) -> Dispute:
    """Give what to do about differences that are beyond their limits.

    Args:
        draft: the settlement.
        row: the shipment.
        tags: of what left in it.
        beyond: the metals of it, at least one.
        contents: as believed before the settlement.
        in_money: the sheet, the weight that its grades are of, and prices of one gram; None where
            no sheet is known.
        numbers: the reader's.
    """
    less = [one for one in beyond if (one.gap_g or 0.0) < 0]
    checks = tuple(_checks(draft, row, tags, beyond, contents, numbers))
    return Dispute(
        sentence=" ".join(_beyond(one, numbers) for one in beyond),
        checks=checks,
        umpire="" if in_money is None else _umpire(beyond, *in_money, numbers),
        letter=_letter(draft, row, less, numbers) if less else "",
    )


def _beyond(one: Difference, numbers: SettlementNumbers) -> str:
    gap = one.gap_g or 0.0
    name = BY_SYMBOL[one.metal].name
    apart, limit = _roughly(abs(gap), numbers), _roughly(one.limit_g or 0.0, numbers)
    if gap > 0:
        return (
            f"They found {apart} more {name} than you thought, and {limit} is the limit. Nothing "
            "is to be disputed, but something in your own figures is wrong."
        )
    return f"They found {apart} less {name} than you thought, and {limit} is the limit."


def _checks(
    draft: SettlementDraft,
    row: ShipmentRow,
    tags: Sequence[str],
    beyond: Sequence[Difference],
    contents: Contents,
    numbers: SettlementNumbers,
) -> Iterator[str]:
    weights = weight_in_words(draft, row, numbers)
    if weights:
        yield f"Weights: {weights} Hold their scale ticket against the packing list."
    else:
        yield "Weights: ask for their scale ticket and hold it against the packing list."
    if draft.dry is None:
        yield (
            "Moisture: ask whether their grades are of the dry weight; a grade of dry stuff on a "
            "weight as received, or the other way round, is the commonest error (common practice, "
            "no source)."
        )
    yield _SAMPLING
    yield from _own_figures(tags, [one.metal for one in beyond], contents)


def _own_figures(tags: Sequence[str], metals: Sequence[str], contents: Contents) -> Iterator[str]:
    """Name the own records that are the likeliest suspects."""
    inside = set(tags)
    findings = [
        one
        for one in contents.findings
        if one.metal in {"", *metals} and inside.intersection(_tags_of(one))
    ]
    if findings:
        yield f"Your own figures: {findings[0].sentence}"
        return
    for metal in metals:
        known = [tag for tag in tags if tag in contents.place_of]
        largest = next(iter(contents.budget_by_kind(known, metal)), None)
        if largest is not None and largest.share >= _LEAST_SHARE:
            of = f", above all {largest.tag}" if largest.tag else ""
            yield (
                f"Your own figures: nothing in the book contradicts itself here. Most of the ± of "
                f"your {metal} ({100 * largest.share:.0f} %) comes from {largest.words}{of}."
            )


def _tags_of(one: Finding) -> set[str]:
    return {*one.tags, *(suspect.tag for suspect in one.suspects if suspect.tag)}


def _umpire(
    beyond: Sequence[Difference],
    sheet: TermsSheet,
    weight_g: float,
    prices: Mapping[str, float],
    numbers: SettlementNumbers,
) -> str:
    """Set the cost of an umpire against what is in dispute in money."""
    worth = {
        one.metal: in_dispute(one, sheet, weight_g, prices[one.metal])
        for one in beyond
        if one.metal in prices and (one.gap_g or 0.0) < 0
    }
    found = {metal: amount for metal, amount in worth.items() if amount is not None}
    if not found:
        return ""
    dispute, fee = sum(found.values()), float(sheet.fees.umpire.amount) * len(found)
    told = f"In dispute are {numbers.cents(dispute)} {sheet.currency} for {listed(found)}"
    apart = listed(
        f"{one.permille.normalize():f} ‰ of {metal}"
        for metal, one in sheet.splitting
        if metal in found
    )
    if apart:
        told = f"By the sheet two assays no further than {apart} apart are averaged. {told}"
    if not fee:
        return f"{told}. The sheet does not say what an umpire costs; ask before you call one."
    cost = f"an umpire costs {numbers.cents(fee)} by the sheet, paid by whoever was further from it"
    if dispute <= fee:
        return f"{told}; {cost}. That is more than could be won: settle it between you."
    return f"{told}; {cost}. It can be worth calling one, if the checks above find nothing."


def _letter(
    draft: SettlementDraft,
    row: ShipmentRow,
    beyond: Sequence[Difference],
    numbers: SettlementNumbers,
) -> str:
    lines = [
        f"To {row.party}",
        "",
        f"Our shipment {row.ref} of {day_to_text(row.sent_on)}"
        + (f", under your terms {row.terms}" if row.terms else ""),
        "",
        "Your settlement differs from our own estimate by more than both doubts together allow:",
        "",
    ]
    for one in beyond:
        agreed = _with_doubt(one.agreed_g, one.agreed_u_g, numbers)
        own = _with_doubt(one.own_g or 0.0, one.own_u_g, numbers)
        limit = _roughly(one.limit_g or 0.0, numbers)
        lines.append(f"  {one.metal}: you found {agreed}, we estimate {own}; limit {limit}.")
    weights = (
        weight_in_words(draft, row, numbers).replace("They", "You").replace("you sent", "sent")
    )
    lines += [
        "",
        *([weights, ""] if weights else []),
        _PLEASE,
        "",
        "Our estimate is no certified assay.",
    ]
    return "\n".join(lines)


def _roughly(grams: float, numbers: SettlementNumbers) -> str:
    return numbers.roughly(micrograms(grams))


def _with_doubt(grams: float, u_g: float | None, numbers: SettlementNumbers) -> str:
    u = None if u_g is None else micrograms(u_g)
    return numbers.uncut_with_unit(Figure(micrograms(grams), u, How.WORKED_OUT))
