from __future__ import annotations

import io
from datetime import UTC, date, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from builders import received, shop_of, thing
from vault.application.exchange import lines as lines_of_exchange
from vault.application.exchange import moments as moments_of_exchange
from vault.application.exchange.daybook_csv import Reading, read_daybook, write_daybook
from vault.application.exchange.faults import FileNotReadable, ReadingStopped, RowFault
from vault.application.exchange.moments import Moments
from vault.core.daybook import When
from vault.core.errors import TextNotUnderstood
from vault.core.items import State

ZONE = ZoneInfo("Europe/Berlin")
COLUMNS = "entry,when,by,act,process,role,tag,form,lot,party,terms,place,gross_g,gross_u_g"
HEADER = f"{COLUMNS},Ag,Ag_u,how,ref,amount,currency,note"


def read(*rows: str, header: str = HEADER) -> Reading:
    return read_daybook("\r\n".join((header, *rows)).encode(), zone=ZONE)


def places_of(reading: Reading) -> list[tuple[int, str]]:
    return [(fault.row, fault.column) for fault in reading.faults]


def receipt(number: int, tag: str, **cells: str) -> str:
    said = {
        "entry": str(number),
        "when": f"2031-01-{number:02d}",
        "by": "Imke",
        "act": "receive",
        "role": "in",
        "tag": tag,
        "form": "scrap",
        "lot": f"L-{number}",
        "terms": "own",
        "gross_g": "100",
    }
    said.update(cells)
    return ",".join(said.get(name, "") for name in HEADER.split(","))


def row(number: int, act: str, role: str, tag: str, **cells: str) -> str:
    return receipt(number, tag, act=act, role=role, form="", lot="", terms="", gross_g="", **cells)


# --- What is taken kindly -----------------------------------------------------------------------


def test_an_empty_book_reads_back_empty() -> None:
    stream = io.StringIO()
    write_daybook([], stream, zone=ZONE)
    reading = read_daybook(stream.getvalue().encode(), zone=ZONE)
    assert (reading.entries, reading.faults, reading.rows) == ((), (), 0)


def test_a_byte_order_mark_is_no_part_of_the_first_column() -> None:
    data = b"\xef\xbb\xbf" + "\n".join((HEADER, receipt(1, "R-1"))).encode()
    assert len(read_daybook(data, zone=ZONE).entries) == 1


def test_columns_may_stand_in_any_order_and_optional_ones_be_missing() -> None:
    reading = read(
        "Imke,R-1,scrap,L-1,own,in,receive,2031-01-01,1",
        header="by,tag,form,lot,terms,role,act,when,entry",
    )
    assert reading.faults == ()
    assert reading.entries[0].lines[0].tag == "R-1"


def test_headers_are_read_whatever_their_capitals_and_spaces() -> None:
    assert len(read(receipt(1, "R-1"), header=HEADER.upper().replace(",", " , ")).entries) == 1


def test_blank_rows_are_stepped_over_and_counted() -> None:
    reading = read(receipt(1, "R-1"), "", " , ,", receipt(2, "R-1"))
    assert places_of(reading) == [(5, "tag")]


def test_short_rows_are_filled_up() -> None:
    assert read(receipt(1, "R-1").rstrip(",")).faults == ()


def test_rarer_metals_have_columns_like_the_four() -> None:
    reading = read(
        "1,2031-01-01,Imke,receive,in,R-1,scrap,L-1,own,1.5,0.2",
        header="entry,when,by,act,role,tag,form,lot,terms,Rh,Rh_u",
    )
    said = reading.entries[0].lines[0].contents
    assert [(one.metal, one.fineness.to_text()) for one in said] == [("Rh", "1.5")]
    stream = io.StringIO()
    write_daybook(reading.entries, stream, zone=ZONE)
    assert "Pd_u,Rh,Rh_u,how" in stream.getvalue()
    assert read_daybook(stream.getvalue().encode(), zone=ZONE).entries == reading.entries


def test_spaces_around_cells_do_not_make_another_word() -> None:
    reading = read(receipt(1, " R-1 ", gross_g=" 100 "), row(2, "weigh", "of", "R-1", note="ok"))
    assert places_of(reading) == [(3, "gross_g")]


def test_letters_composed_of_parts_are_the_same_word() -> None:
    reading = read(receipt(1, "Re\u0301-1"), row(2, "move", "of", "R\u00e9-1", place="safe"))
    assert reading.faults == ()


