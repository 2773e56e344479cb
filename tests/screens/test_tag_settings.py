"""Which capitals tags begin with, as the owner sets them for the open book."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtWidgets import QDialogButtonBox, QMainWindow
from pytestqt.qtbot import QtBot

from conftest import Clock
from screens.receiving import Writer
from vault.application.book import Book
from vault.application.holds import hold_of, insist, set_hold
from vault.application.queries.tags import propose_tags
from vault.application.tag_prefixes import set_tag_prefixes, tag_prefixes
from vault.core.tags import DEFAULTS, RECEIVED
from vault.screens.background import Background
from vault.screens.settings.choices import Choices
from vault.screens.settings.dialog import SettingsDialog
from vault.screens.settings.room import SettingsRoom, ShopQuestions
from vault.screens.settings.tag_page import TagPage


@pytest.fixture
def book(tmp_path: Path, clock: Clock) -> Iterator[Book]:
    with Book.create(tmp_path / "shop.shop", zone="UTC", clock=clock) as made:
        yield made


@pytest.fixture
def dialog(qtbot: QtBot, background: Background, choices: Choices, book: Book) -> SettingsDialog:
    window = QMainWindow()
    qtbot.addWidget(window)
    window.show()
    questions = ShopQuestions(
        hold_of,  # type: ignore[arg-type]  # no book known
        insist,
        set_hold,  # type: ignore[arg-type]  # the same
        tag_prefixes,  # type: ignore[arg-type]  # the same
        set_tag_prefixes,  # type: ignore[arg-type]  # the same
    )
    room = SettingsRoom(choices, background, Writer(background, book), questions, window)
    room.show(book)
    qtbot.waitUntil(lambda: bool(window.findChildren(SettingsDialog)))
    return window.findChildren(SettingsDialog)[0]


def page_of(dialog: SettingsDialog) -> TagPage:
    dialog.pages.setCurrentIndex(2)
    page = dialog.pages.currentWidget()
    assert isinstance(page, TagPage)
    return page


def save(dialog: SettingsDialog) -> None:
    buttons = dialog.findChildren(QDialogButtonBox)[0]
    buttons.button(QDialogButtonBox.StandardButton.Save).click()


def test_the_usual_capitals_stand_there_at_first(dialog: SettingsDialog) -> None:
    assert dialog.pages.tabText(2) == "Tags"
    assert page_of(dialog).prefixes() == DEFAULTS
    dialog.reject()


def test_capitals_that_were_set_begin_the_next_tags(
    qtbot: QtBot, dialog: SettingsDialog, book: Book
) -> None:
    page = page_of(dialog)
    page.fields["bar"].setText("bar")
    page.fields[RECEIVED].setText("E")
    page.fields["slag"].clear()
    save(dialog)
    qtbot.waitUntil(lambda: tag_prefixes(book)["bar"] == "BAR")
    assert propose_tags(book, "work", ["bar", RECEIVED, "slag"]) == ("BAR-0001", "E-0001", "S-0001")


def test_capitals_that_a_keyboard_may_change_are_refused_on_the_page(
    dialog: SettingsDialog, book: Book
) -> None:
    page = page_of(dialog)
    page.fields["bar"].setText("ZY")
    dialog.pages.setCurrentIndex(0)
    save(dialog)
    assert dialog.isVisible()
    assert dialog.pages.currentIndex() == 2
    assert page.trouble_told.text() == (
        "“ZY” for bar cannot be; write one to four of the capitals A to X."
    )
    assert tag_prefixes(book) == DEFAULTS
    dialog.reject()
