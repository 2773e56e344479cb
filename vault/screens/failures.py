"""What went wrong, told apart: the world's trouble as a sentence, our own bugs as a report."""

from __future__ import annotations

import sys
import traceback
from types import TracebackType

from PySide6.QtCore import QObject, QSysInfo, Signal, qVersion

import vault
from vault.core.errors import VaultError
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
        f"{PROGRAM} {vault.__version__}, Python {sys.version.split()[0]}, Qt {qVersion()}, "
        f"{QSysInfo.prettyProductName()} {QSysInfo.currentCpuArchitecture()}\n\n{told}"
    )
