"""Reading a daybook file in: all of it in one transaction, or nothing and every fault told."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from zoneinfo import ZoneInfo

from vault.application.book import Book, Clock, now
from vault.application.changes import Changes
from vault.application.exchange.daybook_csv import read_daybook
from vault.application.exchange.faults import RowFault
from vault.application.operations.recording import changes_of, new_key
from vault.application.zones import is_zone, zone_of_this_machine
from vault.core.errors import VaultError
from vault.store.entries import append, load_shop
from vault.store.garbage import no_search_for_cycles

Progress = Callable[[int, int], None]
Stopped = Callable[[], bool]

# Progress is told in parts of this whole.
_WHOLE = 1000


class UnknownZone(VaultError):
    """A time zone that this machine does not know."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What came of reading a daybook in.

    Attributes:
        entries: how many entries are new in the book.
        already: how many it held already, word for word.
        faults: everything that is wrong; nothing was taken when there is any.
        changes: what changed in the book.
    """

    entries: int
    already: int
    faults: tuple[RowFault, ...]
    changes: Changes


def read_in(daybook: Path, file: Path, *, zone: str = "", clock: Clock = now) -> Outcome:
    """Read a daybook into a book, which is made new if it is not there yet.

    Args:
        daybook: the file to read.
        file: the book.
        zone: time zone of a new book; that of this machine where empty.
        clock: tells the moment of recording.

    Raises:
        UnknownZone: when the zone is none.
        StoreError: when the book cannot be opened or written.
        FileNotReadable: when the daybook cannot be opened.
    """
    if zone and not is_zone(zone):
        raise UnknownZone(f"“{zone}” is no time zone known here; write one such as Europe/Oslo.")
    is_new = not file.exists()
    if is_new:
        book = Book.create(file, zone=zone or zone_of_this_machine(), clock=clock)
    else:
        book = Book.open(file, clock=clock)
    outcome = None
    try:
        outcome = read_into(book, daybook)
    finally:
        book.close()
        if is_new and (outcome is None or outcome.faults):
            file.unlink(missing_ok=True)
    return outcome


def read_into(
    book: Book,
    daybook: Path,
    progress: Progress | None = None,
    stopped: Stopped | None = None,
) -> Outcome:
    """Read a daybook into an open book.

    Raises:
        ReadingStopped: when asked to stop; nothing was taken then.
    """

    def tell(share: float) -> None:
        if progress is not None:
            progress(round(share * _WHOLE), _WHOLE)

    zone = ZoneInfo(book.file.setting("zone", "UTC"))
    batch = new_key()
    with book.file.writing() as connection, no_search_for_cycles():
        reading = read_daybook(
            daybook, zone=zone, shop=load_shop(connection), progress=tell, stopped=stopped
        )
        if reading.shop is not None and reading.entries:
            keyed = [(one, f"{batch}-{one.number}") for one in reading.entries]
            append(connection, reading.shop, keyed, book.clock())
    return Outcome(
        entries=len(reading.entries),
        already=reading.already,
        faults=reading.faults,
        changes=changes_of(reading.entries),
    )
