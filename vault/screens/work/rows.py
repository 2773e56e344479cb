"""A line of the form: a name, words, a weight, and what is said of it; more of it unfolds."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import (
    QFrame,
    QGridLayout,
    QHBoxLayout,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from vault.application.queries.answers.work import Gravity, WorkFinding
from vault.core.masses import grams_from_text
from vault.screens.look import FIELD_HEIGHT, Size, face
from vault.screens.widgets.fields import HINT, TROUBLE, Saying
from vault.screens.widgets.labels import ElidedLabel, label, line
from vault.screens.widgets.weight_field import WeightField
from vault.screens.work.sheet import WeightSheet

NAME_WIDTH = 76
WEIGHT_WIDTH = 132
UNFOLD_KEY = "F2"
REMOVE_KEY = "Ctrl+Delete"


# Gives a field for weights with this name and this hint.
WeightFactory = Callable[[str, str], WeightField]


class Row(QFrame):
    """One line of the form.

    Signals:
        changed: anything of it was changed by the reader.
        taken: its weight was ended with Enter; the hand goes on to the next line.
        removed: the reader takes it out.
    """

    changed = Signal()
    taken = Signal()
    removed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.name = ElidedLabel(bold=True)
        self.name.setFixedSize(NAME_WIDTH, FIELD_HEIGHT)
        self.title = ElidedLabel()
        self.details = label(size=Size.SMALL, kind="soft", wrap=True)
        # A word longer than its place shall not make the form wider than the window.
        self.details.setMinimumWidth(1)
        self.said_of_it = Saying()
        self.unfold_button = _small_button("⋯", "unfold")
        self.unfold_button.setCheckable(True)
        self.unfold_button.toggled.connect(self._on_unfold_button_toggled)
        self.remove_button = _small_button("×", "remove")
        self.remove_button.setFont(face(Size.HEADING))
        self.remove_button.clicked.connect(self.removed)
        self.fold = QWidget()
        self.fold.hide()
        self._lay_out()
        for keys, done in ((UNFOLD_KEY, self.unfold_button.toggle), (REMOVE_KEY, self._remove)):
            shortcut = QShortcut(QKeySequence(keys), self)
            shortcut.setContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
            shortcut.activated.connect(done)

    @property
    def is_unfolded(self) -> bool:
        """Whether the rest of it is shown."""
        return self.unfold_button.isChecked()

    def unfold(self, *, on: bool) -> None:
        """Show the rest of it, or hide it."""
        self.unfold_button.setChecked(on)

    def go_in(self) -> None:
        """Put the hand where this line is filled in first."""
        raise NotImplementedError

    def stops(self) -> list[QWidget]:
        """Give what Tab comes to in this line, in order; what is folded away it passes over."""
        raise NotImplementedError

    def say(self, findings: Sequence[WorkFinding]) -> None:
        """Say under the line what was found about it, the gravest alone in red."""
        if not findings:
            self.said_of_it.say("", HINT)
            return
        told = " ".join(dict.fromkeys(one.sentence for one in findings))
        gravities = {one.gravity for one in findings}
        grave = Gravity.REFUSES in gravities
        self.said_of_it.say(told, TROUBLE if grave else "" if Gravity.WARNS in gravities else HINT)

    def trouble_words(self) -> str:
        """Give what is said under the line; empty where nothing is."""
        return self.said_of_it.text

    def _put(self, weight: QWidget) -> None:
        """Put what it weighs at the right of the line."""
        weight.setFixedWidth(WEIGHT_WIDTH)
        self._head.insertLayout(2, _at_the_top(weight))

    def _put_details_below(self) -> None:
        """Give what is said of it a line of its own, from the words to the right edge."""
        self.column.insertWidget(1, self.details)
        self.details.setContentsMargins(NAME_WIDTH + 4, 0, 0, 4)
        self.column.setSpacing(0)

    def _unfolded(self, *, on: bool) -> None:
        """Do what belongs to unfolding."""

    def _lay_out(self) -> None:
        beside = QWidget()
        # However much is said below the weight, the words stand level with it.
        beside.setMinimumHeight(FIELD_HEIGHT)
        words = QVBoxLayout(beside)
        words.setContentsMargins(0, 4, 0, 4)
        words.setSpacing(1)
        words.addStretch(1)
        words.addWidget(self.title)
        words.addWidget(self.details)
        words.addStretch(1)
        self._head = QHBoxLayout()
        self._head.setSpacing(4)
        self._head.addLayout(_at_the_top(self.name))
        self._head.addLayout(_at_the_top(beside), 1)
        self._head.addWidget(self.unfold_button, 0, Qt.AlignmentFlag.AlignTop)
        self._head.addWidget(self.remove_button, 0, Qt.AlignmentFlag.AlignTop)
        self.column = QVBoxLayout(self)
        self.column.setContentsMargins(0, 4, 0, 0)
        self.column.setSpacing(4)
        self.column.addLayout(self._head)
        self.column.addWidget(self.fold)
        self.column.addWidget(self.said_of_it)
        self.column.addWidget(line())

    def _grid(self) -> QGridLayout:
        grid = QGridLayout(self.fold)
        grid.setContentsMargins(NAME_WIDTH + 4, 0, 0, 4)
        grid.setHorizontalSpacing(8)
        grid.setVerticalSpacing(6)
        return grid

    def _remove(self) -> None:
        self.remove_button.click()

    def _on_unfold_button_toggled(self, on: bool) -> None:  # noqa: FBT001  Qt's own signature
        self.fold.setVisible(on)
        self._unfolded(on=on)


def weight_sheet(weight: WeightField) -> WeightSheet:
    """Give what stands in a field for a weight, so that it can be written into it again."""
    mass, u = weight.mass(), weight.mass_u
    if mass is None or not weight.scale_name:
        return WeightSheet(weight.text)
    told_u = "" if u is None else u.to_text()
    return WeightSheet(weight.text, weight.scale_name, mass.to_text(), told_u)


def fill_weight(weight: WeightField, sheet: WeightSheet) -> None:
    """Write a weight that a draft kept; one from a scale keeps the name of its scale."""
    if sheet.scale and sheet.exact:
        u = grams_from_text(sheet.u) if sheet.u else None
        weight.write_mass(grams_from_text(sheet.exact), sheet.scale, u)
    else:
        weight.write(sheet.text)


def _at_the_top(widget: QWidget) -> QVBoxLayout:
    """Hold a widget at the top of the line, however much is said under its neighbours.

    An alignment would do the same, but takes the width from a label that may be cut.
    """
    column = QVBoxLayout()
    column.addWidget(widget)
    column.addStretch(1)
    return column


def _small_button(sign: str, name: str) -> QToolButton:
    made = QToolButton()
    made.setText(sign)
    made.setProperty("kind", "plain")
    made.setAccessibleName(name)
    # Tab goes from weight to weight; these have keys of their own.
    made.setFocusPolicy(Qt.FocusPolicy.ClickFocus)
    made.setFixedSize(FIELD_HEIGHT - 6, FIELD_HEIGHT)
    return made
