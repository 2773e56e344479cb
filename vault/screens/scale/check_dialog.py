"""The check of a scale with a test weight: what it should show, what it shows, and the verdict."""

from __future__ import annotations

import uuid

from PySide6.QtWidgets import QDialogButtonBox, QPushButton, QVBoxLayout, QWidget

from vault.bench.scales import Scale
from vault.core.masses import Mass
from vault.screens.look import Size
from vault.screens.numbers import MINUS
from vault.screens.recorder import Recorder
from vault.screens.scale.parts import FormDialog, PlateField
from vault.screens.scale.room import ScaleRoom
from vault.screens.widgets.fields import Captioned
from vault.screens.widgets.labels import label

_HOW = (
    "Empty the scale and press its zero key. Type what the test weight weighs by its certificate, "
    "put it on the middle of the pan, and take what the scale shows. A weight near the heaviest "
    "that you weigh tells most."
)
_GUIDE = (
    "Limits of OIML R 76 for scales in service, as a guide: what binds you is the law of weights "
    "where you work. The test weight's own error is not counted; it should be below a third of the "
    "limit."
)


class CheckScaleDialog(FormDialog):
    """Records what the scale in use shows under a test weight."""

    def __init__(self, room: ScaleRoom, recorder: Recorder, parent: QWidget | None = None) -> None:
        super().__init__("Check the scale", parent)
        self._room = room
        self._recorder = recorder
        # One for each check: pressed twice, it is recorded once.
        self._key = uuid.uuid4().hex
        self.box = room.box()
        self.nominal = PlateField("test weight", "such as 200 g", room.style, None)
        self.shown = room.weight_field("what the scale shows", "take it with Enter")
        self.verdict = label(size=Size.TITLE, bold=True, wrap=True)
        self.trouble = label(kind="attention", wrap=True)
        self.record_button = QPushButton("Record the check")
        self.buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Cancel)
        self._lay_out()
        for field in (self.nominal, self.shown):
            field.edited.connect(self._judge)
        self.nominal.taken.connect(self.shown.setFocus)
        self.shown.taken.connect(self.record_button.setFocus)
        self.record_button.clicked.connect(self._on_record_clicked)
        self.buttons.rejected.connect(self.reject)
        self._judge()

    def _lay_out(self) -> None:
        self.record_button.setProperty("kind", "first")
        self.record_button.setAutoDefault(True)
        self.buttons.addButton(self.record_button, QDialogButtonBox.ButtonRole.ActionRole)
        column = QVBoxLayout(self)
        column.setContentsMargins(20, 16, 20, 16)
        column.setSpacing(10)
        column.addWidget(label(_HOW, wrap=True))
        column.addWidget(self.box)
        column.addWidget(Captioned("The test weight weighs", self.nominal))
        column.addWidget(Captioned("The scale shows", self.shown))
        column.addWidget(self.verdict)
        column.addWidget(self.trouble)
        column.addStretch(1)
        column.addWidget(label(_GUIDE, size=Size.SECOND, kind="soft", wrap=True))
        column.addWidget(self.buttons)
        self.trouble.hide()
        self.resize(540, 560)
        self.nominal.setFocus()

    def _judge(self) -> None:
        scale = self._room.desk.scale
        nominal, shown = self.nominal.mass(), self.shown.mass()
        is_whole = scale is not None and nominal is not None and shown is not None
        self.record_button.setEnabled(is_whole)
        if scale is None or nominal is None or shown is None:
            self._say("", "")
            return
        self._say(*self._verdict(scale, nominal, shown))

    def _verdict(self, scale: Scale, nominal: Mass, shown: Mass) -> tuple[str, str]:
        numbers = self._room.style.numbers
        error = shown - nominal
        sign = MINUS if error.micrograms < 0 else "+"
        off = f"{sign}{numbers.mass(Mass(abs(error.micrograms)))}"
        limit = scale.limit_of(nominal)
        if limit is None:
            told = "Nothing says how far this scale may be off at that load; give its class and"
            return f"Off by {off}. {told} interval, or its ±, under Scales.", ""
        told = f"Off by {off}; it may be off by {numbers.mass(limit)}."
        if abs(error.micrograms) <= limit.micrograms:
            return f"Within its limits. {told}", "fine"
        marked = "what is weighed on it from now on is marked, until a check finds it right."
        return f"Out of its limits. {told} Have it set right; {marked}", "attention"

    def _say(self, words: str, kind: str) -> None:
        self.verdict.setText(words)
        self.verdict.setProperty("kind", kind)
        self.verdict.style().unpolish(self.verdict)
        self.verdict.style().polish(self.verdict)

    def _on_record_clicked(self) -> None:
        scale = self._room.desk.scale
        nominal, shown = self.nominal.mass(), self.shown.mass()
        if scale is None or nominal is None or shown is None:
            return
        self.record_button.setEnabled(False)
        check = self._room.questions.check
        name, key = scale.name, self._key
        self._recorder.record(
            lambda book: check(book, name, nominal, shown, key),
            self._on_recorded,
            self._on_refused,
            "Recording the check …",
        )

    def _on_recorded(self, _changes: object) -> None:
        self._room.look_again()
        self.accept()

    def _on_refused(self, error: BaseException) -> None:
        self.record_button.setEnabled(True)
        self.trouble.setText(str(error))
        self.trouble.show()
