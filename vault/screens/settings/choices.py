"""What is remembered on this computer: looks, numbers, recent books, how the window lay."""

from __future__ import annotations

import getpass
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QByteArray, QSettings

from vault.screens.numbers import DECIMAL_MARKS, UNITS, Numbers

if TYPE_CHECKING:
    from vault.screens.printing.stocks import Stock

LOOKS = ("light", "dark", "system")
PAGES = ("A4", "Letter")
_MOST_RECENT = 8


class Choices:
    """Typed access to the settings file; what is missing or makes no sense has its default."""

    def __init__(self, file: Path) -> None:
        self._settings = QSettings(str(file), QSettings.Format.IniFormat)

    @property
    def look_name(self) -> str:
        """`light`, `dark` or `system`."""
        return self._one_of("look/name", LOOKS)

    @look_name.setter
    def look_name(self, name: str) -> None:
        self._settings.setValue("look/name", name)

    @property
    def numbers(self) -> Numbers:
        """Units and number style."""
        return Numbers(
            unit=self._one_of("numbers/unit", UNITS),
            decimal_mark=self._one_of("numbers/decimal_mark", DECIMAL_MARKS),
        )

    @numbers.setter
    def numbers(self, numbers: Numbers) -> None:
        self._settings.setValue("numbers/unit", numbers.unit)
        self._settings.setValue("numbers/decimal_mark", numbers.decimal_mark)

    @property
    def working_as(self) -> str:
        """Who works at this computer."""
        return self._text("person/working_as") or _login_name()

    @working_as.setter
    def working_as(self, name: str) -> None:
        self._settings.setValue("person/working_as", name)

    @property
    def scanner_prefix(self) -> str:
        """What the hand scanner sends before each tag; empty where it sends nothing."""
        return self._text("scanner/prefix")

    @scanner_prefix.setter
    def scanner_prefix(self, prefix: str) -> None:
        self._settings.setValue("scanner/prefix", prefix)

    @property
    def label_stock(self) -> Stock:
        """The labels that tags were last printed on."""
        from vault.screens.printing.stocks import stock_from_text  # noqa: PLC0415 - seldom wanted

        return stock_from_text(self._text("printing/labels"))

    @label_stock.setter
    def label_stock(self, stock: Stock) -> None:
        self._settings.setValue("printing/labels", stock.to_text())

    @property
    def next_label(self) -> int:
        """The first label, from 0, that is still free on the sheet last printed on."""
        told = self._text("printing/next_label")
        return int(told) if told.isascii() and told.isdigit() else 0

    @next_label.setter
    def next_label(self, position: int) -> None:
        self._settings.setValue("printing/next_label", position)

    @property
    def page_size(self) -> str:
        """The page that reports are printed on."""
        return self._one_of("printing/page", PAGES)

    @page_size.setter
    def page_size(self, name: str) -> None:
        self._settings.setValue("printing/page", name)

    @property
    def recent(self) -> tuple[Path, ...]:
        """The books opened last that are still there, latest first."""
        told = self._text("recent/files").split("\n")
        return tuple(path for line in told if line and (path := Path(line)).is_file())

    def remember_recent(self, path: Path) -> None:
        """Put a book first among the recent ones."""
        path = path.absolute()
        kept = [path, *(one for one in self.recent if one != path)][:_MOST_RECENT]
        self._settings.setValue("recent/files", "\n".join(str(one) for one in kept))

    def state(self, name: str) -> QByteArray:
        """Give how a window or a table lay, as Qt wrote it; empty if not remembered."""
        value = self._settings.value(f"state/{name}", QByteArray())
        return value if isinstance(value, QByteArray) else QByteArray()

    def remember_state(self, name: str, state: QByteArray) -> None:
        """Remember how a window or a table lies."""
        self._settings.setValue(f"state/{name}", state)

    def flag(self, name: str) -> bool:
        """Give whether a thing was left open; no at first."""
        # A file gives words back, so the type is asked for (an INI file knows no booleans).
        return bool(self._settings.value(f"flag/{name}", defaultValue=False, type=bool))

    def remember_flag(self, name: str, *, on: bool) -> None:
        """Remember whether a thing is left open."""
        self._settings.setValue(f"flag/{name}", on)

    def words(self, name: str, otherwise: frozenset[str]) -> frozenset[str]:
        """Give a set of words that was remembered, or another where none was."""
        key = f"words/{name}"
        if not self._settings.contains(key):
            return otherwise
        return frozenset(self._text(key).split("\n")) - {""}

    def remember_words(self, name: str, words: frozenset[str]) -> None:
        """Remember a set of words."""
        self._settings.setValue(f"words/{name}", "\n".join(sorted(words)))

    def text(self, name: str) -> str:
        """Give a text that was remembered; empty where none was."""
        return self._text(f"text/{name}")

    def remember_text(self, name: str, text: str) -> None:
        """Remember a text."""
        self._settings.setValue(f"text/{name}", text)

    def save(self) -> None:
        """Write the file now."""
        self._settings.sync()

    def _text(self, key: str) -> str:
        return str(self._settings.value(key, "", type=str))

    def _one_of(self, key: str, allowed: tuple[str, ...]) -> str:
        value = self._text(key)
        return value if value in allowed else allowed[0]


def _login_name() -> str:
    try:
        return getpass.getuser()
    except (OSError, KeyError):  # a bare container knows no user by name
        return "nobody named"
