"""The dialog about a bug of ours, with the report that helps to mend it."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication, QTextCursor
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QLabel,
    QPlainTextEdit,
    QVBoxLayout,
    QWidget,
)

from vault.screens.look import Size, face


class ReportDialog(QDialog):
    """Says that the program has a fault, and offers the report for copying."""

    def __init__(self, report: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.setWindowTitle("Something is wrong in the program")
        self._report = report
        heading = QLabel("This should not have happened. Your book is as it was before.")
        heading.setFont(face(Size.TITLE, bold=True))
        heading.setWordWrap(True)
        more = QLabel(
            "What you did just now may not have been done; look before you do it again. "
            "The report below helps those who look after the program. Read it before you pass it "
            "on: it can hold names from your book."
        )
        more.setWordWrap(True)
        text = QPlainTextEdit(report)
        text.setReadOnly(True)
        # What broke stands at the end.
        text.moveCursor(QTextCursor.MoveOperation.End)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        copy = buttons.addButton("Copy the report", QDialogButtonBox.ButtonRole.ActionRole)
        copy.clicked.connect(self._on_copy_clicked)
        buttons.rejected.connect(self.reject)
        layout = QVBoxLayout(self)
        for part in (heading, more, text, buttons):
            layout.addWidget(part)
        self.resize(720, 480)

    def _on_copy_clicked(self) -> None:
        QGuiApplication.clipboard().setText(self._report)
