"""The page of the hold, opened from the window's settings and typed at."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtWidgets import QDialogButtonBox, QMainWindow
from pytestqt.qtbot import QtBot

from conftest import Clock
from screens.receiving import Writer
from vault.application.book import Book
from vault.application.holds import CountedFrom, Hold, hold_of, insist, set_hold
from vault.core.daybook import Terms
from vault.screens.background import Background
from vault.screens.settings.choices import Choices
from vault.screens.settings.dialog import SettingsDialog
from vault.screens.settings.hold_page import HoldPage
from vault.screens.settings.room import HoldSettings, SettingsRoom, ShopQuestions

HOLD = Hold(14, "Fjordvik", "dealer's licence of 2030")
Opened = Callable[[object | None], SettingsDialog]


@pytest.fixture
def book(tmp_path: Path, clock: Clock) -> Iterator[Book]:
    with Book.create(tmp_path / "shop.shop", zone="Europe/Oslo", clock=clock) as made:
        yield made


@pytest.fixture
def opened(qtbot: QtBot, background: Background, choices: Choices, book: Book) -> Opened:
    """Give a function that opens the settings over a book, or over none."""
    window = QMainWindow()
    qtbot.addWidget(window)
    window.show()
    questions = ShopQuestions(hold_of, insist, set_hold)  # type: ignore[arg-type]  # no book known
    room = SettingsRoom(choices, background, Writer(background, book), questions, window)

    def show(shown: object | None) -> SettingsDialog:
        room.show(shown)
        qtbot.waitUntil(lambda: bool(window.findChildren(SettingsDialog)))
        return window.findChildren(SettingsDialog)[0]

    return show


def page_of(dialog: SettingsDialog) -> HoldPage:
    assert isinstance(dialog.shop, HoldSettings)
    return dialog.shop.page


def save(dialog: SettingsDialog) -> None:
    buttons = dialog.findChildren(QDialogButtonBox)[0]
    buttons.button(QDialogButtonBox.StandardButton.Save).click()


def fill_in(page: HoldPage) -> None:
    page.days.setText("14")
    page.place.setText("Fjordvik")
    page.source.setText("dealer's licence of 2030")


def test_without_a_book_there_is_no_page_of_the_shop(opened: Opened) -> None:
    dialog = opened(None)
    assert (dialog.pages.count(), dialog.shop) == (1, None)
    dialog.reject()


def test_a_hold_is_set_and_shown_again(opened: Opened, book: Book, qtbot: QtBot) -> None:
    dialog = opened(book)
    fill_in(page_of(dialog))
    save(dialog)
    qtbot.waitUntil(lambda: hold_of(book) == HOLD)
    page = HoldPage(hold_of(book))
    qtbot.addWidget(page)
    assert page.hold() == HOLD


def test_every_choice_of_the_page_is_kept(opened: Opened, book: Book, qtbot: QtBot) -> None:
    dialog = opened(book)
    page = page_of(dialog)
    fill_in(page)
    page.terms.buttons.button(1).click()
    page.counted_from.buttons.button(1).click()
    save(dialog)
    wanted = replace(HOLD, counted_from=CountedFrom.DAY_AFTER, terms=frozenset({Terms.BOUGHT}))
    qtbot.waitUntil(lambda: hold_of(book) == wanted)


def test_emptying_the_days_takes_the_hold_off(opened: Opened, book: Book, qtbot: QtBot) -> None:
    set_hold(book, HOLD)
    dialog = opened(book)
    page_of(dialog).days.setText("")
    save(dialog)
    qtbot.waitUntil(lambda: hold_of(book) is None)


def test_nothing_is_kept_when_it_is_cancelled(opened: Opened, book: Book) -> None:
    dialog = opened(book)
    fill_in(page_of(dialog))
    dialog.reject()
    assert hold_of(book) is None


@pytest.mark.parametrize(
    ("days", "place", "words"),
    [
        ("two weeks", "Fjordvik", "“two weeks” is no number of days; type whole days, such as 14."),
        ("0", "Fjordvik", "A hold of 0 days cannot be kept"),
        ("14", "", "The hold names no place"),
    ],
)
def test_what_cannot_be_kept_is_told_on_the_page_and_nothing_is_closed(
    opened: Opened, book: Book, days: str, place: str, words: str
) -> None:
    dialog = opened(book)
    page = page_of(dialog)
    fill_in(page)
    page.days.setText(days)
    page.place.setText(place)
    save(dialog)
    assert dialog.isVisible()
    assert dialog.pages.currentWidget() is page
    assert words in page.trouble_told.text()
    assert hold_of(book) is None
    dialog.reject()
