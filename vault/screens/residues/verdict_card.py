"""The verdict on the chosen container: what to do, why, what it hangs on, and the way to do it."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import (
    QGridLayout,
    QMenu,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from vault.application.queries.answers.residues import Container
from vault.application.queries.answers.send_out import SendOut
from vault.screens.commands import Commands
from vault.screens.send_out.parts import VerdictPart
from vault.screens.widgets.cards import Card, Caution
from vault.screens.widgets.empty import button_of

# What is done with a container; the words are shorter than those of the menu.
_SHIP = ("ship", "Make up a shipment")
_MORE = ("shipments", "terms", "prices")
_WITH_PLACE = ("move", "seal")


class VerdictCard(Card):
    """Shows the verdict of a `SendOut`.

    Signals:
        items_wanted: the items of the container are to be shown.
        lines_wanted: every figure is to be shown line by line.
    """

    items_wanted = Signal()
    lines_wanted = Signal()

    def __init__(self, commands: Commands, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.verdict = VerdictPart(commands)
        self._cautions = QVBoxLayout()
        self._cautions.setSpacing(6)
        self.column.addWidget(self.verdict)
        self.column.addLayout(self._cautions)
        self.column.addStretch(1)
        self.lines_button = QPushButton("Why, line by line …")
        self.lines_button.setToolTip("Every reason, and how each figure comes about")
        self.lines_button.clicked.connect(self.lines_wanted)
        self.items_button = QPushButton("See its items")
        self.items_button.setToolTip(
            "The items of this container, in the Safe (Enter in the table)"
        )
        self.items_button.clicked.connect(self.items_wanted)
        name, words = _SHIP
        self.ship_button = button_of(commands[name], words=words)
        self.more = self._more_button(commands)
        self.column.addLayout(self._foot())
        self.show_container(None)

    def show_container(self, container: Container | None) -> None:
        """Show what belongs to a container before anything is known of what to do with it."""
        while (part := self._cautions.takeAt(0)) is not None:
            old = part.widget()
            if old is not None:
                old.hide()
                old.deleteLater()
        for words in () if container is None else container.cautions:
            caution = Caution(words)
            self._cautions.addWidget(caution)
            caution.show()
        for button in (self.items_button, self.ship_button, self.more):
            button.setVisible(container is not None)
        for action in self._with_place:
            action.setVisible(container is not None and bool(container.place))
        self.show_choice(None)

    def show_choice(self, choice: SendOut | None) -> None:
        """Show the verdict; None while it is being worked out."""
        self.verdict.show_choice(choice)
        self.lines_button.setVisible(choice is not None and bool(choice.rows))
        self._stress_shipment(is_on=choice is not None and choice.is_to_be_sent)

    def _stress_shipment(self, *, is_on: bool) -> None:
        """Fill the button where that is what to do; elsewhere it speaks against the verdict."""
        button, kind = self.ship_button, "first" if is_on else ""
        if button.property("kind") != kind:
            button.setProperty("kind", kind)
            button.style().unpolish(button)
            button.style().polish(button)

    def _more_button(self, commands: Commands) -> QPushButton:
        made = QPushButton("More")
        made.setToolTip("What else can be done with it")
        menu = QMenu(made)
        for name in _MORE:
            menu.addAction(commands[name])
        # A stand-in for each: what is hidden here stays in the window's own menu.
        self._with_place = []
        for name in _WITH_PLACE:
            action = menu.addAction(commands[name].text())
            action.triggered.connect(commands[name].trigger)
            self._with_place.append(action)
        made.setMenu(menu)
        return made

    def _foot(self) -> QGridLayout:
        grid = QGridLayout()
        grid.setSpacing(8)
        grid.addWidget(self.ship_button, 0, 0)
        grid.addWidget(self.lines_button, 0, 1)
        grid.addWidget(self.items_button, 1, 0)
        grid.addWidget(self.more, 1, 1)
        return grid
