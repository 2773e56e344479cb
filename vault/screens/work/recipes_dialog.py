"""The shop's flux recipes: seen, changed, added and taken away."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QDialog,
    QHBoxLayout,
    QListWidget,
    QPlainTextEdit,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from vault.application.recipes import (
    Recipe,
    RecipeRefused,
    recipe_from_text,
    refuse_a_name_twice,
    text_of,
)
from vault.core.daybook import Process
from vault.screens.look import Size
from vault.screens.widgets.choices import Choice
from vault.screens.widgets.fields import Captioned, Field
from vault.screens.widgets.labels import label
from vault.screens.work.processes import WAYS

_WORDS = (
    "Each line is a thing and how many grams of it go in with 100 g of charge, such as “borax 20”. "
    "The proportions here are your shop's own; the program only scales them."
)
_CAUTION = "Fluxes are dusty, and silica dust harms the lungs: wear a mask, weigh them gently."


class RecipesDialog(QDialog):
    """Edits the recipes; nothing is kept before “Keep them”.

    Signals:
        kept: the recipes as they are to be kept.
    """

    kept = Signal(object)

    def __init__(self, recipes: Sequence[Recipe], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.setWindowTitle("Flux recipes")
        self.resize(720, 520)
        self._recipes = list(recipes)
        self._at = -1
        self.names = QListWidget()
        self.names.setAccessibleName("recipes")
        self.name = Field("name of the recipe", "flux for sweeps")
        self.process = Choice(
            "offered in", [(way.process, way.process.value) for way in WAYS if way.is_hot]
        )
        self.parts = QPlainTextEdit()
        self.parts.setAccessibleName("things and grams for 100 g of charge")
        self.parts.setTabChangesFocus(True)
        self.trouble = label(kind="attention", wrap=True)
        self.add_button = QPushButton("New recipe")
        self.remove_button = QPushButton("Take it away")
        self.keep_button = QPushButton("Keep them")
        self.keep_button.setProperty("kind", "first")
        self._lay_out()
        self._connect()
        self._show_names(0)

    def _lay_out(self) -> None:
        left = QVBoxLayout()
        left.addWidget(self.names, 1)
        left.addWidget(self.add_button)
        left.addWidget(self.remove_button)
        right = QVBoxLayout()
        right.setSpacing(8)
        right.addWidget(Captioned("name", self.name))
        right.addWidget(Captioned("offered in", self.process))
        right.addWidget(label("for 100 g of charge", size=Size.SECOND, kind="soft"))
        right.addWidget(self.parts, 1)
        right.addWidget(self.trouble)
        both = QHBoxLayout()
        both.setSpacing(14)
        both.addLayout(left, 2)
        both.addLayout(right, 3)
        leave = QPushButton("Leave them as they were")
        leave.clicked.connect(self.reject)
        foot = QHBoxLayout()
        foot.addStretch(1)
        foot.addWidget(leave)
        foot.addWidget(self.keep_button)
        column = QVBoxLayout(self)
        column.setContentsMargins(20, 16, 20, 16)
        column.setSpacing(10)
        column.addWidget(label(_WORDS, wrap=True))
        column.addWidget(label(_CAUTION, size=Size.SECOND, kind="soft", wrap=True))
        column.addLayout(both, 1)
        column.addLayout(foot)

    def _connect(self) -> None:
        self.names.currentRowChanged.connect(self._on_row_changed)
        self.add_button.clicked.connect(self._on_add_clicked)
        self.remove_button.clicked.connect(self._on_remove_clicked)
        self.keep_button.clicked.connect(self._on_keep_clicked)

    def _show_names(self, at: int) -> None:
        self._at = -1
        self.names.clear()
        self.names.addItems([f"{one.name}  ({one.process.value})" for one in self._recipes])
        self.names.setCurrentRow(min(at, len(self._recipes) - 1))
        if not self._recipes:
            self._show(-1)

    def _show(self, at: int) -> None:
        self._at = at
        recipe = self._recipes[at] if 0 <= at < len(self._recipes) else None
        self.name.write(recipe.name if recipe else "")
        self.parts.setPlainText(text_of(recipe) if recipe else "")
        self.process.choose(recipe.process if recipe else Process.SMELT)
        self.trouble.setText("")

    def _take(self) -> bool:
        """Take what is written into the list; tells whether it could be understood."""
        text, name = self.parts.toPlainText(), self.name.text
        if self._at < 0 and not (text.strip() or name):
            return True
        try:
            recipe = recipe_from_text(name, Process(self.process.value), text)
            refuse_a_name_twice([*self._others(), recipe])
        except RecipeRefused as refused:
            self.trouble.setText(str(refused))
            return False
        if self._at < 0:
            self._recipes.append(recipe)
            self._at = len(self._recipes) - 1
        else:
            self._recipes[self._at] = recipe
        self.trouble.setText("")
        return True

    def _others(self) -> list[Recipe]:
        return [one for place, one in enumerate(self._recipes) if place != self._at]

    def _on_row_changed(self, at: int) -> None:
        if at == self._at or at < 0:
            return
        before = self._at
        if before >= 0 and not self._take():
            self.names.blockSignals(True)  # noqa: FBT003  Qt knows no keywords here
            self.names.setCurrentRow(before)
            self.names.blockSignals(False)  # noqa: FBT003  Qt knows no keywords here
            return
        self._show(at)

    def _on_add_clicked(self) -> None:
        if self._take():
            self._show_names(self._at)
            self.names.clearSelection()
            self._show(-1)
            self.name.line.setFocus()

    def _on_remove_clicked(self) -> None:
        if 0 <= self._at < len(self._recipes):
            at = self._at
            del self._recipes[at]
            self._show_names(at)
        else:
            self._show_names(0)

    def _on_keep_clicked(self) -> None:
        if self._take():
            self.kept.emit(tuple(self._recipes))
            self.accept()