def test_rows_of_an_entry_may_write_its_moment_in_two_ways() -> None:
    rows = (receipt(1, "R-1", when="2031-01-01T09:00"), receipt(1, "R-2", when="2031-01-01 08:00Z"))
    assert len(read(*rows).entries) == 1


def test_an_entry_number_may_have_leading_noughts() -> None:
    assert len(read(receipt(1, "R-1"), receipt(1, "R-2", entry="01")).entries[0].lines) == 2


def test_a_formula_in_a_note_is_text() -> None:
    assert read(receipt(1, "R-1", note="=1+1")).entries[0].lines[0].note == "=1+1"


# --- All faults, and one per cause ---------------------------------------------------------------


def test_every_fault_is_told_and_not_only_the_first() -> None:
    reading = read(
        receipt(1, "R-1", gross_g="x", Ag="2000", by=""),
        receipt(2, "R-2", form="", when="soon"),
        row(3, "assay", "of", "R-9", Ag="1", how="ICP"),
    )
    assert places_of(reading) == [
        (2, "by"),
        (2, "gross_g"),
        (2, "Ag"),
        (3, "when"),
        (3, "form"),
        (4, "tag"),
    ]


def test_what_a_faulty_entry_made_counts_as_made() -> None:
    later = [row(number, "move", "of", "R-1", place="safe") for number in range(2, 9)]
    assert places_of(read(receipt(1, "R-1", gross_g="x"), *later)) == [(2, "gross_g")]


def test_what_an_entry_of_an_unknown_act_names_is_not_asked_for_later() -> None:
    later = [row(number, "move", "of", "R-1", place="safe") for number in range(2, 9)]
    assert places_of(read(receipt(1, "R-1", act="recieve"), *later)) == [(2, "act")]


def test_an_unknown_tag_is_told_once() -> None:
    rows = [row(number, "move", "of", "R-1", place="safe") for number in range(1, 9)]
    assert places_of(read(*rows)) == [(2, "tag")]


def test_what_a_faulty_entry_used_counts_as_used() -> None:
    reading = read(
        receipt(1, "R-1"),
        row(2, "sell", "out", "R-1"),
        row(3, "sell", "out", "R-1", party="Orrin"),
    )
    assert places_of(reading) == [(3, "party"), (4, "tag")]


def test_a_line_whose_role_is_lost_is_not_missed_in_its_work() -> None:
    reading = read(
        receipt(1, "R-1"),
        row(2, "work", "usd", "R-1", process="pour"),
        row(2, "work", "made", "B-1", process="pour").replace("B-1,", "B-1,bar", 1),
        row(3, "move", "of", "B-1", place="safe"),
    )
    assert places_of(reading) == [(3, "role")]


def test_one_date_too_late_is_one_fault() -> None:
    days = ["01", "02", "28", "03", "04", "05", "06"]
    rows = [receipt(n, f"R-{n}", when=f"2031-01-{day}") for n, day in enumerate(days, start=1)]
    assert places_of(read(*rows)) == [(5, "when")]


def test_two_dates_too_early_are_two_faults() -> None:
    days = ["10", "11", "02", "12", "03", "13"]
    rows = [receipt(n, f"R-{n}", when=f"2031-01-{day}") for n, day in enumerate(days, start=1)]
    assert places_of(read(*rows)) == [(4, "when"), (6, "when")]


def test_one_number_too_high_is_one_fault() -> None:
    rows = [
        receipt(n, f"R-{n}", entry=number)
        for n, number in enumerate(["1", "2", "90", "4", "5", "6"], start=1)
    ]
    assert places_of(read(*rows)) == [(5, "entry")]


def test_a_shipment_that_could_not_be_understood_is_not_asked_for_at_its_settlement() -> None:
    reading = read(
        receipt(1, "R-1"),
        row(2, "sned", "out", "R-1", party="Lowland", ref="V-1"),
        row(3, "settle", "line", "R-1", ref="V-1", Ag="900"),
        row(4, "settle", "line", "", ref="V-2", amount="1", currency="EUR"),
        row(5, "settle", "line", "", ref="V-2", amount="1", currency="EUR"),
    )
    assert places_of(reading) == [(3, "act"), (5, "ref")]


