"""A photo for a bag that is not recorded yet: a link that adds it, or takes it off again."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QPushButton, QWidget

_ADD = "Add a photo"
_LONGEST = 12


class PhotoLink(QPushButton):
    """Holds the file of one picture, or none.

    Signals:
        wanted: a picture is to be chosen.
        taken_off: the picture is not wanted any more.
    """

    wanted = Signal()
    taken_off = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(_ADD, parent)
        self.setProperty("kind", "link")
        self.file: Path | None = None
        self.clicked.connect(self._on_clicked)
        self.show_file(None)

    def show_file(self, file: Path | None) -> None:
        """Hold a picture, or none."""
        self.file = file
        if file is None:
            self.setText(_ADD)
            self.setToolTip("Choose a picture of this bag; it is kept with the book")
            return
        name = file.name if len(file.name) <= _LONGEST else f"…{file.name[1 - _LONGEST :]}"
        self.setText(f"{name} ×")
        self.setAccessibleName(f"Photo {file.name}; press to take it off")
        self.setToolTip(f"{file}\nPress to take it off again")

    def _on_clicked(self) -> None:
        if self.file is None:
            self.wanted.emit()
        else:
            self.show_file(None)
            self.taken_off.emit()
