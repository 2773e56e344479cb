"""The shop's own estimate of a shipment, on a sheet of its own that stays in the house."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from vault.application.reports.shipment import OwnEstimate
from vault.core.knowledge import Figure
from vault.core.metals import ALL_SYMBOLS
from vault.screens.numbers import NOT_KNOWN, NOTHING, Numbers, metal_name
from vault.screens.printing.page import HEADING, SMALL, Block, Pairs, Report, Words, head_of
from vault.screens.printing.shipment import shipment_facts, shipment_foot
from vault.screens.printing.table import Column, Row, table
from vault.screens.words import items as items_words

# More metals than these in one table would be too narrow to read; the next table has the rest.
_METALS_A_TABLE = 4
_ROOM_OF_TWO_ROWS = 160
_FOR_WHOM = "For the shop's own file. Not for the refinery."
_ABOUT = (
    "A ± is one standard uncertainty; that of the whole goes with how the items hang together, so "
    "it is not the sum of those above. Worked out from the shop's own weights, works and assays; "
    "an aid to the owner's judgement and no certified assay."
)


def own_estimate_paper(own: OwnEstimate, numbers: Numbers, page_size: str = "A4") -> Report:
    """Give the own estimate as pages."""
    papers = own.papers
    blocks: list[Block] = [
        *head_of(papers.shop, f"Own estimate, shipment {papers.ref}"),
        Words(_FOR_WHOM, size=HEADING, bold=True, above=10),
        Pairs([*shipment_facts(papers), ("As known at", f"entry {own.figures_of}")]),
    ]
    metals = [metal for metal in ALL_SYMBOLS if metal in own.whole]
    if not metals:
        blocks.append(Words("Nothing is known of what it holds.", above=24))
    for start in range(0, len(metals), _METALS_A_TABLE):
        blocks += _table(own, metals[start : start + _METALS_A_TABLE], numbers)
    left_out = _left_out(own, numbers)
    if left_out:
        blocks.append(Words(left_out, above=16))
    blocks += _doubts(own, metals, numbers)
    blocks.append(Words(_ABOUT, size=SMALL, soft=True, above=20))
    return Report(f"Own estimate {papers.ref}", blocks, shipment_foot(papers), page_size)


def _table(own: OwnEstimate, metals: list[str], numbers: Numbers) -> Iterator[Block]:
    columns = (
        Column("Container or item", 22),
        Column("Items", 8, is_figure=True),
        *(Column(f"{metal}, {numbers.unit}", 70 / len(metals), is_figure=True) for metal in metals),
    )
    yield Words(" ", size=20)
    rows = table(
        columns,
        [
            (part.name, numbers.count(part.items), *_figures(told, metals, numbers))
            for part, told in zip(own.papers.parts, own.parts, strict=True)
        ],
    )
    yield from rows
    whole = ("Together", numbers.count(own.papers.items), *_figures(own.whole, metals, numbers))
    yield Row(columns, whole, bold=True, heading=rows[0])


def _figures(told: Mapping[str, Figure], metals: list[str], numbers: Numbers) -> Iterator[str]:
    for metal in metals:
        figure = told.get(metal)
        if figure is None:
            yield NOT_KNOWN if not told else NOTHING
        else:
            yield numbers.uncut(figure.fine_ug, figure.u_ug)


def _left_out(own: OwnEstimate, numbers: Numbers) -> str:
    told = []
    if own.not_known:
        many = items_words(own.not_known, numbers.count(own.not_known))
        told.append(f"every metal of {many}")
    told += [
        f"{metal} of {items_words(many, numbers.count(many))}"
        for metal, many in own.left_out.items()
    ]
    return f"Not known and not counted: {', '.join(told)}." if told else ""


def _doubts(own: OwnEstimate, metals: list[str], numbers: Numbers) -> Iterator[Block]:
    """Say what the doubt of each metal comes from, largest part first."""
    for metal in metals:
        shares = own.budget.get(metal, ())
        if shares:
            told = ", ".join(f"{one.words} {numbers.rough_share(one.share)}" for one in shares)
            heading = f"The ± of the {metal_name(metal)} comes from: "
            yield Words(f"{heading}{told}.", size=SMALL, above=12)
