from __future__ import annotations

import io
from collections.abc import Iterable
from datetime import UTC, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

from hypothesis import given, settings
from hypothesis import strategies as st

from random_shop import RandomShop
from vault.application.exchange.daybook_csv import read_daybook, write_daybook
from vault.application.exchange.formulas import guarded, unguarded
from vault.application.exchange.moments import Moments
from vault.core.daybook import EMPTY_HEAD, Act, Entry, Role, When, node_of
from vault.core.words import tidied, trouble_with

ROOT = Path(__file__).resolve().parents[2]
EXAMPLE = ROOT / "resources" / "examples" / "example-daybook.csv"
ZONE = ZoneInfo("Europe/Berlin")
ELSEWHERE = ZoneInfo("Asia/Tokyo")
# The ends of the world's clocks, one with odd minutes, and none.
ZONES = tuple(
    ZoneInfo(name)
    for name in (
        "Europe/Berlin",
        "Pacific/Kiritimati",
        "Pacific/Pago_Pago",
        "America/St_Johns",
        "UTC",
    )
)


def head_of(entries: Iterable[Entry]) -> bytes:
    head = EMPTY_HEAD
    for entry in entries:
        head = node_of(head, entry.leaf)
    return head


def written(entries: Iterable[Entry], zone: ZoneInfo = ZONE) -> str:
    stream = io.StringIO(newline="")
    write_daybook(entries, stream, zone=zone)
    return stream.getvalue()


def test_the_example_daybook_reads_back_as_it_was_written_out() -> None:
    first = read_daybook(EXAMPLE, zone=ZONE)
    assert first.faults == ()
    assert len(first.entries) == 16
    assert first.rows == 35
    second = read_daybook(written(first.entries).encode(), zone=ELSEWHERE)
    assert second.entries == first.entries
    assert head_of(second.entries) == head_of(first.entries)


def test_daybooks_of_before_the_bench_keep_the_heads_they_always_had() -> None:
    """What old entries do not say is left out of their text, so no hash of them moved."""
    heads = {
        EXAMPLE: "0ea7398a137127775e55dee95b3ce16df30c7e49a7411d1accf61445a6c674ae",
        ROOT / "demo_db" / "daybook.csv": (
            "7163adfe165609df10cf7550a10c49b9446691fc0a6e5887f2ef9e8fcbf19972"
        ),
    }
    for path, head in heads.items():
        reading = read_daybook(path, zone=ZONE)
        assert reading.faults == ()
        assert head_of(reading.entries).hex() == head


@settings(max_examples=60)
@given(st.integers(0, 10**9), st.sampled_from((ZONE, ELSEWHERE, ZoneInfo("UTC"))))
def test_a_random_shop_reads_back_as_it_was_written_out(seed: int, other: ZoneInfo) -> None:
    random_shop = RandomShop(seed)
    random_shop.go_on(60)
    reading = read_daybook(written(random_shop.entries).encode(), zone=other)
    assert reading.faults == ()
    assert reading.entries == tuple(random_shop.entries)
    assert head_of(reading.entries) == head_of(random_shop.entries)
    assert vars(reading.shop) == vars(random_shop.shop)
    # And a second time, from what was read.
    assert written(reading.entries, other) == written(random_shop.entries, other)


def test_random_shops_do_everything() -> None:
    entries: list[Entry] = []
    for seed in range(5):
        random_shop = RandomShop(seed)
        random_shop.go_on(120)
        entries += random_shop.entries
    assert {entry.act for entry in entries} == set(Act)
    assert {line.role for entry in entries for line in entry.lines} == set(Role)


@given(st.integers(0, 10**9), st.integers(0, 40))
def test_a_daybook_that_grew_is_read_on_from_where_the_book_stands(seed: int, before: int) -> None:
    random_shop = RandomShop(seed)
    random_shop.go_on(before)
    book = random_shop.shop.copy()
    random_shop.go_on(20)
    reading = read_daybook(written(random_shop.entries).encode(), zone=ZONE, shop=book)
    assert reading.faults == ()
    assert reading.already == before
    assert reading.entries == tuple(random_shop.entries[before:])
    assert vars(reading.shop) == vars(random_shop.shop)


@settings(max_examples=40)
@given(st.integers(0, 10**9), st.integers(0, 40))
def test_the_shop_after_some_entries_is_the_one_that_took_them_and_the_first_stays(
    seed: int, before: int
) -> None:
    random_shop = RandomShop(seed)
    random_shop.go_on(before)
    first = random_shop.shop.copy()
    untouched = vars(first.copy())
    random_shop.go_on(20)
    assert vars(first.after(random_shop.entries[before:])) == vars(random_shop.shop)
    assert vars(first) == untouched


@given(st.text(max_size=30))
def test_a_guarded_word_is_never_run_and_reads_back(word: str) -> None:
    cell = guarded(word)
    assert unguarded(cell) == word
    assert not cell or cell[0] not in "=+-@\t\r\n"
    assert cell in (word, f"'{word}")


@given(st.text(max_size=30), st.booleans())
def test_a_tidied_word_is_tidy_and_nothing_else_can_be_recorded(
    text: str,
    is_note: bool,  # noqa: FBT001 -- drawn by name
) -> None:
    word = tidied(text, is_note=is_note)
    assert tidied(word, is_note=is_note) == word
    if text != word:
        assert trouble_with(text, is_note=is_note) is not None or text == ""


@given(
    st.datetimes(datetime(1901, 1, 2), datetime(2198, 12, 30)),  # noqa: DTZ001 -- made UTC below
    st.sampled_from(ZONES),
    st.sampled_from(ZONES),
    st.sampled_from(ZONES),
)
def test_a_moment_reads_back_the_same_in_any_zone(
    stamp: datetime, lived: ZoneInfo, writes: ZoneInfo, reads: ZoneInfo
) -> None:
    at = stamp.replace(tzinfo=UTC)
    when = When(at.astimezone(lived).date(), at)
    assert Moments(reads).from_text(Moments(writes).to_text(when)) == when
