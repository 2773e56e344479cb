"""The list of terms sheets, and what is done with sheets as a whole."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from vault.application.queries.answers.terms_sheets import SheetRow
from vault.core.words import searched_for
from vault.screens.house_style import HouseStyle
from vault.screens.terms_sheets.edits import Edits, Key
from vault.screens.terms_sheets.sheet_rows import SheetRows, listed, searched
from vault.screens.widgets.labels import label

_TAKE_AWAY, SURELY = "Take away", "Yes, take away"


class SheetList(QWidget):
    """Shows every version, or those that hold what is looked for."""

    def __init__(self, style: HouseStyle, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._filter = ""
        self.rows = SheetRows(style)
        self.nothing = label(kind="soft", wrap=True)
        self.new_button = QPushButton("New sheet")
        self.take_away_button = QPushButton(_TAKE_AWAY)
        self.write_out_button = QPushButton("Write out …")
        self.read_in_button = QPushButton("Read in …")
        self.take_away_button.setToolTip("Take a sheet away that was entered by mistake")
        self.write_out_button.setToolTip("Write every sheet to a file, to keep or to carry")
        self.read_in_button.setToolTip("Read sheets from a file that was written out")
        self._lay_out()
        self.setFocusProxy(self.rows)

    def show_sheets(self, rows: Sequence[SheetRow], edits: Edits, wanted: Key) -> Key | None:
        """Show these and choose the wanted one, or the first; gives the one that is chosen."""
        words = searched_for(self._filter.casefold())
        found = [one for one in listed(rows, edits) if all(word in searched(one) for word in words)]
        self.nothing.setText(
            f"No sheet matches “{self._filter}”. Press Escape in the field above to empty it."
        )
        self.nothing.setHidden(bool(found))
        self.rows.setVisible(bool(found))
        self.rows.show_rows(found, wanted)
        keys = [one.key for one in found]
        return wanted if wanted in keys else next(iter(keys), None)

    def filter_by(self, text: str) -> bool:
        """Take what is looked for; tells whether it is something else than before."""
        is_another = text != self._filter
        self._filter = text
        return is_another

    def ask(self, *, on: bool = True) -> None:
        """Ask whether the sheet is really to be taken away, or no longer."""
        self.take_away_button.setText(SURELY if on else _TAKE_AWAY)

    def is_asked(self) -> bool:
        """Tell whether it was asked."""
        return self.take_away_button.text() == SURELY

    def _lay_out(self) -> None:
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8)
        column.addWidget(self.nothing, 0, Qt.AlignmentFlag.AlignTop)
        column.addWidget(self.rows, 1)
        for pair in (
            (self.new_button, self.take_away_button),
            (self.write_out_button, self.read_in_button),
        ):
            row = QHBoxLayout()
            row.setSpacing(8)
            for button in pair:
                row.addWidget(button, 1)
            column.addLayout(row)
