"""A real, nearly empty book under the screen of a receipt, and a hand that types."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QLineEdit, QWidget
from pytestqt.qtbot import QtBot

from screens.holding import Holder, write
from vault.application.book import Book
from vault.application.drafts import DraftShelf
from vault.application.operations.receipt_draft import ReceiptDraft
from vault.application.operations.receipts import receive
from vault.application.operations.recording import new_key
from vault.application.queries.receive_help import receipt_help
from vault.application.queries.receive_preview import preview_receipt
from vault.application.queries.tags import let_tags_go, propose_received_tags
from vault.core.daybook import Entry
from vault.core.errors import VaultError
from vault.screens.background import Background
from vault.screens.drafts import DraftDesk
from vault.screens.house_style import HouseStyle
from vault.screens.receive.questions import ReceiveQuestions
from vault.screens.receive.screen import Hands, ReceiveScreen
from vault.screens.widgets.weight_field import TareField, WeightField
from vault.store.entries import load_entries


class Paper:
    """Keeps what was to be printed."""

    def __init__(self) -> None:
        self.receipts: list[int] = []
        self.tag_sheets: list[tuple[str, ...]] = []

    def receipt(self, book: object, entry: int) -> None:
        self.receipts.append(entry)

    def tags(self, book: object, tags: Sequence[str]) -> None:
        self.tag_sheets.append(tuple(tags))


class ByHand:
    """Makes fields for weights that are typed; no scale is in use."""

    def __init__(self, style: HouseStyle) -> None:
        self._style = style

    def weight_field(self, name: str, hint: str) -> WeightField:
        return WeightField(name, hint, self._style)

    def tare_field(self, name: str, hint: str) -> TareField:
        return TareField(name, hint, self._style)


class Writer:
    """Records as the desk does, and fails when it is told to."""

    def __init__(self, background: Background, book: Book) -> None:
        self._background = background
        self._book = book
        self.trouble: VaultError | None = None

    def record(
        self,
        operation: Callable[[object], object],
        then: Callable[[object], None],
        on_failure: Callable[[BaseException], None],
        words: str = "Recording …",
    ) -> None:
        def do(_progress: object, _stopped: object) -> object:
            if self.trouble is not None:
                raise self.trouble
            return operation(self._book)

        self._background.run(do, then, words=words, on_failure=on_failure)


class Counter:
    """The screen of a receipt over a book, with a hand at its keyboard."""

    def __init__(
        self, qtbot: QtBot, background: Background, style: HouseStyle, folder: Path, book: Book
    ) -> None:
        self.qtbot = qtbot
        self.screen_style = style
        self.background = background
        self.book = book
        self.paper = Paper()
        # What a hand would choose when it is asked for a picture.
        self.picture: Path | None = None
        self.writer = Writer(background, book)
        self.holder = Holder()
        self.drafts = DraftDesk(DraftShelf(folder / "drafts"), lambda _book: "the book")
        self.keys = 0
        self.screen = ReceiveScreen(
            questions(), background, style, self.holder.commands, self._hands()
        )
        self.holder.show_screen(self.screen)
        self.holder.activateWindow()
        qtbot.waitUntil(self.holder.isActiveWindow)
        self.screen.show_book(book)
        self.settle()

    def _hands(self) -> Hands:
        return Hands(
            self.writer,
            self.drafts,
            ByHand(self.screen_style),
            self.paper,
            choose_picture=lambda _over: self.picture,
            may_work=True,
        )

    # --- the hand -------------------------------------------------------------------------------

    def settle(self) -> None:
        """Wait until everything that was asked is answered and shown."""
        form, summary = self.screen.form, self.screen.summary

        def is_settled() -> None:
            preview = summary.preview
            assert preview is not None
            assert not self.screen._pause.isActive()
            assert not self.screen._ask_preview.is_waiting
            assert not self.screen._ask_help.is_waiting
            assert all(card.tag.text for card in form.bags.cards if not card.is_blank)
            assert len(preview.bags) == len(form.bags.counted())

        self.qtbot.waitUntil(is_settled)

    def focused(self) -> QWidget:
        self._be_active()
        found = QApplication.focusWidget()
        assert found is not None
        return found

    def _be_active(self) -> None:
        """Without a real screen a list that popped up leaves no window active behind it."""
        if not self.holder.isActiveWindow():
            self.holder.activateWindow()
            self.qtbot.waitUntil(self.holder.isActiveWindow)

    def key(self, key: Qt.Key, modifier: Qt.KeyboardModifier | None = None) -> None:
        """Press a key where the hand is; what pops up gets it first."""
        self.keys += 1
        popped_up = QApplication.activePopupWidget()
        self.qtbot.keyClick(
            popped_up or self.focused(), key, modifier or Qt.KeyboardModifier.NoModifier
        )
        if popped_up is not None and QApplication.activePopupWidget() is None:
            self._settle_focus()

    def _settle_focus(self) -> None:
        """Stay where the key led: without a real screen a list that popped up was activated.

        Its activation comes late then and takes the hand back to the field it belongs to.
        """
        meant = self.holder.focusWidget()
        self.qtbot.wait(20)
        self._be_active()
        meant.setFocus()

    def enter(self) -> None:
        self.key(Qt.Key.Key_Return)

    def types(self, text: str) -> None:
        """Type into the field that has the focus, and press Enter."""
        line = self.focused()
        assert isinstance(line, QLineEdit), line
        line.selectAll()
        write(line, text)
        self.keys += len(text)
        self.enter()

    def click(self, widget: QWidget) -> None:
        self.qtbot.mouseClick(widget, Qt.MouseButton.LeftButton)

    # --- what came of it ------------------------------------------------------------------------

    def entries(self) -> list[Entry]:
        with self.book.file.reading() as connection:
            return [one.entry for one in load_entries(connection)]

    def is_done(self) -> bool:
        return self.screen.done.isVisible()

    def close(self) -> None:
        self.screen.leave()
        self.holder.close()
        self.holder.deleteLater()
        self.drafts.close()


def questions() -> ReceiveQuestions:
    def record(book: object, receipt: ReceiptDraft, key: str) -> object:
        assert isinstance(book, Book)
        return receive(book, receipt, key)

    return ReceiveQuestions(
        help=receipt_help,  # type: ignore[arg-type]  # a screen knows no book
        preview=preview_receipt,  # type: ignore[arg-type]  # a screen knows no book
        propose_tags=propose_received_tags,  # type: ignore[arg-type]  # a screen knows no book
        let_tags_go=let_tags_go,  # type: ignore[arg-type]  # a screen knows no book
        receive=record,
        new_key=new_key,
    )
