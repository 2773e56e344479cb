"""A field for an item: its tag scanned or typed, or picked from what is on hand."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QModelIndex, Qt, QTimer, Signal
from PySide6.QtGui import QHideEvent, QKeyEvent, QStandardItem, QStandardItemModel
from PySide6.QtWidgets import QCompleter, QListView, QWidget
from typing_extensions import override

from vault.screens.widgets.fields import Field

_PAUSE_MS = 120
_TAG = int(Qt.ItemDataRole.UserRole)
_MOST_OFFERED = 9


class ItemField(Field):
    """Takes one tag after the other; the field is empty again after each.

    Signals:
        wanted: a text of which the items it could mean are to be offered.
        entered: a text that Enter ended, as a scanner does.
        picked: the tag of the item that was chosen among those offered.
        left_empty: Enter in the empty field; the form goes on.
    """

    wanted = Signal(str)
    entered = Signal(str)
    picked = Signal(str)
    left_empty = Signal()

    def __init__(self, name: str, hint: str = "", parent: QWidget | None = None) -> None:
        super().__init__(name, hint, parent)
        self._model = QStandardItemModel(self)
        # Not the line's own completer: that would write what is offered into the line.
        self.completer = QCompleter(self._model, self)
        self.completer.setCompletionMode(QCompleter.CompletionMode.UnfilteredPopupCompletion)
        self.completer.setMaxVisibleItems(_MOST_OFFERED)
        self.completer.setWidget(self.line)
        self._list = QListView()
        self.completer.setPopup(self._list)
        self._list.clicked.connect(self._on_row_chosen)
        self._pause = QTimer(self)
        self._pause.setSingleShot(True)
        self._pause.setInterval(_PAUSE_MS)
        self._pause.timeout.connect(self._on_pause_over)

    @property
    def is_offering(self) -> bool:
        """Whether the list of items is open."""
        return self._list.isVisible()

    def offer(self, items: Sequence[tuple[str, str]]) -> None:
        """Offer items: the tag of each, and the words by which it is known."""
        self._model.clear()
        for tag, words in items:
            row = QStandardItem(words)
            row.setData(tag, _TAG)
            row.setToolTip(words)
            self._model.appendRow(row)
        if items and self.line.hasFocus():
            self.completer.complete()
        else:
            self._list.hide()

    def offered(self) -> tuple[str, ...]:
        """Give the tags that are offered."""
        rows = range(self._model.rowCount())
        return tuple(str(self._model.item(row).data(_TAG)) for row in rows)

    def empty(self) -> None:
        """Take the text out and offer nothing."""
        self._pause.stop()
        self.write("")
        self._list.hide()

    def _on_pause_over(self) -> None:
        if self.text:
            self.wanted.emit(self.text)
        else:
            self._list.hide()

    def _on_row_chosen(self, index: QModelIndex) -> None:
        tag = str(index.data(_TAG))
        self.empty()
        self.picked.emit(tag)

    @override
    def _on_line_edited(self) -> None:
        super()._on_line_edited()
        self._pause.start()

    @override
    def _on_line_entered(self) -> None:
        chosen = self._list.currentIndex()
        if self.is_offering and chosen.isValid():
            self._on_row_chosen(chosen)
            return
        self._pause.stop()
        self._list.hide()
        text = self.text
        if text:
            self.entered.emit(text)
        else:
            self.left_empty.emit()

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Down:
            self.wanted.emit(self.text)
            return
        super().keyPressEvent(event)

    @override
    def hideEvent(self, event: QHideEvent) -> None:
        self._pause.stop()
        self._list.hide()
        super().hideEvent(event)
