"""The scale on the bench: what it shows, large, and how far it can be trusted."""

from __future__ import annotations

from datetime import date

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QFrame,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from vault.application.queries.answers.scales import CheckVerdict
from vault.bench.scale_watch import Live, ScaleState
from vault.bench.scales import Scale
from vault.screens.house_style import HouseStyle
from vault.screens.look import FIELD_HEIGHT, Size
from vault.screens.numbers import Numbers, day_of_year
from vault.screens.scale.desk import ScaleDesk
from vault.screens.scale.room import ScaleRoom
from vault.screens.scale.words import state_in_words, weight_as_shown
from vault.screens.widgets.labels import ElidedLabel, label

_NO_SCALE = "No scale is set up. Weights are typed, or a scale is set up in the menu."
_NO_FIGURE = "–"


class ScaleBox(QFrame):
    """Shows the scale in use; its button takes the weight for the field that has the focus.

    Signals:
        setting_up_wanted: the reader wants to set up a scale; the window in which this box is.
    """

    setting_up_wanted = Signal(object)

    def __init__(self, desk: ScaleDesk, style: HouseStyle, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("kind", "card")
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Maximum)
        self._desk = desk
        self._style = style
        self._room: ScaleRoom | None = None
        self._check: CheckVerdict | None = None
        self._today: date | None = None
        self._told_of: tuple[str, int] | None = None
        self.name = ElidedLabel(size=Size.BODY, bold=True)
        self.figure = label(_NO_FIGURE, size=Size.LARGE, bold=True)
        self.state = label(size=Size.BODY, bold=True)
        self.trust = label(size=Size.SECOND, kind="soft", wrap=True)
        self.take_button = QPushButton("Take it")
        self.set_up_button = QPushButton("Set up a scale …")
        self._lay_out()
        self.set_up_button.clicked.connect(self._on_set_up_clicked)
        self.take_button.clicked.connect(desk.wish_to_take)
        desk.live_changed.connect(self._on_desk_live_changed)
        desk.chosen.connect(self._on_desk_chosen)
        style.changed.connect(self._show_all)
        self._show_all()

    def follow(self, room: ScaleRoom) -> None:
        """Show what a room knows of the scale in use, now and whenever it changes."""
        self._room = room
        room.known_changed.connect(self.show_known)
        self.show_known()

    def show_known(self) -> None:
        """Show what is known of the scale in use now."""
        if self._room is not None:
            known = self._room.known
            self.show_check(known.check_of(known.in_use), known.today)

    def show_check(self, check: CheckVerdict | None, today: date | None) -> None:
        """Show how the scale in use was last checked; None where it never was."""
        self._check, self._today = check, today
        self._show_trust()

    def _lay_out(self) -> None:
        # A press must leave the focus where it is: in the field that is to have the weight.
        self.take_button.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.take_button.setToolTip("Take the weight for the field that has the focus (F8)")
        self.take_button.setMinimumHeight(FIELD_HEIGHT)
        row = QHBoxLayout()
        row.setSpacing(10)
        row.addWidget(self.figure)
        row.addWidget(self.state, 0, Qt.AlignmentFlag.AlignBottom)
        row.addStretch(1)
        row.addWidget(self.take_button)
        self.state.setContentsMargins(0, 0, 0, 5)
        column = QVBoxLayout(self)
        column.setContentsMargins(14, 10, 14, 10)
        column.setSpacing(2)
        column.addWidget(self.name)
        column.addLayout(row)
        column.addWidget(self.trust)
        column.addWidget(self.set_up_button, 0, Qt.AlignmentFlag.AlignLeft)

    def _show_all(self) -> None:
        scale = self._desk.scale
        for part in (self.figure, self.state, self.take_button):
            part.setVisible(scale is not None)
        self.set_up_button.setVisible(scale is None)
        self.name.setText("Scale on the bench" if scale is None else f"Scale {scale.name}")
        self._on_desk_live_changed(self._desk.live)
        self._show_trust()

    def _on_set_up_clicked(self) -> None:
        self.setting_up_wanted.emit(self.window())

    def _on_desk_chosen(self, _scale: object) -> None:
        self._check = None
        self._show_all()

    def _on_desk_live_changed(self, live: Live) -> None:
        words, kind = state_in_words(live)
        _change(self.figure, weight_as_shown(live, self._style.numbers) or _NO_FIGURE)
        _change(self.state, words, kind)
        is_steady = live.state is ScaleState.STEADY
        if self.take_button.isEnabled() != is_steady:
            self.take_button.setEnabled(is_steady)
        if (live.reason, live.load) != self._told_of:
            self._show_trust()

    def _show_trust(self) -> None:
        scale, live = self._desk.scale, self._desk.live
        self._told_of = (live.reason, live.load)
        if scale is None:
            _change(self.trust, _NO_SCALE, "soft")
        elif live.reason:
            _change(self.trust, live.reason, "attention")
        else:
            is_off = self._check is not None and self._check.is_within is False
            told = trust_in_words(scale, live, self._check, self._style.numbers, self._today)
            _change(self.trust, told, "attention" if is_off else "soft")


def trust_in_words(
    scale: Scale, live: Live, check: CheckVerdict | None, numbers: Numbers, today: date | None
) -> str:
    """Say how a scale reads and was last checked: `reads ± 0.02 g · last checked …`."""
    mass = None if live.reading is None else live.reading.mass
    load = mass if mass is not None and mass.micrograms > 0 else scale.maximum
    u = scale.doubt_of(load) if load is not None else scale.u
    told = []
    if u is not None:
        doubt = numbers.uncut_and_doubt(u.micrograms, u.micrograms)[1]
        if numbers.decimal_mark in doubt:
            doubt = doubt.rstrip("0").rstrip(numbers.decimal_mark)
        told.append(f"reads ± {doubt} {numbers.unit}")
    if check is None:
        told.append("never checked with a test weight")
    else:
        on = day_of_year(check.day, today or check.day)
        weight = f"{numbers.uncut(check.nominal.micrograms, None)} {numbers.unit}"
        off = ", and was out of its limits then" if check.is_within is False else ""
        told.append(f"last checked with a {weight} weight on {on}{off}")
    return " · ".join(told)


def _change(made: QLabel, text: str, kind: str | None = None) -> None:
    """Change a label only where something is new: the scale speaks many times a second."""
    if made.text() != text:
        made.setText(text)
    if kind is not None and made.property("kind") != kind:
        made.setProperty("kind", kind)
        made.style().unpolish(made)
        made.style().polish(made)