def test_a_faulty_strike_still_strikes_as_far_as_it_can() -> None:
    reading = read(
        receipt(1, "R-1"),
        row(2, "sell", "out", "R-1", party="Orrin"),
        row(3, "strike", "", "", ref="2"),
        row(4, "move", "of", "R-1", place="safe"),
        row(5, "strike", "", "", ref="4"),
    )
    assert places_of(reading) == [(4, "note"), (6, "note")]


def test_a_strike_of_an_entry_that_could_not_be_understood_is_let_be() -> None:
    reading = read(receipt(1, "R-1", act="?"), row(2, "strike", "", "", ref="1", note="a slip"))
    assert places_of(reading) == [(2, "act")]


def test_a_lot_is_not_held_against_what_was_wrong_when_it_first_came() -> None:
    reading = read(
        receipt(1, "R-1", lot="L-1", terms="rent", party="Pennant"),
        receipt(2, "R-2", lot="L-1", terms="toll", party="Pennant"),
    )
    assert places_of(reading) == [(2, "terms")]


def test_after_many_broken_rows_the_rest_is_given_up_and_said_so() -> None:
    rows = [receipt(n % 28 + 1, f'"R-{n}') for n in range(150)]
    reading = read(*rows)
    assert "the rest of the file was not read" in reading.faults[-1].sentence
    assert reading.faults[-1].row == 102


def test_a_wrong_encoding_is_one_fault_that_counts_its_cells() -> None:
    rows = [receipt(n, f"R-{n}", note="Gekrätz") for n in range(1, 9)]
    reading = read_daybook("\n".join((HEADER, *rows)).encode("latin-1"), zone=ZONE)
    assert places_of(reading) == [(2, "note")]
    assert "So it is in 7 more cells" in reading.faults[0].sentence


def test_under_a_wrong_header_cells_are_still_read() -> None:
    reading = read(receipt(1, "R-1", Ag="x"), header=HEADER.replace("gross_g", "weight"))
    assert places_of(reading) == [(1, "weight"), (2, "Ag")]


def test_a_cell_under_no_name_is_told() -> None:
    reading = read(receipt(1, "R-1", note="x"), header=HEADER.replace(",currency,note", ",,note"))
    assert reading.faults == ()
    reading = read(receipt(1, "R-1", currency="x"), header=HEADER.replace("currency", ""))
    assert places_of(reading) == [(2, "")]


def test_a_fault_says_where_it_is() -> None:
    assert RowFault(7, "tag", "Wrong.").sentence_with_place() == "Row 7, column tag: Wrong."
    assert RowFault(7, "", "Wrong.").sentence_with_place() == "Row 7: Wrong."


# --- On top of a book ----------------------------------------------------------------------------


def test_a_daybook_goes_on_where_the_book_stands() -> None:
    book = shop_of(received(1, thing("R-1", "scrap", "100"), lot="L-1", party="", terms="own"))
    before = vars(book.copy())
    data = "\n".join((HEADER, row(2, "sell", "out", "R-1", party="Orrin"))).encode()
    reading = read_daybook(data, zone=ZONE, shop=book)
    assert reading.faults == ()
    assert reading.shop is not None
    assert reading.shop.items["R-1"].state is State.SOLD
    assert vars(book) == before


def test_what_the_book_holds_already_is_counted_and_not_recorded_twice() -> None:
    first = read(receipt(1, "R-1"))
    data = "\n".join((HEADER, receipt(1, "R-1"), receipt(2, "R-2"))).encode()
    reading = read_daybook(data, zone=ZONE, shop=first.shop)
    assert reading.faults == ()
    assert [entry.number for entry in reading.entries] == [2]
    assert reading.already == 1


def test_what_the_book_holds_cannot_be_said_otherwise() -> None:
    first = read(receipt(1, "R-1"))
    data = "\n".join((HEADER, receipt(1, "R-1", gross_g="99"))).encode()
    reading = read_daybook(data, zone=ZONE, shop=first.shop)
    assert places_of(reading) == [(2, "entry")]
    assert "never altered" in reading.faults[0].sentence


def test_an_entry_of_the_book_said_twice_is_told_once() -> None:
    first = read(receipt(1, "R-1"))
    rows = (receipt(1, "R-1"), receipt(2, "R-2"), receipt(1, "R-3", when="2031-01-02"))
    reading = read_daybook("\n".join((HEADER, *rows)).encode(), zone=ZONE, shop=first.shop)
    assert places_of(reading) == [(4, "entry")]


