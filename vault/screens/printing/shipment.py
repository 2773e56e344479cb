"""The papers of a shipment: what goes, in which containers, how heavy, and what in it can hurt."""

from __future__ import annotations

from collections.abc import Iterator

from vault.application.reports.shipment import PackedForm, PackedPart, ShipmentPapers
from vault.core.masses import Mass
from vault.screens.numbers import NOTHING, Numbers, day
from vault.screens.printing.page import (
    HEADING,
    SMALL,
    Block,
    Pairs,
    Report,
    Signatures,
    Words,
    head_of,
)
from vault.screens.printing.table import Column, Row, table
from vault.screens.words import forms as form_words
from vault.screens.words import items as items_words

_PARTS = (
    Column("Container or item", 25),
    Column("Holds", 24),
    Column("Net", 20, is_figure=True),
    Column("Empty", 14, is_figure=True),
    Column("Full", 15, is_figure=True),
    Column("Seal", 14),
)
_HAZARDS = (Column("Form", 24), Column("Hazard", 76))
_ROOM_OF_TWO_ROWS = 160
_ABOUT = (
    "Net weights are without the container. A container that was not weighed as a whole stands "
    "with the weights of its items one by one. Papers of the road, labels of dangerous goods and "
    "waste manifests are the carrier's and the law's, and none of them is this page."
)


def shipment_paper(papers: ShipmentPapers, numbers: Numbers, page_size: str = "A4") -> Report:
    """Give the packing list as pages; nothing on it says what the shop thinks is in it."""
    title = f"Packing list, shipment {papers.ref}"
    blocks = head_of(papers.shop, title, struck_by=papers.struck_by, called="list")
    blocks.append(Pairs(shipment_facts(papers)))
    blocks.append(Words(" ", size=20))
    rows = table(_PARTS, [_cells(part, numbers) for part in papers.parts])
    blocks += [*rows, _total(papers, numbers, rows[0])]
    blocks += _hazards(papers)
    blocks.append(Words(_ABOUT, size=SMALL, soft=True, above=20))
    blocks += [Words(caution, size=SMALL, bold=True, above=16) for caution in papers.cautions]
    blocks.append(Signatures(("carrier", f"for {papers.party}", _for_the_shop(papers))))
    return Report(f"Packing list {papers.ref}", blocks, shipment_foot(papers), page_size)


def shipment_facts(papers: ShipmentPapers) -> list[tuple[str, str]]:
    """Give who sends what to whom, as pairs."""
    facts = [
        ("Sent on", f"{day(papers.day)}, by {papers.by}" if papers.by else day(papers.day)),
        ("To", papers.party),
        ("Terms", papers.terms or NOTHING),
    ]
    if papers.note:
        facts.append(("For the carrier", papers.note))
    return facts


def shipment_foot(papers: ShipmentPapers) -> str:
    """Give the line of small type: with it a page can be held against the book for ever."""
    return f"{papers.shop} · shipment {papers.ref} · entry {papers.entry} · chain {papers.head}"


def _cells(part: PackedPart, numbers: Numbers) -> tuple[str, ...]:
    weighed = part.weighed_on
    name = part.name
    if part.is_container and weighed is not None:
        name = f"{name}\nweighed {day(weighed)}"
    return (
        name,
        "\n".join(_form(one, numbers) for one in part.forms),
        _net(part, numbers),
        _weight(part.tare, numbers),
        _weight(part.full, numbers),
        part.seal or NOTHING,
    )


def _form(one: PackedForm, numbers: Numbers) -> str:
    name = form_words(one.form) if one.items > 1 else one.form
    return f"{numbers.count(one.items)} {name}"


def _net(part: PackedPart, numbers: Numbers) -> str:
    if part.weight is None:
        return "not weighed"
    told = numbers.total_weight(part.weight.micrograms)
    if part.not_weighed:
        told += f"\n{numbers.count(part.not_weighed)} not weighed"
    if part.is_container and part.net is None:
        told += "\nitem by item"
    return told


def _weight(mass: Mass | None, numbers: Numbers) -> str:
    return NOTHING if mass is None else numbers.total_weight(mass.micrograms)


def _total(papers: ShipmentPapers, numbers: Numbers, heading: Row) -> Row:
    many = items_words(papers.items, numbers.count(papers.items))
    weight = NOTHING if papers.total is None else numbers.total_weight(papers.total.micrograms)
    if papers.not_weighed:
        weight += f"\n{numbers.count(papers.not_weighed)} not weighed"
    whole = [one.full for one in papers.parts if one.is_container]
    known = [one for one in whole if one is not None]
    is_whole = len(known) == len(papers.parts)
    full = numbers.total_weight(sum(x.micrograms for x in known)) if known and is_whole else ""
    return Row(_PARTS, ("Together", many, weight, "", full, ""), bold=True, heading=heading)


def _hazards(papers: ShipmentPapers) -> Iterator[Block]:
    if not papers.hazards:
        return
    yield Words(
        "What in it can hurt", size=HEADING, bold=True, above=40, room_below=_ROOM_OF_TWO_ROWS
    )
    cells = [(_capital(form_words(form)), told) for form, told in papers.hazards]
    yield from table(_HAZARDS, cells)


def _for_the_shop(papers: ShipmentPapers) -> str:
    return f"for {papers.shop}: {papers.by}" if papers.by else f"for {papers.shop}"


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]
