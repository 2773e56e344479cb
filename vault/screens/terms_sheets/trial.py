"""A sheet is tried as it is typed: what is wrong with it, and what a parcel under it brings."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial

from PySide6.QtCore import QObject, QTimer

from vault.application.queries.answers.terms_sheets import ExampleReturn
from vault.core.money import Money
from vault.core.rules.terms_sheets import faults_of_sheet
from vault.core.terms_sheets import TermsSheet
from vault.screens.background import Background
from vault.screens.house_style import HouseStyle
from vault.screens.terms_sheets.example_card import ExampleCard
from vault.screens.terms_sheets.example_words import lines_of
from vault.screens.terms_sheets.form import SheetForm
from vault.screens.terms_sheets.questions import TermsQuestions

_PAUSE_MS = 150
_NOT_YET = "What comes back is shown once every field can be read."
_NO_WEIGHT = "Type the weight of a parcel; grades and prices can be left open."
# What a sheet that is only begun cannot have yet; it is told when it is to be saved.
_LACKS = frozenset({"name", "party", "metals"})


class Trial(QObject):
    """Looks at the form a moment after the hand rests, and shows what comes of it."""

    def __init__(
        self,
        questions: TermsQuestions,
        background: Background,
        style: HouseStyle,
        form: SheetForm,
        example: ExampleCard,
    ) -> None:
        super().__init__(form)
        self._questions = questions
        self._style = style
        self._form = form
        self._example = example
        self._interest = 0.0
        self._asker = background.asker(self)
        self._pause = QTimer(self, singleShot=True, interval=_PAUSE_MS)
        self._pause.timeout.connect(self.look)
        example.edited.connect(self.look_soon)

    def know(self, prices: Mapping[str, Money], interest: float) -> None:
        """Take prices and the cost of money as they are set in the book."""
        self._interest = interest
        self._example.know_prices(prices)

    def look_soon(self) -> None:
        """Look once the hand rests."""
        self._pause.start()

    def stop(self) -> None:
        """Want no answer any more."""
        self._pause.stop()
        self._asker.forget()

    def look(self) -> None:
        """Say what is wrong with the sheet as a whole, and show what a parcel brings."""
        sheet = self._form.sheet()
        if sheet is None:
            self._example.say(_NOT_YET)
            return
        faults = [one for one in faults_of_sheet(sheet) if one.field not in _LACKS]
        self._form.show_faults(faults)
        self._example.ask_for(sheet)
        parcel = self._example.parcel()
        if parcel is None or faults:
            self._example.say(_NOT_YET if faults else _NO_WEIGHT)
            return
        interest = self._interest
        self._asker.ask(
            lambda: self._questions.example(sheet, parcel, interest),
            partial(self._on_answered, sheet),
        )

    def _on_answered(self, sheet: TermsSheet, found: ExampleReturn) -> None:
        lines = lines_of(found, sheet, self._interest, self._style.numbers)
        self._example.show_lines(lines, found.left_out)
