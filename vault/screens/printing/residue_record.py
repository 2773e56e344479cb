"""The record of residues on paper: what is kept since when, and each class year by year."""

from __future__ import annotations

from collections.abc import Iterator

from vault.application.queries.answers.turnover import YearlyRecord
from vault.application.reports.residue_record import ResidueRecord
from vault.core.turnover import Amount
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
from vault.screens.printing.table import Column, table
from vault.screens.record_words import (
    CHECK_THE_LAW,
    amount_words,
    largest_of,
    otherwise_words,
    percent_words,
    rule_words,
    signed_weight,
    standing_words,
)
from vault.screens.words import NO_PLACE, forms

_CONTAINERS = (
    Column("Container", 30),
    Column("Holds", 22),
    Column("Items", 12, is_figure=True),
    Column("Weight", 34, is_figure=True),
    Column("Kept since", 20),
)
_YEARS = (
    Column("Year", 10),
    Column("On 1 Jan", 19, is_figure=True),
    Column("Made", 18, is_figure=True),
    Column("Sent, sold", 18, is_figure=True),
    Column("Worked here", 19, is_figure=True),
    Column("Otherwise", 17, is_figure=True),
    Column("At the end", 19, is_figure=True),
    Column("Moved on", 16, is_figure=True),
)
_ROOM_OF_TWO_ROWS = 160
_ABOUT = (
    "Weights are those of the scale, without bags; what was never weighed is counted and stands in "
    "no weight. Made takes in what was received. Moved on is what was sent, sold or worked here, "
    "as a share of the stock on 1 January. Crushing, blending and dividing make nothing and move "
    "nothing on. A day is that of the shop's own calendar; entries that were struck count nowhere. "
    f"This record is no legal advice. {CHECK_THE_LAW}"
)


def record_paper(record: ResidueRecord, numbers: Numbers, page_size: str = "A4") -> Report:
    """Give the record as pages."""
    years = record.years
    rule = "none is set" if years.rule is None else rule_words(years.rule, numbers)
    blocks: list[Block] = [
        *head_of(record.shop, "Record of residues"),
        Pairs(
            [
                ("Up to", f"{day(years.day)}, entry {record.entry}"),
                ("Rule", rule),
                ("Head of the chain", record.head),
            ]
        ),
        Words("On hand", size=HEADING, bold=True, above=40, room_below=_ROOM_OF_TWO_ROWS),
        *_containers(record, numbers),
    ]
    for form in years.classes:
        blocks += _class(form, years, numbers)
    blocks.append(Words(_ABOUT, size=SMALL, soft=True, above=24))
    blocks += [Words(caution, size=SMALL, bold=True, above=16) for caution in record.cautions]
    blocks.append(Signatures((f"for {record.shop}", "seen by")))
    foot = f"{record.shop} · entry {record.entry} · chain {record.head}"
    return Report(f"Record of residues {years.day.isoformat()}", blocks, foot, page_size)


def _containers(record: ResidueRecord, numbers: Numbers) -> Iterator[Block]:
    if not record.containers:
        yield Words("No residues are on hand.", above=16)
        return
    yield from table(
        _CONTAINERS,
        [
            (
                one.place or NO_PLACE,
                forms(one.form),
                numbers.count(one.held.items),
                amount_words(one.held, numbers),
                day(one.oldest),
            )
            for one in record.containers
        ],
    )


def _class(form: str, years: YearlyRecord, numbers: Numbers) -> Iterator[Block]:
    """Give the heading and the table of one class, and what its last year says in words."""
    name = forms(form)
    rows = years.classes[form]
    told = table(_YEARS, [_cells(form, at, years, numbers) for at in range(len(rows))])
    title = f"{name[:1].upper()}{name[1:]}"
    yield Words(title, size=HEADING, bold=True, above=40, room_below=_ROOM_OF_TWO_ROWS)
    yield from told
    last = rows[-1]
    oldest = years.oldest.get(form)
    words = [standing_words(last, years, numbers)] if years.rule is not None else []
    words += [otherwise_words(last.told, numbers)]
    if oldest is not None:
        words.append(f"The oldest on hand has been kept since {day(oldest)}.")
    told_words = " ".join(one for one in words if one)
    if told_words:
        yield Words(told_words, size=SMALL, above=12)


def _cells(form: str, at: int, years: YearlyRecord, numbers: Numbers) -> tuple[str, ...]:
    one = years.classes[form][at].told
    beside = max((largest_of(year.told) for year in years.classes[form]), key=_weight)
    share = one.share
    otherwise = one.returned + one.missing + one.reshaped
    return (
        str(one.year),
        _told(one.opening, numbers, beside),
        _told(one.gained, numbers, beside),
        _told(one.sent + one.sold, numbers, beside),
        _told(one.worked, numbers, beside),
        signed_weight(otherwise, numbers, beside) or NOTHING,
        _told(one.closing, numbers, beside),
        NOTHING if share is None else percent_words(share, numbers),
    )


def _told(amount: Amount, numbers: Numbers, beside: Amount) -> str:
    return NOTHING if amount.items == 0 else amount_words(amount, numbers, beside=beside)


def _weight(amount: Amount) -> int:
    return amount.gross_ug
