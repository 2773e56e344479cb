"""The receipt of a lot on paper."""

from __future__ import annotations

from vault.application.reports.receipt import Receipt, ReceiptBag
from vault.core.knowledge import DECLARED
from vault.screens.numbers import NOT_KNOWN, NOTHING, Numbers, day
from vault.screens.printing.page import (
    SMALL,
    Pairs,
    Report,
    Signatures,
    Words,
    head_of,
)
from vault.screens.printing.table import Column, Row, table

_COLUMNS = (
    Column("Tag", 18),
    Column("What it is", 21),
    Column("Weight without bag", 25, is_figure=True),
    Column("Bag", 15, is_figure=True),
    Column("Declared", 31),
)
_ABOUT = (
    "Weights are without the bag. A ± is one standard uncertainty. What was declared was taken on "
    "somebody's word and not checked; this receipt is no assay."
)


def receipt_paper(receipt: Receipt, numbers: Numbers, page_size: str = "A4") -> Report:
    """Give a receipt as pages."""
    title = f"Receipt for lot {receipt.lot}"
    blocks = head_of(receipt.shop, title, struck_by=receipt.struck_by, called="receipt")
    blocks.append(Pairs(_facts(receipt)))
    blocks.append(Words(" ", size=20))
    rows = table(_COLUMNS, [_cells(bag, numbers) for bag in receipt.bags])
    blocks += [*rows, _total(receipt, numbers, rows[0])]
    blocks.append(Words(_ABOUT, size=SMALL, soft=True, above=16))
    blocks += [Words(caution, size=SMALL, bold=True, above=16) for caution in receipt.cautions]
    blocks.append(Signatures(_signers(receipt)))
    # Small, and whole: with it this page can be held against the book for ever.
    foot = f"{receipt.shop} · lot {receipt.lot} · entry {receipt.entry} · chain {receipt.head}"
    return Report(f"Receipt {receipt.lot}", blocks, foot, page_size)


def _facts(receipt: Receipt) -> list[tuple[str, str]]:
    terms = f"{receipt.terms}. {receipt.terms_in_words}" if receipt.terms else ""
    facts = [
        ("Received on", f"{day(receipt.day)}, by {receipt.by}" if receipt.by else day(receipt.day)),
        ("From", receipt.party or "the shop's own"),
        ("Terms", terms[:1].upper() + terms[1:]),
    ]
    if receipt.hold_until is not None:
        held = f"Nothing of what is held is worked, sent or sold before {day(receipt.hold_until)}."
        facts.append(("Hold", held))
    return facts


def _cells(bag: ReceiptBag, numbers: Numbers) -> tuple[str, ...]:
    measured = f" ({bag.how})" if bag.how not in {"", DECLARED} else ""
    told = [
        f"{one.metal} {numbers.fineness(one.fineness, one.u)}{measured}" for one in bag.contents
    ]
    if bag.hold_until is not None:
        told.append(f"held until {day(bag.hold_until)}")
    if bag.note:
        told.append(f"“{bag.note}”")
    return (
        f"{bag.tag}  {bag.check}".rstrip(),
        bag.form,
        _weight(bag, numbers),
        NOTHING if bag.tare is None else numbers.mass(bag.tare),
        "\n".join(told) or NOT_KNOWN,
    )


def _weight(bag: ReceiptBag, numbers: Numbers) -> str:
    if bag.gross is None:
        return "not weighed"
    value, _, unit = numbers.mass(bag.gross).rpartition(" ")
    if bag.gross_u is None:
        return f"{value} {unit}"
    doubt, _, _ = numbers.mass(bag.gross_u).rpartition(" ")
    return f"{value} ± {doubt} {unit}"


def _total(receipt: Receipt, numbers: Numbers, heading: Row) -> Row:
    bags = "1 item" if len(receipt.bags) == 1 else f"{len(receipt.bags)} items"
    weight = NOTHING if receipt.total is None else numbers.mass(receipt.total)
    left_out = f"{receipt.not_weighed} of them not weighed" if receipt.not_weighed else ""
    return Row(_COLUMNS, ("Together", bags, weight, "", left_out), bold=True, heading=heading)


def _signers(receipt: Receipt) -> tuple[str, str]:
    shop = f"for {receipt.shop}" + (f": {receipt.by}" if receipt.by else "")
    return (f"brought by {receipt.party}" if receipt.party else "witness", shop)
