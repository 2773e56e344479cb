"""The file choosers, in one place, so that a test can choose without a hand."""

from __future__ import annotations

from pathlib import Path

# Named through the module, so that the chooser is loaded when it is first wanted.
from PySide6 import QtWidgets

BOOK_ENDING = ".shop"
_BOOKS = f"Books of Metal on hand (*{BOOK_ENDING});;All files (*)"
_PICTURES = "Pictures (*.jpg *.jpeg *.png *.webp *.tif *.tiff *.gif *.bmp);;All files (*)"
_DAYBOOKS = "Daybooks (*.csv *.xlsx);;All files (*)"
_TERMS = "Terms sheets (*.json);;All files (*)"


class Choosers:
    """Asks for a file; None means that the reader thought better of it."""

    def book_to_open(self, parent: QtWidgets.QWidget, folder: Path) -> Path | None:
        """Ask for a book that is there."""
        return _path(
            QtWidgets.QFileDialog.getOpenFileName(parent, "Open a book", str(folder), _BOOKS)[0]
        )

    def book_to_make(self, parent: QtWidgets.QWidget, folder: Path) -> Path | None:
        """Ask where a new book goes; it gets the ending if none is typed."""
        told = QtWidgets.QFileDialog.getSaveFileName(
            parent, "New book", str(folder / f"shop{BOOK_ENDING}"), _BOOKS
        )
        path = _path(told[0])
        return path if path is None or path.suffix else path.with_suffix(BOOK_ENDING)

    def daybook_to_read(self, parent: QtWidgets.QWidget, folder: Path) -> Path | None:
        """Ask for a daybook that is there."""
        return _path(
            QtWidgets.QFileDialog.getOpenFileName(parent, "Read in", str(folder), _DAYBOOKS)[0]
        )

    def terms_to_read(self, parent: QtWidgets.QWidget, folder: Path) -> Path | None:
        """Ask for a file of terms sheets that is there."""
        return _path(
            QtWidgets.QFileDialog.getOpenFileName(parent, "Read in", str(folder), _TERMS)[0]
        )

    def file_to_write(self, parent: QtWidgets.QWidget, file: Path) -> Path | None:
        """Ask where something is written out to; it gets the ending of the file proposed."""
        kind = file.suffix.lstrip(".")
        told = QtWidgets.QFileDialog.getSaveFileName(
            parent, "Write out", str(file), f"{kind.upper()} (*.{kind});;All files (*)"
        )
        path = _path(told[0])
        return path if path is None or path.suffix else path.with_suffix(file.suffix)

    def backup_to_make(self, parent: QtWidgets.QWidget, file: Path) -> Path | None:
        """Ask where a backup goes; that it overwrites nothing is said by who makes it."""
        told = QtWidgets.QFileDialog.getSaveFileName(
            parent,
            "Make a backup",
            str(file),
            _BOOKS,
            options=QtWidgets.QFileDialog.Option.DontConfirmOverwrite,
        )
        path = _path(told[0])
        return path if path is None or path.suffix else path.with_suffix(BOOK_ENDING)

    def picture_to_attach(self, parent: QtWidgets.QWidget, folder: Path) -> Path | None:
        """Ask for a picture that is there."""
        return _path(
            QtWidgets.QFileDialog.getOpenFileName(parent, "A photo", str(folder), _PICTURES)[0]
        )

    def camera_folder(self, parent: QtWidgets.QWidget, folder: Path) -> Path | None:
        """Ask in which folder the camera puts its pictures."""
        return _path(
            QtWidgets.QFileDialog.getExistingDirectory(
                parent, "Where the camera puts its pictures", str(folder)
            )
        )


def _path(told: str) -> Path | None:
    return Path(told) if told else None
