"""Invented tags and receipts, to be drawn."""

from __future__ import annotations

from datetime import date

from builders import mass
from vault.application.queries.answers.labels import TagLabel
from vault.application.reports.receipt import IN_WORDS, Receipt, ReceiptBag
from vault.bench.tags import symbol_of
from vault.core.cautions import LEAD, LEAD_LABEL
from vault.core.daybook import Said
from vault.core.fineness import fineness_from_text
from vault.core.tags import check_digits, payload_of

FORMS = {"B": "bar", "K": "button", "C": "spent cupel", "S": "slag", "R": "filings"}
DAY = date(2031, 3, 5)
HEAD = "9f2c41d07be86a35" * 4


def tag_label(tag: str, *, lots: tuple[str, ...] = ("L-118", "L-121"), form: str = "") -> TagLabel:
    form = form or FORMS.get(tag[:1] if "-" in tag else "", "container")
    is_residue = form in {"slag", "spent cupel", "container"}
    return TagLabel(
        tag=tag,
        check=check_digits(tag),
        symbol=symbol_of(payload_of(tag)),
        form=form,
        lots=lots,
        more_lots=1,
        made_on=None if form == "container" else DAY,
        is_received=tag.startswith("R-"),
        kept_since=DAY if is_residue else None,
        cautions=(LEAD_LABEL,) if form in {"spent cupel", "container"} else (),
    )


def bag(number: int, *, note: str = "", held: bool = False, weighed: bool = True) -> ReceiptBag:
    tag = f"R-{number:04d}"
    silver = Said("Ag", fineness_from_text("600"), fineness_from_text("60"))
    return ReceiptBag(
        tag=tag,
        check=check_digits(tag),
        form="filings" if number % 2 else "dust",
        place="bench",
        note=note,
        gross=mass(f"{500 + number}.40 g") if weighed else None,
        gross_u=mass("0.02 g") if weighed else None,
        tare=mass("12.50 g") if weighed else None,
        contents=(silver,) if number % 3 else (),
        how="XRF" if number == 5 else "declared",
        hold_until=date(2031, 3, 19) if held else None,
    )


def receipt(entry: int = 17, *, bags: int = 3, struck_by: int | None = None) -> Receipt:
    things = tuple(
        bag(
            number,
            held=number == 1,
            weighed=number != 3,
            note="swept from under the long bench, with iron in it" if number == 2 else "",
        )
        for number in range(1, bags + 1)
    )
    weights = [one.gross for one in things if one.gross is not None]
    return Receipt(
        shop="Tidewater Melt Shop",
        entry=entry,
        day=DAY,
        by="Imke",
        lot="L-124",
        party="Pennant Bench School",
        terms="toll",
        terms_in_words=IN_WORDS["toll"],
        bags=things,
        total=sum(weights[1:], weights[0]),
        not_weighed=len(things) - len(weights),
        hold_until=date(2031, 3, 19),
        cautions=(LEAD,),
        head=HEAD,
        struck_by=struck_by,
    )
