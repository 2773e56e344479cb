"""The chosen container: what it holds, what to take care of, and the way to its items."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from vault.application.queries.answers.residues import Container
from vault.core.metals import ALL_SYMBOLS
from vault.screens.commands import Commands
from vault.screens.house_style import HouseStyle
from vault.screens.look import Size
from vault.screens.numbers import day
from vault.screens.residues.columns import not_known_words, place_of, weight_words
from vault.screens.widgets.cards import Card, Caution
from vault.screens.widgets.empty import button_of
from vault.screens.widgets.labels import ElidedLabel, label
from vault.screens.widgets.marks import Mark
from vault.screens.widgets.seals import seal_words
from vault.screens.words import forms, sentence_of
from vault.screens.words import items as items_words

_ACROSS = 2
_ACTS = (("move", "Move it …"), ("seal", "Seal …"))


class ContainerCard(Card):
    """Shows one `Container`, or says that none is chosen.

    Signals:
        items_wanted: a `Container` whose items are to be shown.
    """

    items_wanted = Signal(object)

    def __init__(
        self, style: HouseStyle, commands: Commands, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._style = style
        self._container: Container | None = None
        self.heading = ElidedLabel(size=Size.TITLE, bold=True)
        self.what = ElidedLabel(size=Size.SECOND, kind="soft")
        self.button = QPushButton("See its items in the Safe")
        self.button.setToolTip("The items of this container, in the Safe (Enter in the table)")
        self.button.clicked.connect(self._on_button_clicked)
        self._inside = QWidget()
        foot = QHBoxLayout()
        foot.setSpacing(8)
        foot.addWidget(self.button)
        self._acts = [button_of(commands[name], words=words) for name, words in _ACTS]
        for button in self._acts:
            foot.addWidget(button)
        foot.addStretch(1)
        self.column.addWidget(self.heading)
        self.column.addWidget(self.what)
        self.column.addWidget(self._inside)
        self.column.addLayout(foot)
        self.column.addStretch(1)
        self.show_container(None)

    @property
    def container(self) -> Container | None:
        """What is shown."""
        return self._container

    def show_container(self, container: Container | None) -> None:
        """Show a container, or that none is chosen."""
        self._container = container
        self.button.setVisible(container is not None)
        for button in self._acts:
            button.setVisible(container is not None and bool(container.place))
        if container is None:
            self.heading.setText("No container is chosen")
            self.what.setText("Choose one above to see what it holds.")
            self._put(QWidget())
            return
        self.heading.setText(f"{place_of(container)}: {forms(container.form)}")
        self.what.setText(self._words(container))
        self._put(self._parts(container))

    def _words(self, container: Container) -> str:
        numbers = self._style.numbers
        told = [
            items_words(container.items, numbers.count(container.items)),
            weight_words(container, numbers),
            f"oldest from {day(container.oldest)}",
        ]
        if container.owners:
            told.append(sentence_of(list(container.owners)))
        return " · ".join(told)

    def _parts(self, container: Container) -> QWidget:
        inside = QWidget()
        column = QVBoxLayout(inside)
        column.setContentsMargins(0, 6, 0, 6)
        column.setSpacing(6)
        column.addLayout(self._contents(container))
        not_known = not_known_words(container, self._style.numbers)
        if not_known:
            column.addWidget(label(not_known, size=Size.SECOND, wrap=True))
        if container.seal is not None:
            told = seal_words(container.seal, of=container.place)
            column.addWidget(label(told, size=Size.SECOND, wrap=True))
        for words in container.cautions:
            column.addWidget(Caution(words))
        return inside

    def _contents(self, container: Container) -> QGridLayout:
        grid = QGridLayout()
        grid.setHorizontalSpacing(6)
        grid.setVerticalSpacing(2)
        held = [metal for metal in ALL_SYMBOLS if metal in container.contents]
        for place, metal in enumerate(held):
            row, at = divmod(place, _ACROSS)
            figure = container.contents[metal]
            told = f"{metal} {self._style.numbers.figure_with_unit(figure)}"
            grid.addWidget(Mark(self._style, figure.how), row, 3 * at)
            grid.addWidget(label(told, bold=True), row, 3 * at + 1)
            grid.setColumnMinimumWidth(3 * at + 2, 18)
        grid.setColumnStretch(3 * _ACROSS, 1)
        return grid

    def _put(self, inside: QWidget) -> None:
        self.column.replaceWidget(self._inside, inside, Qt.FindChildOption.FindDirectChildrenOnly)
        self._inside.deleteLater()
        self._inside.hide()
        self._inside = inside
        inside.show()

    def _on_button_clicked(self) -> None:
        self.items_wanted.emit(self._container)
