"""Terms sheets written out to a file, and read in from one."""

from __future__ import annotations

from functools import partial
from pathlib import Path

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QWidget

from vault.screens.background import Background
from vault.screens.choosers import Choosers
from vault.screens.dialogs import FaultsDialog
from vault.screens.failures import is_trouble, sentence_of
from vault.screens.recorder import Recorder
from vault.screens.terms_sheets.questions import SheetsRead, TermsQuestions

_NAME = "terms sheets.json"


class SheetFiles(QObject):
    """Asks for the file and has it written or read.

    Signals:
        told: a sentence on what came of it.
        missed: a sentence on why nothing did.
        read: sheets were read in.
    """

    told = Signal(str)
    missed = Signal(str)
    read = Signal()

    def __init__(
        self,
        questions: TermsQuestions,
        background: Background,
        recorder: Recorder,
        choosers: Choosers,
        window: QWidget,
    ) -> None:
        super().__init__(window)
        self._questions = questions
        self._background = background
        self._recorder = recorder
        self._choosers = choosers
        self._window = window
        self._folder = Path.home()

    def write_out(self, book: object) -> None:
        """Ask where to, and write every sheet there."""
        to = self._choosers.file_to_write(self._window, self._folder / _NAME)
        if to is not None:
            self._folder = to.parent
            self._background.run(
                lambda _progress, _stopped: self._questions.write_out(book, to),
                partial(self._on_written, to),
                words=f"Writing {to.name} …",
                on_failure=self._on_failed,
            )

    def read_in(self) -> None:
        """Ask for a file, and read what the book does not hold yet."""
        file = self._choosers.terms_to_read(self._window, self._folder)
        if file is not None:
            self._folder = file.parent
            outcome: list[SheetsRead] = []
            self._recorder.record(
                partial(self._take, file, outcome),
                lambda _changes: self._on_read(file, outcome[0]),
                self._on_failed,
                f"Reading {file.name} …",
            )

    def _take(self, file: Path, outcome: list[SheetsRead], book: object) -> object:
        outcome.append(self._questions.read_in(book, file))
        return outcome[0].changes

    def _on_written(self, to: Path, number: int) -> None:
        versions = "1 version" if number == 1 else f"{number} versions"
        self.told.emit(f"All sheets, {versions}, were written to {to}.")

    def _on_read(self, file: Path, outcome: SheetsRead) -> None:
        self.told.emit(read_in_words(file.name, len(outcome.kept), outcome.already))
        self.read.emit()

    def _on_failed(self, error: BaseException) -> None:
        faults = getattr(error, "faults", ())
        if faults and all(hasattr(one, "row") for one in faults):
            FaultsDialog(
                faults,
                self._window,
                title="The terms sheets were not read in",
                places=("Sheet", "Field"),
            ).open()
        elif is_trouble(error):
            self.missed.emit(sentence_of(error))
        else:
            self._background.failed.emit(error)


def read_in_words(name: str, kept: int, already: int) -> str:
    """Say what came of reading, such as that 3 versions are new and 2 were known already."""
    if not kept:
        return f"{name}: nothing in it is new here; the book knew it all already."
    new = "1 version is new" if kept == 1 else f"{kept} versions are new"
    known = "" if not already else f", {already} {'was' if already == 1 else 'were'} known already"
    return f"{name}: {new}{known}."
