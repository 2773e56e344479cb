"""What is printed, shown before it is: as pages, with a way to a printer and to a PDF."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtPrintSupport import QPrintDialog, QPrinter, QPrinterInfo
from PySide6.QtWidgets import QDialog, QHBoxLayout, QPushButton, QScrollArea, QVBoxLayout, QWidget
from typing_extensions import override

from vault.core.errors import VaultError
from vault.screens.choosers import Choosers
from vault.screens.look import Size
from vault.screens.printing.output import print_on, save_pdf
from vault.screens.printing.page import Paper
from vault.screens.printing.preview import Preview
from vault.screens.widgets.enter_key import press_in_hand
from vault.screens.widgets.labels import label

_BUTTON_HEIGHT = 44
_SIDE_WIDTH = 356
_SIZE = (900, 680)
_MOST_OF_THE_SCREEN = 0.92


class PaperDialog(QDialog):
    """Shows paper and prints it; a subclass adds what can be chosen on the right.

    Signals:
        told: a sentence on what was printed or saved, or why that could not be.
    """

    told = Signal(str)

    def __init__(
        self, title: str, paper: Paper, choosers: Choosers, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.setWindowTitle(title)
        self._choosers = choosers
        self.paper = paper
        self.preview = Preview(paper)
        self.heading = label(title, size=Size.HEADING, bold=True, wrap=True)
        self.summary = label(kind="soft", wrap=True)
        self.trouble = label(kind="attention", wrap=True)
        self.trouble.hide()
        self.options = QVBoxLayout()
        self.options.setSpacing(8)
        self.print_button = self._button("Print …", self._on_print_clicked, first=True)
        self.pdf_button = self._button("Save as PDF …", self._on_pdf_clicked)
        self.close_button = self._button("Close", self.reject)
        for button, keys in ((self.print_button, "Ctrl+P"), (self.pdf_button, "Ctrl+S")):
            button.setShortcut(keys)
            button.setToolTip(keys)
        self._lay_out()
        self.show_paper(paper)
        self.print_button.setFocus()
        room = self.screen().availableSize()
        self.resize(QSize(*_SIZE).boundedTo(room * _MOST_OF_THE_SCREEN))

    def show_paper(self, paper: Paper) -> None:
        """Show other paper."""
        self.paper = paper
        self.preview.show_paper(paper)
        self._on_page_changed()

    def hinder(self, sentence: str) -> None:
        """Say what stands in the way of printing; an empty sentence lets it go on."""
        self._say_trouble(sentence)
        for button in (self.print_button, self.pdf_button):
            button.setEnabled(not sentence)

    def _say_trouble(self, sentence: str) -> None:
        self.trouble.setText(sentence)
        self.trouble.setVisible(bool(sentence))

    def _button(self, words: str, done: object, *, first: bool = False) -> QPushButton:
        made = QPushButton(words)
        made.setMinimumHeight(_BUTTON_HEIGHT)
        # Enter prints only where the button has the hand.
        made.setAutoDefault(False)
        if first:
            made.setProperty("kind", "first")
        made.clicked.connect(done)
        return made

    def _lay_out(self) -> None:
        self._back = self._button("Back", lambda: self._turn(-1))
        self._on = self._button("On", lambda: self._turn(1))
        self._number = label(kind="soft")
        pages = QHBoxLayout()
        pages.addStretch(1)
        for one in (self._back, self._number, self._on):
            pages.addWidget(one)
        pages.addStretch(1)
        left = QVBoxLayout()
        left.addWidget(self.preview, 1)
        left.addLayout(pages)
        right = QVBoxLayout()
        right.setSpacing(10)
        right.addWidget(self._choices_area(), 1)
        right.addWidget(self.trouble)
        for button in (self.print_button, self.pdf_button, self.close_button):
            right.addWidget(button)
        side = QWidget()
        side.setLayout(right)
        side.setFixedWidth(_SIDE_WIDTH)
        row = QHBoxLayout(self)
        row.setContentsMargins(16, 16, 16, 16)
        row.addLayout(left, 1)
        row.addWidget(side)

    def _choices_area(self) -> QScrollArea:
        """Give what can be chosen, to be scrolled where the screen is low."""
        inside = QWidget()
        column = QVBoxLayout(inside)
        column.setContentsMargins(0, 0, 8, 0)
        column.setSpacing(10)
        for one in (self.heading, self.summary):
            column.addWidget(one)
        column.addLayout(self.options)
        column.addStretch(1)
        area = QScrollArea()
        area.setWidgetResizable(True)
        area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        area.setWidget(inside)
        inside.setAutoFillBackground(False)
        return area

    def _turn(self, pages: int) -> None:
        self.preview.show_page(self.preview.page + pages)
        self._on_page_changed()

    def _on_page_changed(self) -> None:
        page, pages = self.preview.page, self.paper.pages
        self._number.setText(f"page {page + 1} of {pages}")
        self._back.setEnabled(page > 0)
        self._on.setEnabled(page + 1 < pages)
        for one in (self._back, self._number, self._on):
            one.setVisible(pages > 1)

    def _on_print_clicked(self) -> None:
        if not QPrinterInfo.availablePrinterNames():
            self._save_pdf("No printer was found, so ")
            return
        printer = QPrinter(QPrinter.PrinterMode.HighResolution)
        dialog = QPrintDialog(printer, self)
        dialog.setModal(True)
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        dialog.accepted.connect(lambda: self._print_on(printer))
        dialog.show()

    def _print_on(self, printer: QPrinter) -> None:
        try:
            print_on(self.paper, printer)
        except VaultError as trouble:
            self._say_trouble(str(trouble))
            return
        self.told.emit(f"{self.paper.title} went to the printer {printer.printerName()}.")
        self.accept()

    def _on_pdf_clicked(self) -> None:
        self._save_pdf("")

    def _save_pdf(self, because: str) -> None:
        name = "".join(one if one.isalnum() or one in "-. " else "_" for one in self.paper.title)
        path = self._choosers.file_to_write(self, Path.home() / f"{name}.pdf")
        if path is None:
            return
        try:
            save_pdf(self.paper, path)
        except VaultError as trouble:
            self._say_trouble(str(trouble))
            return
        self.told.emit(f"{because}{self.paper.title} was saved as {path}.")
        self.accept()

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        if not press_in_hand(self, event):
            super().keyPressEvent(event)
