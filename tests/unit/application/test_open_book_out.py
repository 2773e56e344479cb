"""An open book written out, copied and checked: as without the window, and stopped in time."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pytest

from builders import received, thing
from conftest import Clock
from vault.application.book import Book
from vault.application.checks import back_up_open, check, check_book, check_open
from vault.application.exchange.write_out import write_out, write_out_open
from vault.application.figures import work_out
from vault.application.operations.recording import ActionStopped, import_entries
from vault.core.daybook import Entry
from vault.store.errors import BookExists

WHAT = ("daybook", "stock", "origins", "fate", "residues", "turnover")


def lot(number: int) -> Entry:
    return received(number, thing(f"R-{number}", "bar", "100", "Ag 990 ± 1"), lot=f"L-{number}")


@pytest.fixture
def book(tmp_path: Path, clock: Clock) -> Iterator[Book]:
    with Book.create(tmp_path / "our.shop", zone="Etc/UTC", clock=clock) as book:
        import_entries(book, [lot(1)])
        work_out(book)
        yield book


def never() -> bool:
    return False


def unheard(done: int, of: int) -> None:
    assert 0 <= done <= of


def undated(file: Path) -> list[str]:
    """Give the lines of a file but for the day on which it was written."""
    return [line for line in file.read_text().splitlines() if '"as_of"' not in line]


@pytest.mark.parametrize("what", WHAT)
@pytest.mark.parametrize("kind", ["csv", "json", "xlsx"])
def test_an_open_book_is_written_as_without_the_window(
    book: Book, tmp_path: Path, what: str, kind: str
) -> None:
    here, there = tmp_path / f"here.{kind}", tmp_path / f"there.{kind}"
    write_out_open(book, what, here, unheard, never)
    write_out(book.path, what=what, out=there)
    assert here.stat().st_size > 20
    if kind != "xlsx":  # a workbook holds the time at which it was made
        assert undated(here) == undated(there)


def test_figures_in_mind_are_used_only_while_they_rest_on_every_entry(
    book: Book, tmp_path: Path
) -> None:
    out = tmp_path / "stock.json"
    import_entries(book, [lot(2)])
    write_out_open(book, "stock", out, unheard, never)
    assert [item["tag"] for item in json.loads(out.read_text())["items"]] == ["R-1", "R-2"]


@pytest.mark.parametrize("looks", [0, 1])
def test_stopped_nothing_is_written_and_what_was_there_stays(
    book: Book, tmp_path: Path, looks: int
) -> None:
    out = tmp_path / "stock.csv"
    out.write_text("from before")
    answers = iter([False] * looks + [True])
    with pytest.raises(ActionStopped, match="nothing was written"):
        write_out_open(book, "stock", out, unheard, lambda: next(answers))
    assert out.read_text() == "from before"
    assert {one.name for one in tmp_path.iterdir() if one.name.startswith("stock")} == {"stock.csv"}


def test_a_copy_of_an_open_book_holds_and_overwrites_nothing(book: Book, tmp_path: Path) -> None:
    copy = tmp_path / "copy.shop"
    back_up_open(book, copy)
    assert check_book(copy).verdict.startswith("The book holds: 1 entry, chain proven to ")
    with pytest.raises(BookExists, match="Choose another name"):
        back_up_open(book, copy)


def test_an_open_book_is_checked_and_the_check_can_be_stopped(book: Book) -> None:
    import_entries(book, [lot(number) for number in range(2, 1002)])
    told: list[tuple[int, int]] = []
    report = check_open(book, lambda done, of: told.append((done, of)), never)
    assert report == check(book)
    assert report.broken == ()
    assert (1000, 1001) in told
    with pytest.raises(ActionStopped, match="not checked to its end"):
        check_open(book, unheard, lambda: True)
