"""A window that holds one screen alone, and what a hand does with it."""

from __future__ import annotations

from typing import TypeVar

from PySide6.QtCore import QEvent, QModelIndex, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QApplication, QLabel, QLineEdit, QMainWindow, QPushButton, QWidget
from pytestqt.qtbot import QtBot

from vault.screens.commands import Commands
from vault.screens.screen import Screen
from vault.screens.widgets.choices import Choice
from vault.screens.widgets.table import Table

S = TypeVar("S", bound=Screen)


class Holder(QMainWindow):
    """Holds a screen; its commands are those of the window."""

    def __init__(self) -> None:
        super().__init__()
        self.commands = Commands(self)

    def show_screen(self, screen: Screen) -> None:
        self.setCentralWidget(screen)
        self.resize(1280, 820)
        self.show()


def texts(widget: QWidget) -> list[str]:
    """Give the words of all labels that a widget shows."""
    return [one.text() for one in widget.findChildren(QLabel) if one.isVisibleTo(widget)]


def press(qtbot: QtBot, widget: QWidget, words: str) -> None:
    """Press the button that carries these words, once it stands there.

    What is laid out while its window is shown becomes visible with the next turn of Qt's loop,
    so a button that an answer has just brought may not be visible at once.
    """

    def found() -> list[QPushButton]:
        return [
            one
            for one in widget.findChildren(QPushButton)
            if one.text().replace("&", "") == words and one.isVisibleTo(widget)
        ]

    def stands_there() -> None:
        assert found(), f"no button “{words}”"

    qtbot.waitUntil(stands_there)
    qtbot.mouseClick(found()[0], Qt.MouseButton.LeftButton)


def pick(choice: Choice, words: str) -> None:
    """Pick from a choice as its menu does."""
    next(action for action in choice.menu().actions() if action.text() == words).trigger()


def click_row(qtbot: QtBot, table: Table, row: int) -> None:
    """Click into the first cell of a row."""
    place = table.visualRect(table.model().index(row, 0)).center()
    qtbot.mouseClick(table.viewport(), Qt.MouseButton.LeftButton, pos=place)


def click_title(qtbot: QtBot, table: Table, title: str) -> None:
    """Click on what stands above a column."""
    header = table.horizontalHeader()
    place = titles(table).index(title)
    x = header.sectionViewportPosition(place) + 10
    middle = header.rect().center()
    middle.setX(x)
    qtbot.mouseClick(header.viewport(), Qt.MouseButton.LeftButton, pos=middle)


def titles(table: Table) -> list[str]:
    """Give what stands above the columns."""
    model = table.model()
    return [
        str(model.headerData(at, Qt.Orientation.Horizontal)) for at in range(model.columnCount())
    ]


def column(table: Table, title: str) -> list[str]:
    """Give all words of a column, from the top."""
    place = titles(table).index(title)
    model = table.model()
    return [str(model.index(row, place).data()) for row in range(model.rowCount(QModelIndex()))]


def write(line: QLineEdit, text: str) -> None:
    """Type a text key by key; unlike Qt's own test keys it knows signs such as ‰ and ±."""
    for sign in text:
        for kind in (QEvent.Type.KeyPress, QEvent.Type.KeyRelease):
            event = QKeyEvent(kind, 0, Qt.KeyboardModifier.NoModifier, sign)
            QApplication.sendEvent(line, event)


def clipboard() -> str:
    """Give what was copied."""
    return QApplication.clipboard().text()
