"""Tags and reports on their way to paper: asked for by any screen, shown, printed or saved."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from typing import TypeVar

from PySide6.QtCore import QObject, QTimer, Signal
from PySide6.QtWidgets import QApplication, QDialog, QWidget

from vault.application.queries.answers.labels import TagLabel
from vault.screens.background import Background
from vault.screens.choosers import Choosers
from vault.screens.house_style import HouseStyle
from vault.screens.later import later
from vault.screens.loading import Loading, modules
from vault.screens.settings.choices import Choices

T = TypeVar("T")

# Printing is seldom wanted at the start, and Qt's part for it takes its time to load.
_PRINTING = "vault.screens.printing"
_LABELS, _REPORT = f"{_PRINTING}.label_dialog", f"{_PRINTING}.report_dialog"
_LABEL_DIALOG = later(_LABELS, "LabelDialog")
_REPORT_DIALOG = later(_REPORT, "ReportPaperDialog")
_RECEIPT_PAPER = later(f"{_PRINTING}.receipt", "receipt_paper")
_SHIPMENT_PAPER = later(f"{_PRINTING}.shipment", "shipment_paper")
_OWN_PAPER = later(f"{_PRINTING}.own_estimate", "own_estimate_paper")
_LETTER_PAPER = later(f"{_PRINTING}.letter", "letter_paper")
_RECORD_PAPER = later(f"{_PRINTING}.residue_record", "record_paper")


@dataclass(frozen=True, slots=True)
class PrintQuestions:
    """What printing may ask.

    Attributes:
        tag_labels: what stands on the tags of items and containers.
        receipt_of: the receipt of the entry that received a lot.
        residue_record: the record of residues for an inspector.
        shipment_papers: the packing list of the entry that sent a shipment.
        own_estimate: what the shop itself believes to be in it, for its own file.
        letter_of: a letter from what it is about and its text.
    """

    tag_labels: Callable[[object, Sequence[str]], Sequence[TagLabel]]
    receipt_of: Callable[[object, int], object]
    residue_record: Callable[[object], object]
    shipment_papers: Callable[[object, int], object]
    own_estimate: Callable[[object, int], object]
    letter_of: Callable[[object, str, str], object]


@dataclass(eq=False, slots=True)
class _Wanted:
    """Something that was wanted on paper; it can be made once what stands on it is told."""

    make: Callable[[], QDialog] | None = None


class PrintDesk(QObject):
    """Shows what is to be printed over the window in use, one thing after the other.

    Signals:
        told: a sentence on what was printed or saved.
    """

    told = Signal(str)

    def __init__(
        self,
        questions: PrintQuestions,
        background: Background,
        choosers: Choosers,
        choices: Choices,
        style: HouseStyle,
        book: Callable[[], object | None],
    ) -> None:
        super().__init__()
        self._questions = questions
        self._background = background
        self._choosers = choosers
        self._choices = choices
        self._style = style
        self._book = book
        self._loading = Loading(_parts, background, self)
        self._waiting: deque[_Wanted] = deque()
        self._shown: QDialog | None = None

    def print_tags(self, tags: Sequence[str], parent: QWidget | None = None) -> None:
        """Show the tags of items and containers of the open book, to be printed."""
        book = self._book()
        if book is not None:
            self.tags(book, tags, parent)

    def tags(self, book: object, tags: Sequence[str], parent: QWidget | None = None) -> None:
        """Show the tags of items and containers of a book, to be printed."""
        if tags:
            self._ask(
                partial(self._questions.tag_labels, book, tuple(tags)),
                lambda labels: _LABEL_DIALOG(labels, self._choosers, self._choices, _over(parent)),
            )

    def receipt(self, book: object, entry: int, parent: QWidget | None = None) -> None:
        """Show the receipt of an entry that received a lot, to be printed."""
        question = partial(self._questions.receipt_of, book, entry)
        self._report("Print the receipt", question, _RECEIPT_PAPER, parent)

    def residue_record(self, book: object, parent: QWidget | None = None) -> None:
        """Show the record of a book's residues, to be printed."""
        question = partial(self._questions.residue_record, book)
        self._report("Print the record of residues", question, _RECORD_PAPER, parent)

    def shipment(self, book: object, entry: int, parent: QWidget | None = None) -> None:
        """Show the packing list of an entry that sent a shipment, to be printed."""
        question = partial(self._questions.shipment_papers, book, entry)
        self._report("Print the packing list", question, _SHIPMENT_PAPER, parent)

    def own_estimate(self, book: object, entry: int, parent: QWidget | None = None) -> None:
        """Show the shop's own estimate of a shipment, which goes to nobody else."""
        question = partial(self._questions.own_estimate, book, entry)
        title = "Print the own estimate, for the shop's own file"
        self._report(title, question, _OWN_PAPER, parent)

    def letter(self, book: object, about: str, text: str, parent: QWidget | None = None) -> None:
        """Show a letter of the shop, to be printed."""
        question = partial(self._questions.letter_of, book, about, text)
        self._report("Print the letter", question, _LETTER_PAPER, parent)

    def _report(
        self,
        title: str,
        question: Callable[[], object],
        paper: Callable[..., object],
        parent: QWidget | None,
    ) -> None:
        numbers = self._style.numbers
        self._ask(
            question,
            lambda report: _REPORT_DIALOG(
                title,
                lambda page_size: paper(report, numbers, page_size),
                self._choosers,
                self._choices,
                _over(parent),
            ),
        )

    def _ask(self, question: Callable[[], T], make: Callable[[T], QDialog]) -> None:
        """Ask what stands on a paper; papers are shown in the order in which they were wanted."""
        paper = _Wanted()
        self._waiting.append(paper)

        def answered(answer: T) -> None:
            paper.make = partial(make, answer)
            self._go_on()

        def failed(error: BaseException) -> None:
            self._waiting.remove(paper)
            self._background.failed.emit(error)
            self._go_on()

        self._loading.then(lambda: self._background.ask(question, answered, failed))

    def _go_on(self) -> None:
        """Show the first paper of those that wait, once its answer is there and nothing else is."""
        make = self._waiting[0].make if self._waiting else None
        if self._shown is None and make is not None:
            self._waiting.popleft()
            dialog = self._shown = make()
            dialog.told.connect(self.told)  # type: ignore[attr-defined]  # a class loaded late
            dialog.finished.connect(self._on_finished)
            # To make it and to show it takes a moment each; between the two the window comes in.
            QTimer.singleShot(0, dialog, dialog.open)

    def _on_finished(self) -> None:
        self._shown = None
        self._go_on()


def _over(parent: QWidget | None) -> QWidget | None:
    """Give the window over which a dialog is to stand."""
    return QApplication.activeWindow() if parent is None else parent


def _parts() -> Iterator[None]:
    return modules(
        "PySide6.QtPrintSupport",
        f"{_PRINTING}.page",
        f"{_PRINTING}.output",
        f"{_PRINTING}.label",
        f"{_PRINTING}.dialog",
        _LABELS,
        _REPORT,
    )
