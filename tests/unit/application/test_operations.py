"""One action, one transaction, one entry; a retry records once, and what fails leaves nothing."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest

from builders import mass, priced, received, said, struck, thing, weighed, when, worked
from conftest import Clock
from hardship import no_file_beyond
from random_shop import RandomShop
from vault.application.book import Book
from vault.application.changes import Changes
from vault.application.operations import acts
from vault.application.operations.recording import (
    ActionStopped,
    Draft,
    KeyUsedBefore,
    import_entries,
    new_key,
    record,
    record_together,
)
from vault.core.daybook import Act, Entry, Line, Process, Recorded, Role, Terms, When
from vault.core.errors import RuleBroken
from vault.core.items import Photo, State
from vault.core.money import Money
from vault.core.rules import replay
from vault.core.seals import Sealing
from vault.core.shop import Shop
from vault.store.entries import load_entries, load_shop
from vault.store.errors import BookReadOnly, DiskFull
from vault.store.integrity import prove

EURO = 1_000_000
PICTURE = "5d" * 32


@pytest.fixture
def book(tmp_path: Path, clock: Clock) -> Iterator[Book]:
    path = tmp_path / "our.shop"
    with Book.create(path, zone="Pacific/Auckland", operator="Imke", clock=clock) as book:
        yield book


def recorded(book: Book) -> list[Recorded]:
    with book.file.reading() as connection:
        return list(load_entries(connection))


def shop_in(book: Book) -> Shop:
    with book.file.reading() as connection:
        return load_shop(connection)


def last(book: Book) -> Entry:
    return recorded(book)[-1].entry


@pytest.fixture
def stocked(book: Book) -> Book:
    acts.receive_lot(
        book,
        [
            thing("R-1", "filings", "512.40", "Ag 600 ± 60", place="bench"),
            thing("R-2", "scrap", "80", place="bench"),
        ],
        lot="L-1",
        party="Pennant",
        terms=Terms.TOLL,
        key="receive",
    )
    return book


def test_what_is_recorded_is_dated_by_the_shops_own_calendar(book: Book, clock: Clock) -> None:
    clock.go_on(hours=5)
    acts.set_prices(book, [("Ag", Money(950_000, "EUR"))], source="the morning paper", key="k")
    [one] = recorded(book)
    # 13:00 UTC on 1 March is 02:00 on 2 March in Auckland (UTC+13 in its summer).
    assert one.entry.when == When(date(2031, 3, 2), clock())
    assert one.entry.by == "Imke"
    assert one.recorded_at == clock()
    assert one.key == "k"


def test_every_act_has_its_verb(stocked: Book) -> None:
    acts.record_work(
        stocked,
        Process.CUPEL,
        used=["R-1"],
        added=[thing(form="lead", gross="350")],
        made=[thing("B-1", "bead", "300"), thing("C-1", "spent cupel", "700", place="drum C")],
        note="dull red",
        key="work",
    )
    acts.assay(stocked, "B-1", said("Ag 991 ± 0.4"), how="fire assay", ref="F-7", key="assay")
    acts.weigh(stocked, "B-1", mass("299.98"), gross_u=mass("0.01"), key="weigh")
    acts.move(stocked, ["B-1", "drum C"], "safe", key="move")
    acts.send(stocked, ["C-1"], party="Lowland", ref="V-1", terms="by the kilo", key="send")
    acts.settle(
        stocked,
        "V-1",
        agreed=[thing("C-1", says="Ag 1.85")],
        charges=[("freight", Money(-30 * EURO, "EUR"))],
        party="Lowland",
        key="settle",
    )
    acts.return_(stocked, ["B-1"], party="Pennant", key="return")
    acts.sell(stocked, ["R-2"], party="Orrin", key="sell")
    acts.count(stocked, extra=[thing("X-1", "dust", "4")], key="count")
    acts.set_prices(stocked, [("Ag", Money(950_000, "EUR"))], key="price")
    acts.photograph(stocked, "B-1", PICTURE, caption="the bead", key="photo")
    acts.seal(stocked, "drum C", "0417", witness="Ole", key="seal")
    acts.check_scale(
        stocked, "bench scale", nominal=mass("200"), showed=mass("200.01"), key="scale check"
    )
    acts.strike_entry(stocked, 11, reason="of last year", key="strike")
    shop = shop_in(stocked)
    assert [entry.act for entry in shop.entries.values()] == list(Act)
    states = {tag: item.state for tag, item in shop.items.items()}
    assert states == {
        "R-1": State.USED,
        "R-2": State.SOLD,
        "B-1": State.RETURNED,
        "C-1": State.SENT,
        "X-1": State.ON_HAND,
    }
    assert shop.items["B-1"].gross == mass("299.98")
    assert shop.place_of(shop.items["C-1"]) == ("drum C", "safe")
    assert shop.struck == {11: 15}
    assert shop.items["B-1"].photos == [Photo(12, PICTURE, "the bead")]
    assert shop.seal_on("drum C") == Sealing(13, Role.APPLIED, "0417", "Ole")
    assert [one.error for one in shop.scale_checks["bench scale"]] == [mass("0.01")]
    assert prove(stocked.file).broken == ()


def test_what_was_read_and_done_at_the_bench_is_kept(stocked: Book) -> None:
    acts.weigh(
        stocked,
        "R-1",
        mass("512.38"),
        tare=mass("12.6"),
        scale="bench scale",
        note="dry",
        key="weigh",
    )
    line = last(stocked).lines[0]
    assert (line.tare, line.scale, line.note) == (mass("12.6"), "bench scale", "dry")
    acts.record_work(
        stocked,
        Process.SMELT,
        used=["R-1", "R-2"],
        made=[thing("K-1", "button", "300", scale="floor scale", witness="Ole")],
        note="dull red",
        furnace="1 080 °C, 40 min",
        key="work",
    )
    used, other, made = last(stocked).lines
    assert (used.note, used.furnace) == ("dull red", "1 080 °C, 40 min")
    assert (other.note, other.furnace) == ("", "")
    assert (made.scale, made.witness) == ("floor scale", "Ole")
    shop = shop_in(stocked)
    assert shop.items["R-1"].weighings[-1].scale == "bench scale"
    assert prove(stocked.file).broken == ()


def test_a_held_lot_is_not_worked_before_its_day(stocked: Book, clock: Clock) -> None:
    today = clock().date()
    acts.receive_lot(
        stocked,
        [thing("R-9", "scrap", "5", hold_until=f"{today + timedelta(days=9):%Y-%m-%d}")],
        lot="L-9",
        party="Pennant",
        terms=Terms.TOLL,
        key="held",
    )
    with pytest.raises(RuleBroken, match="R-9 is held until"):
        acts.record_work(
            stocked, Process.CRUSH, used=["R-9"], made=[thing("N-1", "dust")], key="work"
        )
    acts.move(stocked, ["R-9"], "safe", key="move")
    clock.go_on(hours=24 * 10)
    acts.record_work(stocked, Process.CRUSH, used=["R-9"], made=[thing("N-1", "dust")], key="work")


# Several entries at once ---------------------------------------------------------------------

DIVIDE = Draft(
    Act.WORK,
    (
        Line(Role.USED, tag="R-1"),
        Line(Role.MADE, tag="R-1a", form="filings", gross=mass("100")),
        Line(Role.MADE, tag="R-1b", form="filings", gross=mass("412")),
    ),
    process=Process.DIVIDE,
)
WORK = Draft(
    Act.WORK,
    (Line(Role.USED, tag="R-1a"), Line(Role.MADE, tag="K-1", form="button", gross=mass("99"))),
    process=Process.SMELT,
)


def test_a_divide_and_the_work_of_a_part_are_recorded_in_one_go(stocked: Book) -> None:
    changes = record_together(stocked, [DIVIDE, WORK], key="k")
    assert changes.entries == (2, 3)
    assert changes.tags == {"R-1", "R-1a", "R-1b", "K-1"}
    two, three = recorded(stocked)[1:]
    assert (two.entry.process, three.entry.process) == (Process.DIVIDE, Process.SMELT)
    assert two.recorded_at == three.recorded_at
    assert prove(stocked.file).broken == ()


def test_a_retry_of_several_entries_records_nothing_more(stocked: Book, clock: Clock) -> None:
    first = record_together(stocked, [DIVIDE, WORK], key="k")
    before = recorded(stocked)
    clock.go_on(hours=1)
    assert record_together(stocked, [DIVIDE, WORK], key="k") == first
    assert recorded(stocked) == before


@pytest.mark.parametrize(
    "others",
    [[DIVIDE], [WORK, DIVIDE], [DIVIDE, WORK, replace(WORK, lines=WORK.lines[:1])], []],
    ids=["fewer", "in another order", "more", "none"],
)
def test_several_entries_under_a_key_that_recorded_others_are_refused(
    stocked: Book, others: list[Draft]
) -> None:
    record_together(stocked, [DIVIDE, WORK], key="k")
    before = recorded(stocked)
    if others:
        with pytest.raises(KeyUsedBefore, match="recorded entry 2 before"):
            record_together(stocked, others, key="k")
    else:
        assert record_together(stocked, [], key="another") == Changes()
    assert recorded(stocked) == before


def test_when_one_of_several_entries_is_refused_none_is_recorded(stocked: Book) -> None:
    before = recorded(stocked)
    wrong = replace(WORK, lines=(Line(Role.USED, tag="R-9"), WORK.lines[1]))
    with pytest.raises(RuleBroken, match="No item with tag R-9") as broken:
        record_together(stocked, [DIVIDE, wrong], key="k")
    assert broken.value.place == 1
    assert [fault.line for fault in broken.value.faults] == [0]
    assert recorded(stocked) == before
    assert prove(stocked.file).broken == ()


def test_a_count_tells_what_is_there_and_what_is_not(stocked: Book) -> None:
    acts.count(stocked, found=[thing("R-1", gross="512.38")], missing=["R-2"], key="count")
    shop = shop_in(stocked)
    assert shop.items["R-1"].gross == mass("512.38")
    assert shop.items["R-2"].state is State.MISSING


def test_what_changed_is_told(stocked: Book) -> None:
    assert acts.move(stocked, ["R-1"], "safe", key="move") == Changes(
        entries=(2,), tags=frozenset({"R-1"}), places=frozenset({"safe"})
    )
    assert acts.strike_entry(stocked, 2, reason="wrong shelf", key="strike") == Changes(
        entries=(3,), tags=frozenset({"R-1"}), places=frozenset({"safe"})
    )


def test_the_same_key_records_once_and_answers_the_same(stocked: Book, clock: Clock) -> None:
    first = acts.move(stocked, ["R-1"], "safe", key="move")
    clock.go_on(minutes=5)
    assert acts.move(stocked, ["R-1"], "safe", key="move") == first
    assert len(recorded(stocked)) == 2
    struck_once = acts.strike_entry(stocked, 2, reason="wrong shelf", key="strike")
    assert acts.strike_entry(stocked, 2, reason="wrong shelf", key="strike") == struck_once
    assert len(recorded(stocked)) == 3


def test_the_same_key_for_something_else_is_no_silent_loss(stocked: Book) -> None:
    acts.move(stocked, ["R-1"], "safe", key="move")
    with pytest.raises(KeyUsedBefore, match="recorded entry 2 before"):
        acts.move(stocked, ["R-2"], "safe", key="move")
    assert len(recorded(stocked)) == 2


def test_keys_differ() -> None:
    assert len({new_key() for _ in range(100)}) == 100


def test_what_breaks_a_rule_records_nothing(stocked: Book) -> None:
    with pytest.raises(RuleBroken, match="No item with tag R-9"):
        acts.move(stocked, ["R-1", "R-9"], "safe", key="move")
    assert len(recorded(stocked)) == 1
    acts.move(stocked, ["R-1"], "safe", key="move")
    assert last(stocked).number == 2


def test_an_entry_may_be_dated_back_no_further_than_the_last(stocked: Book) -> None:
    with pytest.raises(RuleBroken, match="before 2031-03-01"):
        acts.move(stocked, ["R-1"], "safe", when=when("2031-02-28"), key="move")
    acts.move(stocked, ["R-1"], "safe", when=when("2031-03-01"), key="move")
    assert last(stocked).when == when("2031-03-01")


def test_a_book_open_for_reading_takes_nothing(stocked: Book) -> None:
    with (
        Book.open(stocked.path, writing=False, operator="Ole") as second,
        pytest.raises(BookReadOnly, match="open for reading only"),
    ):
        acts.move(second, ["R-1"], "safe", key="move")
    assert len(recorded(stocked)) == 1


def test_a_full_disk_leaves_the_book_whole_and_a_retry_records_once(stocked: Book) -> None:
    note = "x" * 9_000

    def fill_up() -> None:
        for number in range(1, 2_000):
            key = f"price {number}"
            acts.set_prices(stocked, [("Ag", Money(number, "EUR"))], source=note, key=key)

    with no_file_beyond(600_000), pytest.raises(DiskFull, match="the book is whole"):
        fill_up()
    assert prove(stocked.file).broken == ()
    kept = len(recorded(stocked))
    # The one that failed is done again, and every other was recorded once.
    acts.set_prices(stocked, [("Ag", Money(kept, "EUR"))], source=note, key=f"price {kept}")
    assert len(recorded(stocked)) == kept + 1
    assert prove(stocked.file).broken == ()


# Many at once --------------------------------------------------------------------------------


def test_a_whole_daybook_is_recorded_at_once_and_equals_its_replay(book: Book) -> None:
    shop = RandomShop(5)
    shop.go_on(120)
    changes = import_entries(book, shop.entries)
    assert changes.entries == tuple(entry.number for entry in shop.entries)
    assert [one.entry for one in recorded(book)] == shop.entries
    assert shop_in(book).items == replay(shop.entries).items


def test_one_bad_entry_among_many_keeps_all_of_them_out(book: Book) -> None:
    entries = [received(1, thing("A", "scrap", "10")), weighed(2, "B", "3")]
    with pytest.raises(RuleBroken, match="No item with tag B"):
        import_entries(book, entries)
    assert recorded(book) == []


def test_recording_goes_on_after_the_last_imported_number(stocked: Book) -> None:
    import_entries(stocked, [replace(priced(40, "Ag", "0.95 EUR"), when=when("2031-03-01"))])
    acts.move(stocked, ["R-1"], "safe", key="move")
    assert last(stocked).number == 41


@pytest.mark.parametrize("step", [0, 3, 4])
def test_a_long_import_can_be_stopped_at_any_step_and_leaves_nothing(book: Book, step: int) -> None:
    entries = [priced(number, "Ag", "0.95 EUR") for number in range(1, 1_502)]
    told: list[tuple[int, int]] = []

    def stopped() -> bool:
        return len(told) == step

    with pytest.raises(ActionStopped, match="nothing of it was recorded"):
        import_entries(
            book, entries, progress=lambda *how_far: told.append(how_far), stopped=stopped
        )
    assert recorded(book) == []
    assert told == [(0, 3002), (500, 3002), (1000, 3002), (1500, 3002), (1501, 3002)][:step]


def test_an_import_without_room_leaves_nothing(stocked: Book) -> None:
    entries = [
        replace(priced(number, "Ag", "0.95 EUR"), when=when("2031-03-02"))
        for number in range(2, 4_000)
    ]
    with no_file_beyond(300_000), pytest.raises(DiskFull, match="the book is whole"):
        import_entries(stocked, entries)
    assert len(recorded(stocked)) == 1
    assert prove(stocked.file).broken == ()
    import_entries(stocked, entries)
    assert prove(stocked.file).entries == 3_999


# Strikes -------------------------------------------------------------------------------------

UNDONE: dict[str, Callable[[Book], Changes]] = {
    "receive": lambda book: acts.receive_lot(
        book, [thing("N-1", "scrap", "3")], lot="L-2", terms=Terms.OWN, key="k"
    ),
    "work": lambda book: acts.record_work(
        book, Process.SMELT, used=["R-1"], made=[thing("B-1", "button", "300")], key="k"
    ),
    "assay": lambda book: acts.assay(book, "R-1", said("Ag 700"), how="XRF", key="k"),
    "weigh": lambda book: acts.weigh(book, "R-1", mass("500"), key="k"),
    "move": lambda book: acts.move(book, ["R-1", "bench"], "safe", key="k"),
    "send": lambda book: acts.send(book, ["R-1"], party="Lowland", ref="V-1", key="k"),
    "sell": lambda book: acts.sell(book, ["R-1"], party="Orrin", key="k"),
    "count": lambda book: acts.count(
        book, found=[thing("R-1", gross="511")], missing=["R-2"], key="k"
    ),
}


def standing(book: Book) -> dict[str, list[tuple[object, ...]]]:
    with book.file.reading() as connection:
        return {
            table: [tuple(row) for row in connection.exec_driver_sql(f"SELECT * FROM {table}")]
            for table in ("item", "lot")
        } | {
            "container": [
                tuple(row)
                for row in connection.exec_driver_sql("SELECT * FROM container WHERE place != ''")
            ]
        }


@pytest.mark.parametrize("act", UNDONE)
def test_a_strike_gives_the_standing_of_before(stocked: Book, act: str) -> None:
    before = standing(stocked)
    UNDONE[act](stocked)
    assert standing(stocked) != before or act == "assay"
    acts.strike_entry(stocked, 2, reason="a slip", key="strike")
    assert standing(stocked) == before
    assert prove(stocked.file).broken == ()


def test_a_struck_tag_is_never_given_again(stocked: Book) -> None:
    UNDONE["receive"](stocked)
    acts.strike_entry(stocked, 2, reason="a slip", key="strike")
    with pytest.raises(RuleBroken, match="never given twice, even after a strike"):
        acts.receive_lot(
            stocked, [thing("N-1", "scrap", "3")], lot="L-3", terms=Terms.OWN, key="again"
        )


def test_a_leaned_on_entry_is_struck_last_first(book: Book) -> None:
    import_entries(
        book,
        [
            received(1, thing("A", "scrap", "10")),
            worked(2, "remelt", used="A", made=[thing("B", "bar", "9")]),
            weighed(3, "B", "8.9"),
        ],
    )
    with pytest.raises(RuleBroken, match="lean on it: 3"):
        acts.strike_entry(book, 2, reason="a slip", key="too early")
    for number in (3, 2, 1):
        acts.strike_entry(book, number, reason="a slip", key=f"strike {number}")
    assert shop_in(book).items == {}
    assert prove(book.file).broken == ()


def test_a_line_given_by_hand_may_say_its_metals_in_any_order(stocked: Book) -> None:
    line = Line(Role.OF, tag="R-1", contents=said("Pd 1, Au 2, Ag 600"), how="XRF")
    record(stocked, Draft(Act.ASSAY, (line,)), key="assay")
    assert [one.metal for one in last(stocked).lines[0].contents] == ["Ag", "Au", "Pd"]
    assert prove(stocked.file).broken == ()


def test_the_chain_is_the_same_however_entries_come(tmp_path: Path, book: Book) -> None:
    entries = [received(1, thing("A", "scrap", "10")), weighed(2, "A", "9.9"), struck(3, 2)]
    import_entries(book, entries)
    with Book.create(tmp_path / "other.shop", zone="Europe/Oslo", operator="Ole") as other:
        for entry in entries:
            import_entries(other, [entry])
        assert [one.head for one in recorded(other)] == [one.head for one in recorded(book)]
        assert [one.seal for one in recorded(other)] != [one.seal for one in recorded(book)]
