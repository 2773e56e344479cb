"""The decision for a drum of 5 000 cupels with 1 000 lots behind it, while the window ticks."""

from __future__ import annotations

import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from functools import partial
from pathlib import Path

import numpy as np
import pytest
from pytestqt.qtbot import QtBot

from performance.big_books import FIRST_DAY, entries_of_a_drum
from performance.table import Measured, Table, seconds_of, spaced, time_words
from performance.ticking import Ticking
from terms_samples import altered
from vault.application.book import Book
from vault.application.figures import reckon_all
from vault.application.operations import acts
from vault.application.operations.recording import import_entries
from vault.application.queries.answers.send_out import Ask, SendOut
from vault.application.queries.send_out import choice_of_containers
from vault.application.terms_sheets import keep_sheet
from vault.core.money import Money
from vault.screens.background import Background
from vault.screens.numbers import Numbers

LOTS, CUPELS_OF_A_LOT, FEW_LOTS = 1_000, 5, 10
DRUM = ("drum C", "spent cupel")
NOW = datetime(2022, 1, 20, 9, 0, tzinfo=UTC)
SHEETS = ("by the kilo", "each by itself", "small lots")
ASKED = 7
GOAL_S = 1.0


@contextmanager
def drum_of(path: Path, lots: int, *, tied: bool) -> Iterator[Book]:
    """A book whose cupels all lie in one drum, reckoned as it stands in the window."""
    with Book.create(path, zone="UTC", operator="Imke", clock=lambda: NOW) as book:
        import_entries(book, list(entries_of_a_drum(lots, CUPELS_OF_A_LOT, tied=tied)))
        prices = {"Ag": 950_000, "Au": 62_000_000}
        acts.set_prices(
            book, [(metal, Money(one, "EUR")) for metal, one in prices.items()], key="price"
        )
        for name in SHEETS:
            keep_sheet(book, altered(name, valid_from=FIRST_DAY))
        book.reckoned = reckon_all(book)
        yield book


def decided(book: Book) -> SendOut:
    return choice_of_containers(book, [DRUM], Numbers())


@pytest.mark.parametrize("tied", [False, True], ids=["families", "tied"])
def test_the_decision_for_a_drum_of_5_000_cupels_with_1_000_lots_behind_it(
    qtbot: QtBot, tmp_path: Path, table: Table, *, tied: bool
) -> None:
    with drum_of(tmp_path / "few.shop", FEW_LOTS, tied=tied) as book:
        few_s = seconds_of(partial(decided, book))
    background = Background()
    seconds: list[float] = []
    found: list[SendOut] = []

    def asked(book: Book) -> SendOut:
        start = time.perf_counter()
        told = decided(book)
        seconds.append(time.perf_counter() - start)
        return told

    with drum_of(tmp_path / "drum.shop", LOTS, tied=tied) as book:
        try:
            with Ticking() as ticking:
                for _ in range(ASKED):
                    background.ask(partial(asked, book), found.append)
                    qtbot.waitUntil(lambda: background.is_idle, timeout=60_000)
            gap = ticking.longest_gap_s
        finally:
            background.close()
    assert [len(one.tags) for one in found] == [LOTS * CUPELS_OF_A_LOT] * ASKED
    assert {one.asks for one in found} == {Ask.NOTHING}
    median, first = float(np.median(seconds)), seconds[0]
    how = "all of them hanging together" if tied else "each a family"
    table.add(
        Measured(
            12, "what to do with a drum of cupels, decided",
            f"{spaced(LOTS * CUPELS_OF_A_LOT)} cupels, {spaced(LOTS)} lots behind them, {how}",
            time_words(median),
            f"{time_words(few_s)}: {FEW_LOTS * CUPELS_OF_A_LOT} cupels", median / few_s,
            target="≤ 1 s", met=first <= GOAL_S,
            remark=(
                f"asked the first time {time_words(first)}; window held {time_words(gap)} at most"
            ),
        )
    )  # fmt: skip
