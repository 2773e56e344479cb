"""Teaching the program a scale's line: the line, what the display showed, and what is asked."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QDialogButtonBox, QPushButton, QVBoxLayout, QWidget

from vault.bench.scale_lines import Kind, Reading
from vault.bench.scale_profiles import Profile
from vault.bench.scale_teaching import Proof, Question, prove, teach
from vault.core.errors import TextNotUnderstood
from vault.screens.numbers import Numbers
from vault.screens.scale.parts import FormDialog
from vault.screens.scale.room import ScaleRoom
from vault.screens.widgets.cards import Note
from vault.screens.widgets.fields import TROUBLE, Captioned, Field, Saying
from vault.screens.widgets.labels import label

_HOW = (
    "Put something on the scale, wait until its display stands still, take the line, and type what "
    "the display shows, with its unit."
)
_MOST_SHOWN = 5


class TeachDialog(FormDialog):
    """Makes a pattern from one example, proves it on the lines that came, and hands it over.

    Signals:
        taught: the `Profile` that the reader agreed to.
    """

    taught = Signal(object)

    def __init__(self, room: ScaleRoom, parent: QWidget | None = None) -> None:
        super().__init__("Teach the program this scale's line", parent)
        self._room = room
        self._profile: Profile | None = None
        self._number_at: int | None = None
        self._refused: set[tuple[int, str]] = set()
        self.line = Field("line as the scale sends it", "paste a line, or take the newest")
        self.shows = Field("what the display showed", "123.45 g")
        self.take_button = QPushButton("Take the newest line")
        self.saying = Saying()
        self.outcome = Note()
        self.buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Cancel)
        self.try_button = QPushButton("Try it")
        self.use_button = QPushButton("Read it so")
        self._lay_out()
        self.take_button.clicked.connect(self._on_take_clicked)
        self.try_button.clicked.connect(self.try_it)
        self.use_button.clicked.connect(self._on_use_clicked)
        self.buttons.rejected.connect(self.reject)
        for field in (self.line, self.shows):
            field.edited.connect(self._forget)
        self.line.taken.connect(self.shows.setFocus)
        self.shows.taken.connect(self.try_it)
        self._on_take_clicked()

    def try_it(self) -> None:
        """Make the pattern, or ask what is not clear."""
        self._number_at = None
        self._teach()

    def _lay_out(self) -> None:
        self.use_button.setProperty("kind", "first")
        for button in (self.take_button, self.try_button, self.use_button):
            button.setAutoDefault(True)
        role = QDialogButtonBox.ButtonRole.ActionRole
        self.buttons.addButton(self.try_button, role)
        self.buttons.addButton(self.use_button, role)
        column = QVBoxLayout(self)
        column.setContentsMargins(20, 16, 20, 16)
        column.setSpacing(10)
        column.addWidget(label(_HOW, wrap=True))
        column.addWidget(Captioned("The line", self.line))
        column.addWidget(self.take_button, 0, Qt.AlignmentFlag.AlignLeft)
        column.addWidget(Captioned("The display showed", self.shows))
        column.addWidget(self.saying)
        column.addWidget(self.outcome)
        column.addStretch(1)
        column.addWidget(self.buttons)
        self.outcome.hide()
        self.use_button.setEnabled(False)
        self.resize(560, 420)

    def _on_take_clicked(self) -> None:
        lines = self._room.desk.lines()
        if lines:
            self.line.write(lines[-1].strip())
            self._forget()
        elif not self.line.text:
            self.saying.say("No line has come yet; see whether the scale is on, or paste one.")
        self.shows.setFocus()

    def _teach(self, flag_at: int | None = -1) -> None:
        try:
            made = teach(
                self.line.text, self.shows.text, number_at=self._number_at, flag_at=flag_at
            )
        except TextNotUnderstood as error:
            self._forget()
            self.saying.say(str(error), TROUBLE)
            return
        if isinstance(made, Question):
            self._ask(made)
        else:
            self._show(made)

    def _ask(self, question: Question) -> None:
        self.saying.ask(
            question.words,
            [(words, partial(self._answer, question.about, at)) for at, words in question.options],
        )

    def _answer(self, about: str, at: int | None) -> None:
        if about == "number":
            self._number_at = at
            self._teach()
        else:
            self._teach(at)

    def _show(self, profile: Profile) -> None:
        self._profile = profile
        lines = list(dict.fromkeys([self.line.text, *reversed(self._room.desk.lines())]))
        proof = prove(profile, lines)
        self.saying.say("")
        self._ask_of_other_words(profile, lines)
        told = [profile.in_words(), "", *_proof_in_words(proof, self._room.style.numbers)]
        self.outcome.words.setText("\n".join(told))
        self.outcome.show()
        self.use_button.setEnabled(True)
        self.use_button.setFocus()

    def _ask_of_other_words(self, profile: Profile, lines: Sequence[str]) -> None:
        """Ask of a word that stood in a captured line where another was taught."""
        found = (profile.other_word(line) for line in lines)
        other = next((one for one in found if one is not None and one not in self._refused), None)
        if other is None:
            return
        at, word = other
        taught = profile.pieces[at][1]
        self.saying.ask(
            f"In other lines “{word}” stood where “{taught}” stands in yours. What do they show?",
            [
                ("the weight as well", partial(self._accept_word, profile, at, word)),
                ("something else", partial(self._refuse_word, profile, at, word)),
            ],
        )

    def _accept_word(self, profile: Profile, at: int, word: str) -> None:
        self._show(profile.accepting(at, word))

    def _refuse_word(self, profile: Profile, at: int, word: str) -> None:
        self._refused.add((at, word))
        self._show(profile)

    def _forget(self) -> None:
        self._profile = None
        self._refused.clear()
        self.saying.say("")
        self.outcome.hide()
        self.use_button.setEnabled(False)

    def _on_use_clicked(self) -> None:
        if self._profile is not None:
            self.taught.emit(self._profile)
            self.accept()


def _proof_in_words(proof: Proof, numbers: Numbers) -> list[str]:
    told = [
        f"{' '.join(line.split())}  →  {_reading(one, numbers)}" for line, one in proof.readings
    ]
    refused = [f"{one.line}  →  not read: {one.reason}" for one in proof.refused]
    return [*told[:_MOST_SHOWN], *refused[:_MOST_SHOWN]]


def _reading(reading: Reading, numbers: Numbers) -> str:
    if reading.mass is None:
        return reading.kind.value
    weight = f"{numbers.plain(reading.said)} {reading.unit}"
    steady = {True: ", steady", False: ", not steady", None: ""}[reading.steady]
    return f"{'tare ' if reading.kind is Kind.TARE else ''}{weight}{steady}"