# --- Progress, stopping, files -------------------------------------------------------------------


def long_daybook(entries: int) -> bytes:
    return "\n".join(
        (HEADER, *(receipt(n, f"R-{n}", when="2031-01-01") for n in range(1, entries + 1)))
    ).encode()


def test_long_reading_tells_how_far_it_is() -> None:
    told: list[float] = []
    read_daybook(long_daybook(2_100), zone=ZONE, progress=told.append)
    assert told == sorted(told)
    assert len(told) == 5
    assert 0.2 < told[0] < 0.3
    assert told[-1] == 1


def test_long_reading_can_be_stopped() -> None:
    with pytest.raises(ReadingStopped, match="nothing was taken"):
        read_daybook(long_daybook(600), zone=ZONE, stopped=lambda: True)


def test_reading_that_is_not_stopped_goes_on() -> None:
    assert len(read_daybook(long_daybook(600), zone=ZONE, stopped=lambda: False).entries) == 600


def test_a_file_that_is_not_there_is_told_in_a_sentence(tmp_path: Path) -> None:
    with pytest.raises(FileNotReadable, match=r"cannot be read: No such file"):
        read_daybook(tmp_path / "none.csv", zone=ZONE)


def test_a_folder_is_no_daybook(tmp_path: Path) -> None:
    with pytest.raises(FileNotReadable, match=r"cannot be read"):
        read_daybook(str(tmp_path), zone=ZONE)


def test_a_file_beyond_all_measure_is_not_read(tmp_path: Path) -> None:
    huge = tmp_path / "huge.csv"
    with huge.open("wb") as file:
        file.truncate(1_000_000_001)
    with pytest.raises(FileNotReadable, match="1000 MB"):
        read_daybook(huge, zone=ZONE)


# --- Moments -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "day", "at"),
    [
        ("2031-03-01", "2031-03-01", None),
        ("2031-03-01T09:10", "2031-03-01", "2031-03-01T08:10"),
        ("2031-03-01 09:10:11", "2031-03-01", "2031-03-01T08:10:11"),
        ("2031-07-01T09:10", "2031-07-01", "2031-07-01T07:10"),
        ("2031-03-01t09:10:11.5z", "2031-03-01", "2031-03-01T09:10:11.500000"),
        ("2031-03-01T23:30Z", "2031-03-02", "2031-03-01T23:30"),
        ("2031-03-01T23:30+00:00", "2031-03-01", "2031-03-01T23:30"),
        ("2031-03-01T00:30+09:00", "2031-03-01", "2031-02-28T15:30"),
    ],
)
def test_days_and_moments_are_read_by_the_clock_of_the_shop(
    text: str, day: str, at: str | None
) -> None:
    instant = None if at is None else datetime.fromisoformat(at).replace(tzinfo=UTC)
    assert Moments(ZONE).from_text(text) == When(date.fromisoformat(day), instant)


@pytest.mark.parametrize(
    "text",
    ["", "20310301", "2031-W09-6", "2031-03-01T09", "2031-03-01T24:00", "2031-03-01+01:00", "now"],
)
def test_other_forms_of_dates_are_refused(text: str) -> None:
    with pytest.raises(TextNotUnderstood):
        Moments(ZONE).from_text(text)


def test_a_zone_without_changing_clocks_refuses_no_hour() -> None:
    moments = Moments(UTC)
    assert moments.to_text(moments.from_text("2031-03-30T02:30")) == "2031-03-30T02:30+00:00"


def test_a_full_memory_of_moments_forgets_nothing_that_matters(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(moments_of_exchange, "_MOST_KEPT", 2)
    moments = Moments(UTC)
    texts = [f"2031-01-{day:02d}" for day in (1, 2, 3, 1, 2, 3)]
    assert [moments.from_text(text).day.isoformat() for text in texts] == texts


def test_a_full_memory_of_contents_forgets_nothing_that_matters(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(lines_of_exchange, "_MOST_KEPT", 2)
    finenesses = ["1", "2", "3", "1", "2", "3", ""]
    rows = [
        receipt(1, f"R-{n}", lot="L-1", Ag=one, how="declared" if one else "")
        for n, one in enumerate(finenesses)
    ]
    contents = [line.contents for line in read(*rows).entries[0].lines]
    assert [said[0].fineness.to_text() if said else "" for said in contents] == finenesses
