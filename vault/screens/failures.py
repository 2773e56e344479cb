"""What went wrong, told apart: the world's trouble as a sentence, our own bugs as a report."""

from __future__ import annotations

import platform
import sys
import traceback
from types import TracebackType

from PySide6.QtCore import QObject, Qt, Signal, qVersion
from PySide6.QtGui import QGuiApplication, QTextCursor
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QLabel,
    QPlainTextEdit,
    QVBoxLayout,
    QWidget,
)

import vault
from vault.core.errors import VaultError
from vault.screens.look import Size, face
from vault.screens.words import PROGRAM


class Failures(QObject):
    """Takes every error that reaches the window.

    Signals:
        told: a sentence for the reader, about something that can be put right.
        reported: the text of a report about a bug of ours.
    """

    told = Signal(str)
    reported = Signal(str)

    def take(self, error: BaseException) -> None:
        """Tell trouble as a sentence; report anything else as a bug."""
        if is_trouble(error):
            self.told.emit(sentence_of(error))
        else:
            self.reported.emit(report_of(error))

    def hook(
        self, kind: type[BaseException], error: BaseException, trace: TracebackType | None
    ) -> None:
        """Stand in for `sys.excepthook` while the window is open."""
        if issubclass(kind, KeyboardInterrupt):
            sys.__excepthook__(kind, error, trace)
            return
        sys.__excepthook__(kind, error, trace)
        self.take(error.with_traceback(trace))


def is_trouble(error: BaseException) -> bool:
    """Tell whether an error is about the world (a full disk, a wrong file) and not a bug."""
    return isinstance(error, VaultError | OSError)


def sentence_of(error: BaseException) -> str:
    """Give the sentence of a trouble."""
    if isinstance(error, OSError) and not isinstance(error, VaultError) and error.strerror:
        where = f"{error.filename}: " if error.filename else ""
        return f"{where}{error.strerror}. Nothing was changed."
    return str(error)


def report_of(error: BaseException) -> str:
    """Give all that a developer needs to know about a bug; it names no shop data but the text."""
    told = "".join(traceback.format_exception(error))
    return (
        f"{PROGRAM} {vault.__version__}, Python {platform.python_version()}, Qt {qVersion()}, "
        f"{platform.platform()}\n\n{told}"
    )


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
