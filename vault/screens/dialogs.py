"""Small dialogs: the cautions, the keys, about, and the faults of a daybook that was refused."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import (
    QAbstractItemView,
    QDialog,
    QDialogButtonBox,
    QGridLayout,
    QHeaderView,
    QScrollArea,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

import vault
from vault.application.resources import resource
from vault.screens.cautions import CAUTIONS
from vault.screens.commands import COMMANDS, MORE_KEYS
from vault.screens.doors import CheckToShow, FaultToShow
from vault.screens.look import Size
from vault.screens.widgets.labels import label
from vault.screens.words import PROGRAM

_LICENCES = (
    "Built on Python, Qt for Python (LGPL 3), SQLAlchemy and Alembic (MIT), SQLCipher's SQLite "
    "(BSD), NumPy and SciPy (BSD), pyqtgraph (MIT), XlsxWriter (BSD) and openpyxl (MIT). The face "
    "is Lato by Łukasz Dziedzic under the SIL Open Font License 1.1; its text stands in"
)


class ShortDialog(QDialog):
    """A dialog that shows something and is closed; its parts go into `column`."""

    def __init__(self, title: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.setWindowTitle(title)
        self.column = QVBoxLayout()
        self.column.setSpacing(8)
        self.buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        self.buttons.rejected.connect(self.reject)
        outer = QVBoxLayout(self)
        outer.setContentsMargins(20, 16, 20, 16)
        outer.setSpacing(14)
        outer.addLayout(self.column, 1)
        outer.addWidget(self.buttons)


class CautionsDialog(ShortDialog):
    """Every caution, each with its word in bold."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__("Cautions", parent)
        inside = QWidget()
        column = QVBoxLayout(inside)
        column.setContentsMargins(0, 0, 8, 0)
        for name, words in CAUTIONS:
            column.addWidget(label(name, bold=True))
            column.addWidget(label(words, wrap=True))
        column.addStretch(1)
        area = QScrollArea()
        area.setWidgetResizable(True)
        area.setWidget(inside)
        self.column.addWidget(area)
        self.resize(560, 560)


class KeysDialog(ShortDialog):
    """Every key of the program."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__("Keys", parent)
        grid = QGridLayout()
        grid.setHorizontalSpacing(24)
        told = [(one.keys, one.tip or one.words) for one in COMMANDS if one.keys]
        for row, (keys, words) in enumerate([*MORE_KEYS, *told]):
            grid.addWidget(label(keys, bold=True), row, 0)
            grid.addWidget(label(words), row, 1)
        self.column.addLayout(grid)


class AboutDialog(ShortDialog):
    """The version and the licences."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(f"About {PROGRAM}", parent)
        self.column.addWidget(label(PROGRAM, size=Size.HEADING, bold=True))
        self.column.addWidget(label(f"Version {vault.__version__}", kind="soft"))
        words = label(f"{_LICENCES} {resource('fonts/OFL.txt')}.", wrap=True)
        words.setMinimumWidth(460)
        self.column.addWidget(words)


class CheckDialog(ShortDialog):
    """What the check of a book gave: the verdict, what is broken, and what does not add up."""

    def __init__(self, check: CheckToShow, parent: QWidget | None = None) -> None:
        super().__init__("Check of the book", parent)
        kind = "attention" if check.broken or check.photos else "fine"
        heading, _, told = check.verdict.partition(": ")
        self.column.addWidget(label(heading, size=Size.HEADING, bold=True, kind=kind))
        verdict = label(told, wrap=True)
        verdict.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.column.addWidget(verdict)
        if check.broken:
            told = "Work on with the last backup that holds, and keep this file as it is."
            self.column.addWidget(label(told, wrap=True))
        inside = QWidget()
        column = QVBoxLayout(inside)
        column.setContentsMargins(0, 0, 8, 0)
        for title, sentences in (
            ("What does not hold", check.broken),
            ("Photos that are not what the book names", check.photos),
            ("What does not add up; findings for the owner, told in the daybook", check.findings),
        ):
            if sentences:
                column.addWidget(label(title, size=Size.SECOND, kind="soft"))
            for sentence in sentences:
                column.addWidget(label(sentence, wrap=True))
        column.addStretch(1)
        is_long = bool(check.broken or check.photos or check.findings)
        if is_long:
            area = QScrollArea()
            area.setWidgetResizable(True)
            area.setWidget(inside)
            self.column.addWidget(area, 1)
        self.resize(640, 420 if is_long else 160)


class FaultsDialog(ShortDialog):
    """Every fault of a file that was refused, with its place: of a daybook row and column."""

    def __init__(
        self,
        faults: Sequence[FaultToShow],
        parent: QWidget | None = None,
        *,
        title: str = "The daybook was not read in",
        places: tuple[str, str] = ("Row", "Column"),
    ) -> None:
        super().__init__(title, parent)
        self._faults = faults
        number = "1 fault" if len(faults) == 1 else f"{len(faults)} faults"
        self.column.addWidget(label(f"{number}, and nothing was taken", size=Size.TITLE, bold=True))
        self.column.addWidget(
            label("Put these right in the file and read it in again.", kind="soft", wrap=True)
        )
        self.table = _fault_table(faults, places)
        self.column.addWidget(self.table, 1)
        copy = self.buttons.addButton("Copy the list", QDialogButtonBox.ButtonRole.ActionRole)
        copy.clicked.connect(self._on_copy_clicked)
        self.resize(860, 520)

    def _on_copy_clicked(self) -> None:
        lines = [f"{_row_words(one)}\t{one.column}\t{one.sentence}" for one in self._faults]
        QGuiApplication.clipboard().setText("\n".join(lines))


def _fault_table(faults: Sequence[FaultToShow], places: tuple[str, str]) -> QTableWidget:
    table = QTableWidget(len(faults), 3)
    table.setHorizontalHeaderLabels([*places, "What is wrong"])
    for row, fault in enumerate(faults):
        for column, text in enumerate((_row_words(fault), fault.column, fault.sentence)):
            table.setItem(row, column, QTableWidgetItem(text))
    table.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
    table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
    table.setShowGrid(False)
    table.setWordWrap(True)
    table.verticalHeader().hide()
    header = table.horizontalHeader()
    header.setDefaultAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
    header.setSectionResizeMode(0, QHeaderView.ResizeMode.ResizeToContents)
    header.setSectionResizeMode(1, QHeaderView.ResizeMode.ResizeToContents)
    header.setSectionResizeMode(2, QHeaderView.ResizeMode.Stretch)
    table.resizeRowsToContents()
    return table


def _row_words(fault: FaultToShow) -> str:
    return "file" if fault.row is None else str(fault.row)
