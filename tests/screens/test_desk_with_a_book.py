"""The program's own desk over a real book: entries come while readers ask for everything."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path

from pytestqt.qtbot import QtBot

from builders import received, thing, worked
from vault.application.book import Book
from vault.application.changes import Changes
from vault.application.figures import are_fresh, work_out
from vault.application.operations.recording import Draft, new_key, record
from vault.application.queries.answers.items import ItemQuery
from vault.application.queries.answers.trace import TraceQuestion
from vault.application.queries.daybook import findings
from vault.application.queries.items import item_detail, item_index
from vault.application.queries.lots import lot_detail, lots
from vault.application.queries.residues import residues
from vault.application.queries.safe import safe
from vault.application.queries.trace import NothingToTrace, NotWorkedOut, trace
from vault.core.daybook import Entry
from vault.screens.announcer import Announcer
from vault.screens.background import Background
from vault.screens.desk import Desk
from vault.start.doors import make_doors
from vault.store.entries import load_entries
from vault.store.tables import FIGURE_TABLES

LOTS = 15


def recorded_one(book: Book, draft: Draft, key: str) -> Changes:
    return record(book, draft, key=key)


def entries_of(number: int) -> tuple[Entry, Entry]:
    """Give a lot received, and its smelting."""
    bag = thing(f"R-{number}", "filings", "100", "Ag 600 ± 60", place="bench")
    made = [
        thing(f"K-{number}", "button", "66"),
        thing(f"S-{number}", "slag", "40", place="drum D"),
    ]
    return (
        received(1, bag, lot=f"L-{number}"),
        worked(1, "smelt", used=f"R-{number}", made=made),
    )


def questions_about(number: int) -> tuple[Callable[[Book], object], ...]:
    """Give all that screens ask, also of a lot that was only just recorded."""
    of_lot = TraceQuestion(lot=f"L-{number}", forward=True)
    return (
        safe,
        lots,
        findings,
        residues,
        partial(lot_detail, lot=f"L-{number}"),
        partial(item_detail, tag=f"R-{number}"),
        partial(item_index, query=ItemQuery()),
        partial(trace, question=of_lot),
    )


def tables(book: Book) -> dict[str, list[tuple[object, ...]]]:
    """Give every table of figures but the one that says when they were made."""
    with book.file.reading() as connection:
        return {
            table.name: sorted(
                tuple(row) for row in connection.exec_driver_sql(f"SELECT * FROM {table.name}")
            )
            for table in FIGURE_TABLES
            if table.name != "figures_state"
        }


def test_entries_while_others_ask_end_with_the_figures_of_a_whole_working_out(
    qtbot: QtBot, background: Background, tmp_path: Path
) -> None:
    desk = Desk(make_doors(lambda: "Imke"), background, Announcer())
    told: list[object] = []
    refused: list[BaseException] = []
    answers: list[object] = []
    failed: list[BaseException] = []
    desk.make(tmp_path / "our.shop")
    qtbot.waitUntil(lambda: desk.book is not None)
    book = desk.book
    assert isinstance(book, Book)
    with qtbot.assertNotEmitted(background.failed):
        for number in range(LOTS):
            for one in entries_of(number):
                draft = Draft(one.act, one.lines, one.process)
                doing = partial(recorded_one, draft=draft, key=new_key())
                before = len(told)
                desk.record(doing, told.append, refused.append)
                qtbot.waitUntil(lambda before=before: len(told) > before or bool(refused))
                for question in questions_about(number):
                    background.ask(partial(question, book), answers.append, failed.append)
        qtbot.waitUntil(lambda: are_fresh(book) and background.is_idle, timeout=30_000)
    assert refused == []
    # A trace says so where the lot is newer than the figures; nothing else may fail.
    assert {type(one) for one in failed} <= {NothingToTrace, NotWorkedOut}, failed
    assert len(answers) + len(failed) == 2 * LOTS * len(questions_about(0))
    with book.file.reading() as connection:
        assert {one.entry.by for one in load_entries(connection)} == {"Imke"}
    kept = tables(book)
    book.reckoned = None
    work_out(book)
    assert tables(book) == kept
    desk.clear()
