"""The shop's scales: which there are, which one is in use, and the way to set each up."""

from __future__ import annotations

from PySide6.QtWidgets import QHBoxLayout, QListWidget, QListWidgetItem, QPushButton, QWidget
from typing_extensions import override

from vault.bench.scales import SIMULATED, Scale
from vault.screens.dialogs import ShortDialog
from vault.screens.numbers import day_of_year
from vault.screens.scale.parts import suit_gloves
from vault.screens.scale.room import ScaleRoom
from vault.screens.scale.scale_dialog import ScaleDialog
from vault.screens.widgets.labels import label

_NONE = "No scale is set up yet. Plug one in and add it; its lines are shown as they come."
_SOME = "The scale in use fills the field that has the focus, once its weight is steady."


class ScalesDialog(ShortDialog):
    """Lists the scales; what is pressed is done to the chosen one."""

    def __init__(self, room: ScaleRoom, parent: QWidget | None = None) -> None:
        super().__init__("Scales", parent)
        self._room = room
        self.words = label(wrap=True, kind="soft")
        self.list = QListWidget()
        self.list.setAccessibleName("Scales of the shop")
        self.add_button = QPushButton("Add a scale …")
        self.change_button = QPushButton("Change …")
        self.use_button = QPushButton("Use this one")
        self.forget_button = QPushButton("Forget it")
        row = QHBoxLayout()
        for button in (self.add_button, self.change_button, self.use_button, self.forget_button):
            row.addWidget(button)
        self.column.addWidget(self.words)
        self.column.addWidget(self.list, 1)
        self.column.addLayout(row)
        self.add_button.clicked.connect(self._on_add_clicked)
        self.change_button.clicked.connect(self._on_change_clicked)
        self.use_button.clicked.connect(self._on_use_clicked)
        self.forget_button.clicked.connect(self._on_forget_clicked)
        self.list.itemActivated.connect(self._on_change_clicked)
        self.list.currentRowChanged.connect(self._show_what_can_be_done)
        room.known_changed.connect(self._show_known)
        self._show_known()
        self.resize(560, 340)

    @property
    def chosen(self) -> Scale | None:
        """The chosen scale, or None."""
        row = self.list.currentRow()
        known = self._room.known.scales
        return known[row] if 0 <= row < len(known) else None

    def _show_known(self) -> None:
        known = self._room.known
        row = max(0, self.list.currentRow())
        self.list.clear()
        for scale in known.scales:
            self.list.addItem(QListWidgetItem(self._words_of(scale)))
        self.list.setCurrentRow(min(row, len(known.scales) - 1))
        self.list.setVisible(bool(known.scales))
        self.words.setText(_SOME if known.scales else _NONE)
        self._show_what_can_be_done()

    def _words_of(self, scale: Scale) -> str:
        known = self._room.known
        told = [scale.name, "simulated" if scale.device == SIMULATED else scale.device]
        check = known.check_of(scale)
        if check is None:
            told.append("never checked")
        else:
            off = " and was out of its limits" if check.is_within is False else ""
            told.append(f"checked {day_of_year(check.day, known.today or check.day)}{off}")
        if known.in_use is not None and known.in_use.name == scale.name:
            told.append("in use")
        return " · ".join(told)

    def _show_what_can_be_done(self) -> None:
        chosen, in_use = self.chosen, self._room.known.in_use
        self.change_button.setEnabled(chosen is not None)
        self.forget_button.setEnabled(chosen is not None)
        self.use_button.setEnabled(
            chosen is not None and (in_use is None or chosen.name != in_use.name)
        )

    @override
    def setVisible(self, visible: bool) -> None:
        suit_gloves(self)
        super().setVisible(visible)

    def _on_add_clicked(self) -> None:
        ScaleDialog(self._room, Scale(name="", device=""), was="", parent=self).open()

    def _on_change_clicked(self) -> None:
        chosen = self.chosen
        if chosen is not None:
            ScaleDialog(self._room, chosen, was=chosen.name, parent=self).open()

    def _on_use_clicked(self) -> None:
        chosen = self.chosen
        if chosen is not None:
            use = self._room.questions.use
            self._room.change(lambda book: use(book, chosen.name), _nothing, self._say)

    def _on_forget_clicked(self) -> None:
        chosen = self.chosen
        if chosen is not None:
            forget = self._room.questions.forget
            self._room.change(lambda book: forget(book, chosen.name), _nothing, self._say)

    def _say(self, error: BaseException) -> None:
        self.words.setText(str(error))


def _nothing() -> None:
    pass
