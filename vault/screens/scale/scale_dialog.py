"""One scale: its port, how its lines are read (tried live), and what stands on its plate."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QCheckBox,
    QDialogButtonBox,
    QFrame,
    QGridLayout,
    QHBoxLayout,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)
from typing_extensions import override

from vault.bench.scale_port import BAUDS, FRAMINGS
from vault.bench.scale_profiles import Profile
from vault.bench.scales import SIMULATED, Scale, insist_on_sense
from vault.core.errors import VaultError
from vault.core.masses import MICROGRAMS_PER_UNIT
from vault.core.scale_limits import CLASSES
from vault.screens.house_style import HouseStyle
from vault.screens.look import Size
from vault.screens.scale.parts import BigChoice, FormDialog, PlateField
from vault.screens.scale.room import ScaleRoom
from vault.screens.scale.teach_dialog import TeachDialog
from vault.screens.scale.words import state_in_words, weight_as_shown
from vault.screens.widgets.cards import Card
from vault.screens.widgets.fields import Captioned, Field
from vault.screens.widgets.labels import ElidedLabel, label

_FRAMING_WORDS = {
    "8N1": "8 bits, no parity",
    "7E1": "7 bits, even parity",
    "7O1": "7 bits, odd parity",
    "7N2": "7 bits, no parity, 2 stop",
    "8E1": "8 bits, even parity",
    "8O1": "8 bits, odd parity",
    "8N2": "8 bits, no parity, 2 stop",
}
_TYPED = ""
_UNIT_WORDS = {"gr": "grain"}
_KNOWN_SHAPES = "Common shapes of line are read without teaching."
_PLATE = (
    "The ± of each weight follows from the step and, where the scale has a class, from the limits "
    "of OIML R 76 for scales in service, unless you know better."
)


class PortGroup(QWidget):
    """What the scale is called and how it is reached.

    Signals:
        changed: the scale is reached otherwise now.
    """

    changed = Signal()

    def __init__(self, scale: Scale, room: ScaleRoom) -> None:
        super().__init__()
        self.name = Field("name of the scale", "bench")
        self.name.write(scale.name)
        offered = [(one.device, one.words) for one in room.questions.ports()]
        offered.append((SIMULATED, "the simulated scale, to try it out"))
        offered.append((_TYPED, "another one, typed below"))
        self.port = BigChoice("port", offered, scale.device or offered[0][0])
        self.other_port = Field("name of the port", "such as COM3 or /dev/ttyUSB0")
        self.other_port.hide()
        speeds = [(str(one), f"{one} baud") for one in BAUDS]
        self.speed = BigChoice("speed", speeds, str(scale.baud))
        framings = [(one, _FRAMING_WORDS[one]) for one in FRAMINGS]
        self.framing = BigChoice("framing", framings, scale.framing)
        units = [(one, _UNIT_WORDS.get(one, one)) for one in MICROGRAMS_PER_UNIT]
        self.unit = BigChoice("unit where lines name none", units, scale.unit)
        self.ask_with = Field("what the scale must be asked with", "nothing: it sends by itself")
        self.ask_with.write(scale.ask_with)
        self.on_print = QCheckBox("It sends only when its print key is pressed")
        self.on_print.setChecked(scale.sends_on_print)
        self.by_itself = QCheckBox("Take each new steady weight without a key")
        self.by_itself.setChecked(scale.takes_itself)
        self._lay_out()
        self._connect()

    def put_into(self, scale: Scale) -> Scale:
        """Give the scale with what is set here."""
        return replace(
            scale,
            name=self.name.text,
            device=self.other_port.text if self.port.word == _TYPED else self.port.word,
            baud=int(self.speed.word),
            framing=self.framing.word,
            unit=self.unit.word,
            ask_with=self.ask_with.text,
            sends_on_print=self.on_print.isChecked(),
            takes_itself=self.by_itself.isChecked(),
        )

    def _lay_out(self) -> None:
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(12)
        grid.addWidget(Captioned("Name", self.name), 0, 0)
        grid.addWidget(Captioned("Port", self.port), 0, 1)
        grid.addWidget(self.other_port, 1, 1)
        grid.addWidget(Captioned("Speed", self.speed), 2, 0)
        grid.addWidget(Captioned("Framing", self.framing), 2, 1)
        grid.addWidget(Captioned("Unit where a line names none", self.unit), 3, 0)
        grid.addWidget(Captioned("Ask for the weight with", self.ask_with), 3, 1)
        grid.addWidget(self.on_print, 4, 0, 1, 2)
        grid.addWidget(self.by_itself, 5, 0, 1, 2)
        grid.setColumnStretch(0, 1)
        grid.setColumnStretch(1, 1)

    def _connect(self) -> None:
        for chooser in (self.port, self.speed, self.framing, self.unit):
            chooser.chosen.connect(self._on_changed)
        self.other_port.line.editingFinished.connect(self._on_changed)
        self.ask_with.line.editingFinished.connect(self._on_changed)
        self.on_print.toggled.connect(self._on_changed)

    def _on_changed(self) -> None:
        self.other_port.setVisible(self.port.word == _TYPED)
        self.changed.emit()


class PlateGroup(QWidget):
    """What stands on the scale's plate, and its ±."""

    def __init__(self, scale: Scale, style: HouseStyle) -> None:
        super().__init__()
        self.step = PlateField("step of the display", "such as 0.01 g", style, scale.step)
        self.interval = PlateField("interval e", "as on the plate", style, scale.interval)
        self.maximum = PlateField("most that it weighs", "Max on the plate", style, scale.maximum)
        self.u = PlateField("± of its weights", "follows from the rest", style, scale.u)
        classes = [("", "none"), *((one, f"class {one}") for one in CLASSES)]
        self.accuracy_class = BigChoice("class", classes, scale.accuracy_class)
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(12)
        grid.addWidget(Captioned("Step of the display (d)", self.step), 0, 0)
        grid.addWidget(Captioned("Verification interval (e)", self.interval), 0, 1)
        grid.addWidget(Captioned("Class (OIML R 76)", self.accuracy_class), 1, 0)
        grid.addWidget(Captioned("Most that it weighs (Max)", self.maximum), 1, 1)
        grid.addWidget(Captioned("± of a weight, if you know it", self.u), 2, 0)
        grid.addWidget(label(_PLATE, size=Size.SECOND, kind="soft", wrap=True), 2, 1)
        grid.setColumnStretch(0, 1)
        grid.setColumnStretch(1, 1)

    @property
    def fields(self) -> tuple[PlateField, ...]:
        """Every field for a weight."""
        return (self.step, self.interval, self.maximum, self.u)

    def put_into(self, scale: Scale) -> Scale:
        """Give the scale with what is set here."""
        return replace(
            scale,
            step=self.step.mass(),
            interval=self.interval.mass(),
            maximum=self.maximum.mass(),
            u=self.u.mass(),
            accuracy_class=self.accuracy_class.word,
        )


