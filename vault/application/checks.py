"""Checking a book and backing it up, for the command line and the window alike."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from vault.application.book import Book
from vault.application.figures import reckon_all
from vault.application.operations.recording import ActionStopped
from vault.reckoning.accounts import book_balance
from vault.store.backup import back_up
from vault.store.garbage import let_go
from vault.store.integrity import prove
from vault.store.photos import folder_of, named_in, photo_faults, unnamed

Progress = Callable[[int, int], None]
Stopped = Callable[[], bool]


@dataclass(frozen=True, slots=True)
class Report:
    """What a check of a book gave.

    Attributes:
        broken: what does not hold, one sentence each.
        findings: what does not add up in the metal; a matter for the owner, not a broken book.
        head: head of the chain, as hexadecimal digits.
        photos: photos that the book names and that are missing or altered; the book itself is
            whole, and a backup may still have them.
    """

    entries: int
    head: str
    broken: tuple[str, ...]
    findings: tuple[str, ...]
    photos: tuple[str, ...] = ()

    @property
    def holds(self) -> bool:
        """Whether all holds: the book, and its photos with it."""
        return not self.broken and not self.photos

    @property
    def verdict(self) -> str:
        """One sentence on the whole."""
        entries = _counted(self.entries, "entry", "entries")
        if self.broken:
            faults = _counted(len(self.broken), "fault", "faults")
            return f"The book does not hold: {faults} in {entries}."
        findings = _counted(len(self.findings), "finding", "findings")
        if self.photos:
            photos = _counted(len(self.photos), "photo is", "photos are")
            return (
                f"The book holds, its photos do not: {entries}, chain proven to {self.head[:16]}; "
                f"{photos} missing or altered; {findings} for the owner."
            )
        return (
            f"The book holds: {entries}, chain proven to {self.head[:16]}, replay and balance as "
            f"they should be; {findings} for the owner."
        )


def check_book(path: Path, progress: Progress | None = None) -> Report:
    """Prove chain, replay, invariants and file of a book, and tell what does not add up in it."""
    with Book.open(path, writing=False) as book:
        return check(book, progress)


def check(book: Book, progress: Progress | None = None, stopped: Stopped | None = None) -> Report:
    """Prove an open book; see `check_book`."""
    proof = prove(book.file, progress)
    photos, spare = ([], []) if proof.broken else _photos(book, progress)
    broken = list(proof.broken)
    findings: list[str] = []
    if not broken:
        reckoned = reckon_all(book, stopped=stopped)
        findings = [finding.sentence for finding in reckoned.contents.findings]
        for metal in reckoned.contents.metals:
            balance = book_balance(reckoned.origins, reckoned.contents, metal)
            if balance.difference:
                broken.append(
                    f"The balance of {metal} is out by {balance.difference} micrograms; what came "
                    "must be on hand, gone or unaccounted for."
                )
        records = reckoned.records()
        del reckoned
        let_go(records)
    return Report(
        proof.entries, proof.head.hex(), tuple(broken), (*findings, *spare), tuple(photos)
    )


def _photos(book: Book, progress: Progress | None) -> tuple[list[str], list[str]]:
    """Tell which photos are missing or altered, and which files are named by no entry."""
    with book.file.reading() as connection:
        named = named_in(connection)
    spare = unnamed(book.path, named)
    told = []
    if spare:
        files = _counted(len(spare), "file", "files")
        told.append(
            f"No entry names {files} in {folder_of(book.path).name}, {spare[0].name} first; "
            "nothing in the book rests on it. Move elsewhere what is not wanted."
        )
    return photo_faults(book.path, named, progress), told


def check_open(book: Book, progress: Progress, stopped: Stopped) -> Report:
    """Prove an open book, unless somebody wants that stopped; see `check_book`.

    Raises:
        ActionStopped: when asked to stop; a check changes nothing.
    """

    def going_on(done: int, of: int) -> None:
        if stopped():
            raise ActionStopped
        progress(done, of)

    try:
        return check(book, going_on, stopped)
    except ActionStopped as stop:
        raise ActionStopped("Stopped; the book was not checked to its end.") from stop


def back_up_open(book: Book, to: Path) -> list[str]:
    """Make a safe copy of an open book; see `back_up_book`."""
    return back_up(book.file, to)


def back_up_book(path: Path, to: Path) -> list[str]:
    """Make a safe copy of a book and its photos, also while it is in use.

    Returns:
        A sentence for each photo that was missing or altered before, and is so in the copy.
    """
    with Book.open(path, writing=False) as book:
        return back_up(book.file, to)


def _counted(count: int, one: str, many: str) -> str:
    return f"{count} {one if count == 1 else many}"
