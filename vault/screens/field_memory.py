"""What stood in a field for text at a moment, so that it can be put back."""

from __future__ import annotations

from PySide6.QtGui import QTextCursor
from PySide6.QtWidgets import QCompleter, QLineEdit, QPlainTextEdit, QTextEdit, QWidget
from shiboken6 import isValid


def takes_text(widget: QWidget) -> bool:
    """Tell whether keys typed here become text, of which nothing is set off."""
    return isinstance(widget, QLineEdit | QPlainTextEdit | QTextEdit)


class FieldMemory:
    """Remembers text, cursor and selection of one field."""

    def __init__(self, widget: QWidget) -> None:
        self._widget = widget
        self._text = ""
        self._anchor = self._position = 0
        if isinstance(widget, QLineEdit):
            self._text = widget.text()
            self._position = widget.cursorPosition()
            self._anchor = _other_end(widget, self._position)
        elif isinstance(widget, QPlainTextEdit | QTextEdit):
            self._text = widget.toPlainText()
            cursor = widget.textCursor()
            self._anchor, self._position = cursor.anchor(), cursor.position()

    def put_back(self) -> None:
        """Make the field as it was; who listens to what is typed in it hears of that."""
        widget = self._widget
        if not isValid(widget):
            return
        if isinstance(widget, QLineEdit):
            self._put_back_line(widget)
        elif isinstance(widget, QPlainTextEdit | QTextEdit):
            self._put_back_lines(widget)

    def _put_back_line(self, widget: QLineEdit) -> None:
        if widget.text() != self._text:
            # As if typed: it can be undone, and drafts and filters hear of it.
            widget.selectAll()
            widget.insert(self._text)
            if widget.text() != self._text:
                # A rule of the field takes only what is typed bit by bit.
                widget.setText(self._text)
                widget.textEdited.emit(self._text)
        completer: QCompleter | None = widget.completer()
        popup = None if completer is None else completer.popup()
        if popup is not None:
            popup.hide()
        if self._anchor == self._position:
            widget.setCursorPosition(self._position)
        else:
            widget.setSelection(self._anchor, self._position - self._anchor)

    def _put_back_lines(self, widget: QPlainTextEdit | QTextEdit) -> None:
        cursor = widget.textCursor()
        if widget.toPlainText() != self._text:
            cursor.select(QTextCursor.SelectionType.Document)
            cursor.insertText(self._text)
        cursor.setPosition(self._anchor)
        cursor.setPosition(self._position, QTextCursor.MoveMode.KeepAnchor)
        widget.setTextCursor(cursor)


def _other_end(widget: QLineEdit, position: int) -> int:
    start, end = widget.selectionStart(), widget.selectionEnd()
    if start < 0:
        return position
    return end if position == start else start