class TrialCard(Card):
    """What the scale sends just now, and what is made of it.

    Signals:
        teaching_wanted: the reader wants to teach the program its line.
        forgetting_wanted: the taught pattern is to go.
    """

    teaching_wanted = Signal()
    forgetting_wanted = Signal()

    def __init__(self, room: ScaleRoom) -> None:
        super().__init__()
        self._room = room
        self.line = ElidedLabel(kind="soft")
        self.found = label(size=Size.TITLE, bold=True, wrap=True)
        self.pattern = label(_KNOWN_SHAPES, size=Size.SECOND, kind="soft", wrap=True)
        self.teach_button = QPushButton("Teach it this line …")
        self.forget_button = QPushButton("Forget what was taught")
        self.teach_button.clicked.connect(self.teaching_wanted)
        self.forget_button.clicked.connect(self.forgetting_wanted)
        row = QHBoxLayout()
        row.addWidget(self.teach_button)
        row.addWidget(self.forget_button)
        row.addStretch(1)
        for part in (self.found, self.line, self.pattern):
            self.column.addWidget(part)
        self.column.addLayout(row)
        room.desk.live_changed.connect(self._on_live_changed)
        self._on_live_changed()

    def show_pattern(self, profile: Profile | None) -> None:
        """Show what was taught."""
        self.pattern.setText(_KNOWN_SHAPES if profile is None else profile.in_words())
        self.forget_button.setVisible(profile is not None)

    def _on_live_changed(self) -> None:
        live = self._room.desk.live
        shown = weight_as_shown(live, self._room.style.numbers)
        words, _ = state_in_words(live)
        self.line.setText(f"It sends: {live.line}" if live.line else "Nothing has come yet.")
        told = f"{shown}, {words}" if shown else words[:1].upper() + words[1:]
        self.found.setText(f"{told}. {live.reason}" if live.reason else told)


