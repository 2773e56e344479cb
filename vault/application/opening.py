"""Opening a book for a window: with the right to write or without, and the demonstration shop."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, date, datetime, time
from pathlib import Path
from shutil import rmtree

from vault.application.book import Book, Clock
from vault.application.book import now as present_moment
from vault.application.changes import Changes
from vault.application.figures import (
    MOST_ITEMS_TO_TELL,
    are_fresh,
    reckon_all,
    tell_months,
    work_out,
)
from vault.application.operations.read_in import read_into
from vault.application.resources import demonstration_daybook, demonstration_terms
from vault.application.terms_sheets import read_sheets
from vault.application.zones import zone_of_this_machine
from vault.core.errors import VaultError
from vault.store.entries import last_number, load_entry
from vault.store.errors import BookInUse, BookReadOnly
from vault.store.garbage import let_go
from vault.store.photos import folder_of

Progress = Callable[[int, int], None]
Stopped = Callable[[], bool]

DEMONSTRATION_ZONE = "Europe/Oslo"
DEMONSTRATION_SHOP = "Tidewater Melt Shop (demonstration)"
# Above so many entries the figures in the file are shown as they are, and are reckoned again only
# when facts come: the reckoning of a very large book takes minutes and much memory.
MOST_ENTRIES_TO_RECKON_AT_OPENING = 60_000


class DemonstrationBroken(VaultError):
    """The daybook that ships with the program cannot be read; the installation is damaged."""


def open_for_window(path: Path, operator: str = "") -> Book:
    """Open a book, to write in it if that is possible and to read it otherwise.

    Raises:
        StoreError: when it cannot be opened at all.
    """
    try:
        book = Book.open(path, operator=operator)
    except (BookInUse, BookReadOnly):
        book = Book.open(path, writing=False, operator=operator)
    if book.shop_name == DEMONSTRATION_SHOP:
        book.clock = _going_on_from(_last_moment(book))
    return book


def make_for_window(path: Path, operator: str = "") -> Book:
    """Make a new, empty book in the time zone of this machine.

    Raises:
        BookExists: when there is a file of that name.
    """
    return Book.create(path, zone=zone_of_this_machine(), operator=operator)


def limits_of(book: Book) -> str:
    """Say why a book is open for reading only; empty where it is not."""
    if book.may_write:
        return ""
    return (
        f"{book.path.name} is shown for reading only: another window is writing in it, or the file "
        "may not be written here. Nothing can be read in or worked out until that ends."
    )


def make_demonstration(folder: Path, progress: Progress, stopped: Stopped) -> Path:
    """Make a fresh demonstration shop in a folder and give its file.

    Raises:
        DemonstrationBroken: when the daybook that ships with the program is damaged.
        ReadingStopped: when asked to stop.
    """
    folder.mkdir(parents=True, exist_ok=True)
    path = _free_name(folder)
    with Book.create(path, zone=DEMONSTRATION_ZONE, shop_name=DEMONSTRATION_SHOP) as book:
        outcome = read_into(book, demonstration_daybook(), progress, stopped)
        if not outcome.faults:
            _read_terms(book)
    if outcome.faults:
        raise DemonstrationBroken(
            "The daybook of the demonstration is damaged; install the program again. "
            f"{outcome.faults[0].sentence_with_place()}"
        )
    return path


def _read_terms(book: Book) -> None:
    try:
        read_sheets(book, demonstration_terms())
    except VaultError as error:
        raise DemonstrationBroken(
            f"The terms sheets of the demonstration are damaged; install the program again. {error}"
        ) from error


def close(book: Book) -> None:
    """Let the file go, and what was worked out of it."""
    book.close()
    if book.reckoned is not None:
        records = book.reckoned.records()
        book.reckoned = None
        let_go(records)


def sign(book: Book, operator: str) -> None:
    """Have somebody stand under what is recorded from here on."""
    book.operator = operator


def file_of(book: Book) -> str:
    """Give the file of a book, by which its drafts are told from those of others."""
    return str(book.path.absolute())


def shop_name(book: Book) -> str:
    """Give what the shop of a book calls itself."""
    return book.shop_name


def today_of(book: Book) -> date:
    """Give the day from which ages are counted: today, or the day of the last entry if later.

    A demonstration, or a shop whose clock ran ahead, tells of days still to come.
    """
    with book.file.reading() as connection:
        last = load_entry(connection, last_number(connection))
    today = book.today()
    return today if last is None else max(today, last.entry.when.day)


def now_of(book: Book) -> datetime:
    """Give the present moment by the shop's clock, with its zone."""
    return book.clock().astimezone(book.zone)


def needs_reckoning(book: Book) -> bool:
    """Tell whether the figures of a book have to be worked out before it can answer all."""
    if not are_fresh(book):
        return book.may_write or book.reckoned is None
    return book.reckoned is None and _is_quickly_reckoned(book)


def bring_up_to_date(book: Book, progress: Progress, stopped: Stopped) -> Changes:
    """Work the figures out; where those in the file still hold, only bring them to mind.

    Raises:
        ActionStopped: when asked to stop.
    """
    if book.reckoned is None and are_fresh(book):
        progress(0, 1)
        book.reckoned = reckon_all(book, stopped=stopped)
        return Changes(figures=True)
    return work_out(book, progress, stopped)


def look_back(book: Book, progress: Progress, stopped: Stopped) -> Changes | None:
    """Keep what was known at month ends that were not told yet; None where there was nothing to do.

    Raises:
        ActionStopped: when asked to stop; the months told so far are kept.
    """
    reckoned = book.reckoned
    if reckoned is None or len(reckoned.shop.items) > MOST_ITEMS_TO_TELL:
        return None
    changes = tell_months(book, progress, stopped)
    return changes if changes.figures else None


def _last_moment(book: Book) -> datetime | None:
    with book.file.reading() as connection:
        last = load_entry(connection, last_number(connection))
    if last is None:
        return None
    when = last.entry.when
    return when.at or datetime.combine(when.day, time(12), book.zone).astimezone(UTC)


def _going_on_from(moment: datetime | None) -> Clock:
    """Give a clock that goes on from a moment still to come, as if it were now.

    The demonstration tells of years ahead; what is recorded in it by hand comes after those.
    """
    ahead = None if moment is None else moment - present_moment()
    if ahead is None or ahead.total_seconds() < 0:
        return present_moment
    return lambda: present_moment() + ahead


def _is_quickly_reckoned(book: Book) -> bool:
    with book.file.reading() as connection:
        return last_number(connection) <= MOST_ENTRIES_TO_RECKON_AT_OPENING


def _free_name(folder: Path) -> Path:
    """Clear the last demonstration away, unless another window still shows it."""
    for number in range(1, 100):
        path = folder / ("demonstration.shop" if number == 1 else f"demonstration-{number}.shop")
        if not path.exists():
            return path
        try:
            Book.open(path).close()
        except BookInUse:
            continue
        except VaultError:
            pass  # broken or of another version: it goes away all the same
        for ending in ("", "-wal", "-shm"):
            path.with_name(path.name + ending).unlink(missing_ok=True)
        rmtree(folder_of(path), ignore_errors=True)
        return path
    raise DemonstrationBroken("Too many demonstration shops are open; close some windows first.")
