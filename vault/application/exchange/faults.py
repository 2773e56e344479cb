"""What is wrong with a file that was read, and where: one sentence per cell."""

from __future__ import annotations

from dataclasses import dataclass

from vault.core.errors import VaultError


@dataclass(frozen=True, slots=True)
class RowFault:
    """One thing that is wrong with a file.

    Attributes:
        row: the row as a spreadsheet numbers it; the header is row 1.
        column: name of the daybook column, or empty where the row or file as a whole is at fault.
        sentence: what is wrong, what was expected.
    """

    row: int
    column: str
    sentence: str

    def sentence_with_place(self) -> str:
        """Give place and sentence in one line."""
        place = f"Row {self.row}, column {self.column}" if self.column else f"Row {self.row}"
        return f"{place}: {self.sentence}"


class FileNotReadable(VaultError):
    """A file that cannot be opened or is too large to read at once."""


class ReadingStopped(VaultError):
    """The reading was stopped on request; nothing was taken from the file."""