class ScaleDialog(FormDialog):
    """Sets up one scale; while it is open, the scale is listened to as it is set here."""

    def __init__(
        self, room: ScaleRoom, scale: Scale, *, was: str, parent: QWidget | None = None
    ) -> None:
        """Build the dialog; `was` is the name under which it is kept, empty for a new one."""
        super().__init__(f"Scale {was}" if was else "A new scale", parent)
        self._room = room
        self._scale = scale
        self._was = was
        self.port = PortGroup(scale, room)
        self.plate = PlateGroup(scale, room.style)
        self.trial = TrialCard(room)
        self.trouble = label(kind="attention", wrap=True)
        self.buttons = QDialogButtonBox(
            QDialogButtonBox.StandardButton.Save | QDialogButtonBox.StandardButton.Cancel
        )
        self._lay_out()
        self.buttons.accepted.connect(self._on_saved)
        self.buttons.rejected.connect(self.reject)
        self.port.changed.connect(self._listen)
        self.trial.teaching_wanted.connect(self._on_teaching_wanted)
        self.trial.forgetting_wanted.connect(self._on_forgotten)
        self.trial.show_pattern(scale.profile)
        self._listen()

    def _lay_out(self) -> None:
        inside = QWidget()
        column = QVBoxLayout(inside)
        column.setContentsMargins(0, 0, 8, 0)
        column.setSpacing(12)
        for part in (self.port, self.trial, self.plate):
            column.addWidget(part)
        column.addStretch(1)
        area = QScrollArea()
        area.setWidgetResizable(True)
        area.setFrameShape(QFrame.Shape.NoFrame)
        area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        area.setWidget(inside)
        outer = QVBoxLayout(self)
        outer.setContentsMargins(20, 16, 20, 16)
        outer.setSpacing(10)
        outer.addWidget(area, 1)
        outer.addWidget(self.trouble)
        outer.addWidget(self.buttons)
        self.trouble.hide()
        room = self.screen().availableGeometry()
        self.resize(min(720, room.width() - 40), min(760, room.height() - 60))

    def _as_set(self) -> Scale:
        return self.plate.put_into(self.port.put_into(self._scale))

    def _listen(self) -> None:
        """Listen as it is set now, so that every change can be seen at once."""
        self._room.try_out(self.port.put_into(self._scale))

    def _on_teaching_wanted(self) -> None:
        dialog = TeachDialog(self._room, self)
        dialog.taught.connect(self._on_taught)
        dialog.open()

    def _on_taught(self, profile: Profile) -> None:
        self._scale = replace(self._scale, profile=profile)
        self.trial.show_pattern(profile)
        self._listen()

    def _on_forgotten(self) -> None:
        self._scale = replace(self._scale, profile=None)
        self.trial.show_pattern(None)
        self._listen()

    def _on_saved(self) -> None:
        wrong = next((one for one in self.plate.fields if one.trouble()), None)
        if wrong is not None:
            wrong.look()
            wrong.setFocus()
            return
        scale = self._as_set()
        try:
            insist_on_sense(scale)
        except VaultError as error:
            self._say(error)
            return
        self._room.change(
            lambda book: self._room.questions.keep(book, scale, self._was), self.accept, self._say
        )

    def _say(self, error: BaseException) -> None:
        self.trouble.setText(str(error))
        self.trouble.show()

    @override
    def done(self, result: int) -> None:
        # Whatever was tried here, the scale in use is listened to again.
        self._room.try_out(None)
        super().done(result)
