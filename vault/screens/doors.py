"""What the window may do with books: plain functions that the program hands in."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

from vault.core.tags import Scan
from vault.screens.background import Progress, Stopped


class FaultToShow(Protocol):
    """One thing that is wrong in a daybook that was to be read in.

    The row is None for the file as a whole; the column is empty where none is at fault.
    """

    @property
    def row(self) -> int | None:
        """The row of the file."""

    @property
    def column(self) -> str:
        """The column's name."""

    @property
    def sentence(self) -> str:
        """What is wrong and what to do."""


class CheckToShow(Protocol):
    """What a check of a book gave."""

    @property
    def verdict(self) -> str:
        """One sentence on the whole: whether it holds, a colon, and what that rests on."""

    @property
    def broken(self) -> Sequence[str]:
        """What does not hold, a sentence each; empty where the book is whole."""

    @property
    def findings(self) -> Sequence[str]:
        """What does not add up in the metal; a matter for the owner, not a broken book."""

    @property
    def photos(self) -> Sequence[str]:
        """Photos that are missing or altered; the book itself is whole."""


@dataclass(frozen=True, slots=True)
class ReadIn:
    """What came of reading a daybook in: entries taken, or every fault and nothing taken."""

    entries: int
    faults: Sequence[FaultToShow]


@dataclass(frozen=True, slots=True)
class Doors:
    """Ways in and out of books. A book is whatever `open_book` gives; no screen looks inside.

    Attributes:
        open_book, make_book: give the open book of a file; refuse with a sentence.
        make_demonstration: make a fresh demonstration shop and give its file.
        close_book: let the file go.
        sign: have whoever is working now stand under what is recorded from here on.
        read_in: read a daybook into an open book, all of it or nothing.
        is_due: whether facts have come since the figures were last worked out.
        work_out: work the figures out; gives the changes.
        take_in: bring what is known of items up to what was recorded since; gives the changes.
        settle: bring the sums over all items up to it as well; the changes, or None.
        look_back: keep what was known at month ends not told yet; the changes, or None.
        write_out: write the daybook, stock, origins, fate or residues to a file by its ending.
        back_up: make a proven copy of an open book and its photos, never over another file; gives
            a sentence for each photo that was missing or altered before.
        check: prove that an open book is whole and unaltered.
        find: what a scanned or typed word could mean: (`item`, `lot` or `party`; its name).
        read_scan: what a scanned text says, by the tags of the book.
        shop_name: what the shop is called.
        limits: why a book is open for reading only, as a sentence; empty where it is not.
    """

    open_book: Callable[[Path], object]
    make_book: Callable[[Path], object]
    make_demonstration: Callable[[Progress, Stopped], Path]
    close_book: Callable[[object], None]
    sign: Callable[[object], None]
    read_in: Callable[[object, Path, Progress, Stopped], ReadIn]
    is_due: Callable[[object], bool]
    work_out: Callable[[object, Progress, Stopped], object]
    take_in: Callable[[object, Progress, Stopped], object]
    settle: Callable[[object, Stopped], object | None]
    look_back: Callable[[object, Progress, Stopped], object | None]
    write_out: Callable[[object, str, Path, Progress, Stopped], None]
    back_up: Callable[[object, Path], Sequence[str]]
    check: Callable[[object, Progress, Stopped], CheckToShow]
    find: Callable[[object, str], Sequence[tuple[str, str]]]
    read_scan: Callable[[object, str], Scan]
    shop_name: Callable[[object], str]
    limits: Callable[[object], str]
