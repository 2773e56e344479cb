"""The chosen container: what it holds, and what could be done with it, side by side."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QVBoxLayout, QWidget

from vault.application.queries.answers.residues import Container
from vault.core.metals import ALL_SYMBOLS
from vault.screens.house_style import HouseStyle
from vault.screens.look import Size
from vault.screens.numbers import day
from vault.screens.residues.columns import not_known_words, place_of, weight_words
from vault.screens.send_out.parts import ChoicePart
from vault.screens.widgets.cards import Card
from vault.screens.widgets.labels import ElidedLabel, label
from vault.screens.widgets.marks import Mark
from vault.screens.widgets.seals import seal_words
from vault.screens.words import forms, sentence_of
from vault.screens.words import items as items_words


class ContainerCard(Card):
    """Shows one `Container` and the answer to whether it is worth sending out."""

    def __init__(self, style: HouseStyle, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._style = style
        self._container: Container | None = None
        self.heading = ElidedLabel(size=Size.TITLE, bold=True)
        self.what = ElidedLabel(size=Size.SECOND, kind="soft")
        self._inside = QWidget()
        self.choice = ChoicePart(style)
        for part in (self.heading, self.what, self._inside, self.choice):
            self.column.addWidget(part)
        self.column.addStretch(1)
        self.show_container(None)

    @property
    def container(self) -> Container | None:
        """What is shown."""
        return self._container

    def show_container(self, container: Container | None) -> None:
        """Show a container, or that none is chosen; its choice is still to come."""
        self._container = container
        self.choice.show_choice(None)
        if container is None:
            self.heading.setText("No container is chosen")
            self.what.setText("Choose one above to see what it holds.")
            self._put(QWidget())
            return
        self.heading.setText(f"{place_of(container)}: {forms(container.form)}")
        self.what.setText(self._words(container))
        self.choice.wait()
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
        column.setContentsMargins(0, 4, 0, 4)
        column.setSpacing(4)
        column.addLayout(self._contents(container))
        not_known = not_known_words(container, self._style.numbers)
        if not_known:
            column.addWidget(label(not_known, size=Size.SECOND, wrap=True))
        if container.seal is not None:
            told = seal_words(container.seal, of=container.place)
            column.addWidget(label(told, size=Size.SECOND, wrap=True))
        return inside

    def _contents(self, container: Container) -> QHBoxLayout:
        row = QHBoxLayout()
        row.setSpacing(18)
        for metal in (one for one in ALL_SYMBOLS if one in container.contents):
            figure = container.contents[metal]
            told = f"{metal} {self._style.numbers.figure_with_unit(figure)}"
            pair = QGridLayout()
            pair.setHorizontalSpacing(6)
            pair.addWidget(Mark(self._style, figure.how), 0, 0)
            pair.addWidget(label(told, bold=True), 0, 1)
            row.addLayout(pair)
        row.addStretch(1)
        return row

    def _put(self, inside: QWidget) -> None:
        self.column.replaceWidget(self._inside, inside, Qt.FindChildOption.FindDirectChildrenOnly)
        self._inside.deleteLater()
        self._inside.hide()
        self._inside = inside
        inside.show()
