"""Every kind of bad daybook that we could think of, each refused with row, column and sentence."""

from __future__ import annotations

import pytest

from spoilt_daybooks import (
    EXAMPLES,
    ZONE,
    Kind,
    cell,
    cells,
    header,
    insist_that_it_is_refused,
    raw,
    replaced,
    with_row,
    without,
)
from vault.application.exchange.daybook_csv import read_daybook

EXAMPLE = (EXAMPLES / "example-daybook.csv").read_bytes()

KINDS = [
    # Weights
    cell("a weight with its unit", 3, "gross_g", "512.40 g", "is no weight; write grams"),
    cell("a weight in words", 3, "gross_g", "half a kilo", "is no weight"),
    cell("a decimal comma", 3, "gross_g", "512,40", "decimal point"),
    cell("grouped thousands", 3, "gross_g", "1,512.40", "is no weight"),
    cell("an exponent of a million digits", 3, "gross_g", "1e999999", "is no weight"),
    cell("infinity", 3, "gross_g", "inf", "is no weight"),
    cell("not a number", 3, "gross_g", "nan", "is no weight"),
    cell("digits of another script", 3, "gross_g", "\u0665\u0661\u0662", "is no weight"),
    cell("a negative weight", 3, "gross_g", "-512.40", "must be more than nothing"),
    cell("a weight of nothing", 3, "gross_g", "0", "must be more than nothing"),
    cell("a weight finer than a microgram", 3, "gross_g", "0.0000001", "six decimals"),
    cell("more than the book can hold", 3, "gross_g", "99999999999", "more than this book"),
    cell("an integer of ten thousand digits", 3, "gross_g", "9" * 10_000, "is no weight"),
    cell("a formula as weight", 3, "gross_g", "=500+12.4", "is no weight"),
    cell("a negative uncertainty of a weight", 3, "gross_u_g", "-0.02", "below zero"),
    cell("an uncertainty in words", 3, "gross_u_g", "small", "no uncertainty of a weight"),
    cell("an uncertainty without its weight", 13, "gross_u_g", "0.1", "without the weight"),
    cell("an item heavier than what it came from", 7, "gross_g", "2000", "more came out"),
    cells("a weighing with but its doubt", "29 gross_g=", 29, "gross_u_g", "without the weight"),
    cells("a weighing of nothing", "29 gross_g=; 29 gross_u_g=", 29, "gross_g", "no weight"),
    # Contents
    cell("more than pure", 3, "Ag", "1001", "between 0 and 1000 ‰"),
    cell("less than nothing", 3, "Ag", "-1", "between 0 and 1000 ‰"),
    cell("a content in percent", 3, "Ag", "60 %", "is no fineness; write ‰"),
    cell("a content in karat", 3, "Ag", "14 kt", "is no fineness"),
    cell("an uncertainty of content in words", 3, "Ag_u", "sixty", "no uncertainty of a fineness"),
    cell("an uncertainty without its content", 3, "Au_u", "3", "without the content of Au"),
    cells("metals above pure together", "3 Ag=600; 3 Au=700", 3, "Ag", "add up to 1300.0 ‰"),
    cell("an unknown method", 5, "how", "guesswork", "no method known here; write declared"),
    cell("an assay by word", 5, "how", "declared", "somebody's word is no assay"),
    cell("an assay without its method", 5, "how", "", "needs the assay method"),
    cells("an assay of nothing", "5 Ag=; 5 Ag_u=", 5, "Ag", "gives no content"),
    cell("a method without content", 4, "how", "declared", "no content is given"),
    # Entry numbers
    cell("a number with decimals", 5, "entry", "3.0", "is no entry number"),
    cell("number nought", 5, "entry", "0", "is no entry number"),
    cell("a negative number", 5, "entry", "-3", "is no entry number"),
    cell("a number of many digits", 5, "entry", "3" * 400, "at most nine digits"),
    cell("a number in words", 5, "entry", "three", "is no entry number"),
    cell("a number of another script", 5, "entry", "\u0663", "is no entry number"),
    cell("a row without its number", 4, "entry", "", "every row needs it"),
    cell("falling numbers", 28, "entry", "3", "stands in row 5 already"),
    cells("a number too high in between", "28 entry=900", 29, "entry", "numbers must rise"),
    # Dates
    cell("a day that no calendar has", 5, "when", "2031-02-30", "has no day 2031-02-30"),
    cell("a date with points", 5, "when", "1.3.2031", "year-month-day"),
    cell("a date with slashes", 5, "when", "03/01/2031", "year-month-day"),
    cell("a day count of a spreadsheet", 5, "when", "47908", "is no date"),
    cell(
        "a date of another script",
        5,
        "when",
        "\u0662\u0660\u0663\u0661-\u0660\u0663-\u0660\u0661",
        "is no date",
    ),
    cell("a year long ago", 5, "when", "0031-03-01", "lies outside 1900 to 2199"),
    cell("a time that no clock shows", 5, "when", "2031-03-01T25:00", "no clock shows"),
    cell("a time without its zero", 5, "when", "2031-03-01 9:10", "is no date"),
    cell("an offset of a day and more", 5, "when", "2031-03-01T10:00+25:00", "no clock shows"),
    cell("an empty date", 5, "when", "", "The date is empty"),
    cell("a date out of order", 29, "when", "2013-03-06", "in the order in which"),
    cell(
        "a time out of order", 5, "when", "2031-03-01T08:00", "an entry above it 2031-03-01T09:10"
    ),
    cell("an hour that was skipped", 33, "when", "2031-03-30T02:30", "never showed"),
    cells(
        "an hour that came twice",
        "34 when=2031-10-26T02:30; 35 when=2031-10-26T02:30; 36 when=2031-10-26T02:30",
        34,
        "when",
        "say which, by its offset: 2031-10-26T02:30+02:00 or 2031-10-26T02:30+01:00",
    ),
    # What stands once for an entry
    cell("nobody recorded it", 5, "by", "", "does not say who recorded it"),
    cell("an unknown act", 5, "act", "assai", "is no act; write one of receive"),
    cell("no act", 5, "act", "", "is no act"),
    cell("an act in capitals", 5, "act", "ASSAY", "is no act"),
    cell("an unknown role", 5, "role", "off", "is no role; write one of in"),
    cell("a role of another act", 5, "role", "used", "has the role “of”"),
    cells(
        "an unknown process", "6 process=burn; 7 process=burn", 6, "process", "is no process; write"
    ),
    cells("work without process", "6 process=; 7 process=", 6, "process", "names no process"),
    cell("a process where no work is", 5, "process", "smelt", "belongs to work only"),
    cell("two operators in one entry", 4, "by", "Ole", "all rows of an entry agree"),
    cell("two dates in one entry", 4, "when", "2031-03-01", "all rows of an entry agree"),
    cell("two acts in one entry", 7, "act", "assay", "all rows of an entry agree"),
    cell("two processes in one entry", 7, "process", "smelt", "all rows of an entry agree"),
    # Tags and forms
    cell("an unknown tag", 5, "tag", "R-9999", "No item with tag R-9999"),
    cell("a tag given twice", 7, "tag", "R-0001", "a tag is never given twice", ((8, "tag"),)),
    cell("a tag twice in an entry", 4, "tag", "R-0001", "this entry twice", ((6, "tag"),)),
    cell("an item used twice", 24, "tag", "K-0001", "used up in entry 6"),
    cell("a work that makes what it uses", 7, "tag", "R-0002", "this entry twice", ((8, "tag"),)),
    cell("an item used before it is made", 6, "tag", "B-0001", "No item with tag B-0001"),
    cell("an item moved after it was used", 30, "tag", "K-0002", "cannot be moved"),
    cell("an empty tag", 5, "tag", "", "needs the item's tag"),
    cell("a tag on a thing added", 16, "tag", "P-1", "A thing added has no tag"),
    cell("a formula as tag", 13, "tag", "=1+1", "would run as a formula"),
    cell("a command as tag", 13, "tag", "+cmd|' /C calc'!A0", "would run as a formula"),
    cell("a function as form", 13, "form", "@SUM(A1:A9)", "would run as a formula"),
    cell("a wide formula sign", 33, "party", "\uff1dHYPERLINK", "would run as a formula"),
    cell("a guarded formula as tag", 13, "tag", "'=1+1", "would run as a formula"),
    cell("a control character", 13, "tag", "S-\x1b0001", "cannot be seen (U+001B)"),
    cell("a character that cannot be seen", 13, "tag", "S-\u200b0001", "(U+200B)"),
    cell("writing turned round", 13, "place", "drum \u202eD", "(U+202E)"),
    cell("a line break in a name", 13, "form", "sl\nag", "cannot be seen (U+000A)"),
    cell("a name too long", 13, "form", "slag " * 50 + "x", "251 characters long; at most 200"),
    cell("a note too long", 13, "note", "n" * 10_001, "10001 characters long; at most 10000"),
    cell("an item without a form", 13, "form", "", "what it is, such as bar or slag"),
    cell("an item under another form", 32, "form", "slag", "is “bar” in the book"),
    # Lots
    cell("a received item without lot", 3, "lot", "", "needs the lot it belongs to"),
    cell("a customer left out", 3, "party", "", "needs its customer"),
    cell("two customers of one lot", 4, "party", "Somebody Else", "two customers or terms"),
    cells("unknown terms", "3 terms=rent; 4 terms=toll", 3, "terms", "write toll, bought or own"),
    with_row(
        "a lot of somebody else's",
        "17,2031-08-01,Imke,receive,,in,R-0009,scrap,L-001,Orrin,toll,,,,,,,,,,,,,,,,",
        "lot",
        "was received before, from Pennant",
    ),
    # Works and ways out
    without("a work that uses nothing", 6, 6, "role", "uses no item"),
    without("a work that makes nothing", 7, 6, "role", "makes no item", ((7, "tag"),)),
    cell("a move to nowhere", 28, "place", "", "needs where it goes"),
    cell("sent to nobody", 33, "party", "", "needs who gets it"),
    cell("returned to nobody", 32, "party", "", "needs who gets it"),
    with_row(
        "sold after it was returned",
        "17,2031-08-01,Imke,sell,,out,B-0001,,,Orrin,,,,,,,,,,,,,,,,,",
        "tag",
        "it was returned in entry 14",
    ),
    with_row(
        "counted though it was sent",
        "17,2031-08-01,Imke,count,,of,C-0001,,,,,,,,,,,,,,,,,,,,",
        "tag",
        "it was sent in entry 15",
    ),
    with_row(
        "a container put into itself",
        "17,2031-08-01,Imke,move,,of,drum D,,,,,drum D,,,,,,,,,,,,,,,",
        "place",
        "cannot be put into itself",
    ),
    # Settlements and prices
    cell("an unknown shipment", 34, "ref", "V-9999", "No shipment V-9999 was sent"),
    cell("a settled item of another shipment", 34, "tag", "B-0001", "was not in shipment"),
    cells(
        "a line that settles nothing", "35 amount=; 35 currency=", 35, "amount", "settles neither"
    ),
    cell("an amount without currency", 35, "currency", "", "needs its currency"),
    cell("a currency without amount", 35, "amount", "", "without an amount"),
    cell("a currency in words", 35, "currency", "euro", "is no currency"),
    cell("an amount with its sign", 35, "amount", "2.21 €", "is no amount"),
    cell("a settled amount too fine", 35, "amount", "2.211", "at most two decimals"),
    cell("an amount beyond all measure", 35, "amount", "9" * 19, "more than this book"),
    cell("the price of a base metal", 2, "ref", "Cu", "is no metal known here"),
    cell("a price of nothing", 2, "amount", "0", "must be more than nothing"),
    cells("a price without amount", "2 amount=; 2 currency=", 2, "amount", "needs its amount"),
    cell("a price of an item", 2, "tag", "R-0001", "A price is no item's"),
    # Strikes
    cell("a strike of nothing", 31, "ref", "", "needs what it refers to"),
    cell("a strike of what is to come", 31, "ref", "14", "no entry 14 before this one"),
    cell("a strike of words", 31, "ref", "the last", "no entry the last"),
    cell("a strike without reason", 31, "note", "", "needs the reason"),
    cell("a strike of what others lean on", 31, "ref", "2", "while later entries lean on it"),
    cell("a strike of an item", 31, "tag", "C-0001", "strikes a whole entry"),
    with_row(
        "a second strike",
        "17,2031-08-01,Imke,strike,,,,,,,,,,,,,,,,,,,,12,,,again",
        "ref",
        "was struck already, by entry 13",
    ),
    with_row(
        "a strike of a strike",
        "17,2031-08-01,Imke,strike,,,,,,,,,,,,,,,,,,,,13,,,again",
        "ref",
        "is itself a strike",
    ),
    with_row(
        "a tag of a struck receipt",
        "17,2031-08-01,Imke,move,,of,S-9,,,,,safe,,,,,,,,,,,,,,,",
        "tag",
        "No item with tag S-9",
    ),
    # The header
    header("a missing column", "entry,", "", "entry", "“entry” is missing"),
    header("an unknown column", "gross_g", "gross", "gross", "did you mean “gross_g”?"),
    header("a column of a base metal", "Pd_u", "Zn_q", "Zn_q", "has no column “Zn_q”"),
    header("a column twice", ",party,", ",tag,", "tag", "stands twice"),
    # The file
    raw("an empty file", lambda _: b"", 1, "", "The file is empty"),
    raw("nothing but blanks", lambda _: b" \r\n \r\n", 1, "", "The file is empty"),
    raw("no header", lambda data: data.split(b"\r\n", 1)[1], 1, "", "is no header of a daybook"),
    Kind("semicolons", lambda paper: paper.to_bytes(";"), 1, "", "cells by semicolons"),
    Kind("tabs", lambda paper: paper.to_bytes("\t"), 1, "", "cells by tabs"),
    raw("UTF-16", lambda data: data.decode().encode("utf-16"), 1, "", "is in UTF-16"),
    raw("UTF-16, no mark", lambda data: data.decode().encode("utf-16-le"), 1, "", "is in UTF-16"),
    raw("UTF-32", lambda data: data.decode().encode("utf-32"), 1, "", "is in UTF-16"),
    raw(
        "Latin letters of one byte",
        lambda data: replaced(data, "dull red", "düll red".encode("latin-1")),
        6,
        "note",
        "The byte FC (hexadecimal) here is no text in UTF-8. Save it as CSV in UTF-8",
    ),
    raw("a byte of value zero", lambda data: replaced(data, "tray", b"tr\0ay"), 1, "", "no text"),
    raw("nothing but zeros", lambda _: b"\0" * 5_000, 1, "", "This file is no text"),
    raw("a picture", lambda _: b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR", 1, "", "This file is no text"),
    raw("an old spreadsheet", lambda _: b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1..", 1, "", ".xls"),
    raw("a broken workbook", lambda _: b"PK\x03\x04 and no more", 1, "", "no readable .xlsx"),
    raw(
        "a quotation mark that does not close",
        lambda data: replaced(data, ',"silver paid, 85 %"', b',"silver paid'),
        35,
        "note",
        "do not close",
    ),
    raw(
        "a quotation mark that closes rows below",
        lambda data: replaced(data, "X-17", b'"X-17'),
        5,
        "ref",
        "do not close",
    ),
    raw(
        "letters after a quotation mark",
        lambda data: replaced(data, "X-17", b'"X"-17'),
        5,
        "ref",
        "do not close",
    ),
    raw(
        "a cell of ten megabytes",
        lambda data: replaced(data, "X-17", b"X" * 10_000_000),
        5,
        "ref",
        "holds more than",
    ),
    raw(
        "a comma in a cell without quotation marks",
        lambda data: replaced(data, "collected", b"collected, paid"),
        32,
        "",
        "stands under no column name",
    ),
]


def test_there_are_at_least_sixty_kinds_and_none_stands_twice() -> None:
    assert len({kind.name for kind in KINDS}) == len(KINDS) >= 60


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.name)
def test_a_bad_daybook_is_refused_with_row_column_and_sentence(kind: Kind) -> None:
    insist_that_it_is_refused(kind, EXAMPLE)


def test_the_example_is_read_without_a_fault() -> None:
    assert read_daybook(EXAMPLE, zone=ZONE).faults == ()
