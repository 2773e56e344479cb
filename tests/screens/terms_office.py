"""A real book with terms sheets under their screen, and a hand at its keyboard."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from screens.holding import Holder, write
from screens.receiving import Writer
from screens.stand_ins import HandsOff
from vault.application.book import Book
from vault.application.circumstances import interest
from vault.application.drafts import DraftShelf
from vault.application.queries.terms_sheets import example_return, known_terms
from vault.application.terms_sheets import (
    keep_sheet,
    read_sheets,
    take_away,
    terms_sheets,
    write_sheets,
)
from vault.core.terms_sheets import TermsSheet
from vault.screens.background import Background
from vault.screens.drafts import DraftDesk
from vault.screens.house_style import HouseStyle
from vault.screens.terms_sheets.questions import TermsHands, TermsQuestions
from vault.screens.terms_sheets.screen import TermsScreen
from vault.screens.widgets.fields import Field

QUESTIONS = TermsQuestions(
    known=known_terms,
    interest=interest,
    example=example_return,
    keep=keep_sheet,
    take_away=take_away,
    write_out=write_sheets,
    read_in=read_sheets,
)


class Office:
    """The screen of terms over a book."""

    def __init__(
        self, qtbot: QtBot, background: Background, style: HouseStyle, folder: Path, book: Book
    ) -> None:
        self.qtbot = qtbot
        self.book = book
        self.background = background
        self.style = style
        self.writer = Writer(background, book)
        self.choosers = HandsOff()
        self.holder = Holder()
        self.missed: list[str] = []
        self.drafts = DraftDesk(DraftShelf(folder / "drafts"), lambda _book: "the book")
        hands = TermsHands(self.writer, self.drafts, self.choosers)
        self.screen = TermsScreen(QUESTIONS, background, style, hands)
        self.screen.told.connect(self.missed.append)
        self.holder.show_screen(self.screen)
        self.holder.activateWindow()
        qtbot.waitUntil(self.holder.isActiveWindow)
        self.screen.show_book(book)
        self.settle()

    @property
    def form(self) -> QWidget:
        return self.screen.page.form

    def settle(self) -> None:
        """Wait until everything that was asked is answered and shown."""

        def is_settled() -> None:
            assert self.screen._known is not None
            assert not self.screen._ask_known.is_waiting
            assert not self.screen.trial._pause.isActive()
            assert not self.screen.trial._asker.is_waiting
            assert self.background.is_idle

        self.qtbot.waitUntil(is_settled)

    def types(self, field: Field, text: str) -> None:
        """Type into a field and go on with Tab, as a hand does."""
        field.line.setFocus()
        field.line.selectAll()
        self.key(Qt.Key.Key_Backspace)
        write(field.line, text)
        self.key(Qt.Key.Key_Tab)

    def key(self, key: Qt.Key, modifier: Qt.KeyboardModifier | None = None) -> None:
        """Press a key where the hand is."""
        where = QApplication.activePopupWidget() or QApplication.focusWidget() or self.screen
        self.qtbot.keyClick(where, key, modifier or Qt.KeyboardModifier.NoModifier)

    def click(self, button: QWidget) -> None:
        self.qtbot.mouseClick(button, Qt.MouseButton.LeftButton)

    def save(self) -> None:
        self.click(self.screen.page.save_button)
        self.settle()

    def rows(self) -> list[tuple[str, str, str]]:
        """Give the rows of the list: name, version, how it stands."""
        return [(one.name, one.version, one.words) for one in self.screen.list.rows.rows]

    def sheets(self) -> tuple[TermsSheet, ...]:
        return terms_sheets(self.book)

    def keep(self, sheets: Sequence[TermsSheet]) -> None:
        for one in sheets:
            keep_sheet(self.book, one)
        self.screen.refresh()
        self.settle()

    def close(self) -> None:
        self.screen.leave()
        self.holder.close()
        self.holder.deleteLater()
        self.drafts.close()
