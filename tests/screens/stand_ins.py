"""Stand-ins for a hand at a file chooser, and for the other screens of the rail."""

from __future__ import annotations

from pathlib import Path

from vault.screens.choosers import Choosers
from vault.screens.screen import Screen


class HandsOff(Choosers):
    """Chooses what the test put here, without a hand."""

    def __init__(self) -> None:
        self.answer: Path | None = None
        self.proposed: Path | None = None

    def book_to_open(self, parent: object, folder: Path) -> Path | None:
        return self.answer

    def book_to_make(self, parent: object, folder: Path) -> Path | None:
        return self.answer

    def file_to_write(self, parent: object, file: Path) -> Path | None:
        self.proposed = file
        return self.answer

    def backup_to_make(self, parent: object, file: Path) -> Path | None:
        self.proposed = file
        return self.answer

    def picture_to_attach(self, parent: object, folder: Path) -> Path | None:
        self.proposed = folder
        return self.answer

    def camera_folder(self, parent: object, folder: Path) -> Path | None:
        self.proposed = folder
        return self.answer

    def daybook_to_read(self, parent: object, folder: Path) -> Path | None:
        return self.answer

    def terms_to_read(self, parent: object, folder: Path) -> Path | None:
        self.proposed = folder
        return self.answer


class PlainScreen(Screen):
    """A second screen, to be walked to; it keeps what it was told."""

    def __init__(self) -> None:
        super().__init__()
        self.chosen: list[str] = []
        self.refreshed = 0
        self.scans: list[str] = []
        self.takes = False

    def scanned(self, text: str) -> bool:
        self.scans.append(text)
        return self.takes

    def refresh(self) -> None:
        self.refreshed += 1

    def choose(self, name: str) -> None:
        self.chosen.append(name)
