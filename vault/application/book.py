"""An open book: its file, who works in it, and the clock, handed to every operation and query."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, date, datetime
from functools import cached_property
from pathlib import Path
from typing import Self
from zoneinfo import ZoneInfo

from vault.application.reckoned import Reckoned
from vault.store.book_file import BookFile

Clock = Callable[[], datetime]


def now() -> datetime:
    """Give the present moment, UTC."""
    return datetime.now(UTC)


class Book:
    """An open book.

    Attributes:
        file: where it is kept.
        operator: who is working.
        clock: tells the present moment, UTC.
        reckoned: the figures in memory, None until they are worked out.
    """

    def __init__(self, file: BookFile, *, operator: str = "", clock: Clock = now) -> None:
        self.file = file
        self.operator = operator
        self.clock = clock
        self.reckoned: Reckoned | None = None

    @classmethod
    def create(
        cls, path: Path, *, zone: str, shop_name: str = "", operator: str = "", clock: Clock = now
    ) -> Book:
        """Make a new, empty book and open it."""
        return cls(
            BookFile.create(path, zone=zone, shop_name=shop_name), operator=operator, clock=clock
        )

    @classmethod
    def open(
        cls, path: Path, *, writing: bool = True, operator: str = "", clock: Clock = now
    ) -> Book:
        """Open a book that is there."""
        return cls(BookFile.open(path, writing=writing), operator=operator, clock=clock)

    def close(self) -> None:
        """Close the file; closing twice is allowed."""
        self.file.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    @property
    def path(self) -> Path:
        """Where the book lies."""
        return self.file.path

    @property
    def may_write(self) -> bool:
        """Whether this program holds the right to write in it."""
        return self.file.may_write

    @property
    def zone(self) -> ZoneInfo:
        """The shop's time zone."""
        return ZoneInfo(self.file.setting("zone", "UTC"))

    @cached_property
    def shop_name(self) -> str:
        """What the shop calls itself; the file's name where it was never said.

        Asked of the file once: the window says it time and again, and must not wait for a file.
        """
        return self.file.setting("shop_name") or self.path.stem

    def today(self) -> date:
        """Give today's day by the shop's own calendar."""
        return self.clock().astimezone(self.zone).date()
