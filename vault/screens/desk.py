"""The book on the desk: opened, made, filled and worked out, one after the other."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

from PySide6.QtCore import QObject, QTimer, Signal

from vault.core.errors import VaultError
from vault.screens.announcer import Announcer
from vault.screens.background import Background, Progress, Run, Stopped
from vault.screens.doors import Doors, ReadIn

# So long after the last entry the sums over all items are brought up to it.
_QUIET_MS = 700

WorkingOut = Callable[[object, Progress, Stopped], object]


class NoBookOpen(VaultError):
    """Something was to be recorded, and there is no book to record it in."""


class Desk(QObject):
    """Holds the one open book and does the long work on it in the background.

    Signals:
        laid_open: another book lies open, or None: (book, its file).
        read_in: a `ReadIn`, after a daybook was read.
        busy_changed: whether a book is being opened just now.
    """

    laid_open = Signal(object, object)
    read_in = Signal(object)
    busy_changed = Signal(bool)

    def __init__(self, doors: Doors, background: Background, announcer: Announcer) -> None:
        super().__init__()
        self._doors = doors
        self._background = background
        self._announcer = announcer
        self._book: object | None = None
        self._path: Path | None = None
        self._demonstration: Path | None = None
        self._working_out: Run | None = None
        # Second thoughts, which give way to entries: sums over all items, then months gone by.
        self._second: Run | None = None
        self._has_given_way = False
        self._quiet = QTimer(self, singleShot=True, interval=_QUIET_MS)
        self._quiet.timeout.connect(self._on_quiet)
        # Facts that come while figures are worked out want them taken in once more.
        self._is_due_again = False
        self._is_look_back_due = False
        # The book whose troubles are told.
        self._heard: object | None = None
        # How many entries are on their way to the book.
        self._recording = 0
        self._has_news = False

    @property
    def book(self) -> object | None:
        """The open book, or None."""
        return self._book

    @property
    def path(self) -> Path | None:
        """The file of the open book, or None."""
        return self._path

    @property
    def is_demonstration(self) -> bool:
        """Whether the open book is the demonstration that was set up just now."""
        return self._path is not None and self._path == self._demonstration

    @property
    def is_working_out(self) -> bool:
        """Whether the figures are being worked out just now."""
        return self._working_out is not None

    def open(self, path: Path) -> None:
        """Open a book in place of the one that lies open."""
        self._lay_open(path, self._doors.open_book, f"Opening {path.name} …")

    def make(self, path: Path) -> None:
        """Make a new, empty book and open it."""
        self._lay_open(path, self._doors.make_book, f"Making {path.name} …")

    def demonstrate(self) -> None:
        """Make a fresh demonstration shop and open it."""
        self._background.run(
            self._doors.make_demonstration,
            self._on_demonstration_made,
            words="Setting up the demonstration shop …",
        )

    def read(self, daybook: Path) -> None:
        """Read a daybook into the open book."""
        book = self._book
        if book is None:
            return
        self._background.run(
            lambda progress, stopped: self._doors.read_in(book, daybook, progress, stopped),
            self._on_read_in_answered,
            words=f"Reading {daybook.name} …",
        )

    def record(
        self,
        operation: Callable[[Any], Any],
        then: Callable[[Any], None],
        on_failure: Callable[[BaseException], None],
        words: str = "Recording …",
    ) -> None:
        """Have something recorded, tell everybody, and take the figures in; see `Recorder`."""
        book = self._book
        if book is None:
            on_failure(NoBookOpen("No book is open; open one, then record this again."))
            return
        self._give_way()

        def done(changes: object) -> None:
            if book is self._book:
                self._has_news = True
                self._announcer.announce(changes)
            then(changes)

        self._doors.sign(book)
        self._recording += 1
        run = self._background.run(
            lambda _progress, _stopped: operation(book),
            done,
            words=words,
            on_failure=on_failure,
            quietly=True,
        )
        run.ended.connect(self._on_recording_ended)

    def work_out(self) -> None:
        """Work all figures out anew; those of later facts afterwards if that is done just now."""
        self._begin_working_out(self._doors.work_out, quietly=False)

    def take_in(self) -> None:
        """Bring the figures up to what was recorded since they were worked out."""
        self._begin_working_out(self._doors.take_in, quietly=True)

    def work_out_if_due(self) -> None:
        """Work the figures out if facts have come since they were."""
        book = self._book
        if book is not None:
            self._background.ask(lambda: self._doors.is_due(book), self._on_is_due_answered)

    def clear(self) -> None:
        """Close the open book, if any."""
        self._quiet.stop()
        self._is_due_again = False
        if self._book is not None:
            book, self._book, self._path = self._book, None, None
            self._doors.close_book(book)

    def put_away(self) -> None:
        """Close the open book and let nothing lie open."""
        self._stop_working_out()
        self._let_go()
        self.laid_open.emit(None, None)

    def _let_go(self) -> None:
        """Have the open book closed behind whatever is still to be written in it."""
        if self._book is not None:
            book, self._book, self._path = self._book, None, None
            self._background.run(
                lambda _progress, _stopped: self._doors.close_book(book),
                lambda _nothing: None,
                words="Closing the book …",
                quietly=True,
            )

    def _begin_working_out(self, way: WorkingOut, *, quietly: bool) -> None:
        book = self._book
        if book is None:
            return
        if self._working_out is not None:
            self._is_due_again = True
            return
        self._heard = book
        self._working_out = self._background.run(
            lambda progress, stopped: way(book, progress, stopped),
            partial(self._on_worked_out, book, is_whole=not quietly),
            words="Working out the figures …",
            on_failure=partial(self._on_working_out_failed, book),
            quietly=quietly,
            beside=True,
        )
        self._working_out.ended.connect(self._on_working_out_ended)

    def _stop_working_out(self) -> None:
        self._is_due_again = False
        self._is_look_back_due = False
        self._quiet.stop()
        for run in (self._working_out, self._second):
            if run is not None:
                run.stop()
        self._second = None
        self._heard = None

    def _lay_open(self, path: Path, way: Callable[[Path], object], words: str) -> None:
        self._stop_working_out()

        def done(book: object) -> None:
            self._let_go()
            self._book, self._path = book, path
            self.busy_changed.emit(False)  # noqa: FBT003  a signal has no keywords
            self.laid_open.emit(book, path)
            self.work_out_if_due()

        def failed(error: BaseException) -> None:
            self.busy_changed.emit(False)  # noqa: FBT003  a signal has no keywords
            self._background.failed.emit(error)
            # The book that was to be replaced stays; its figures were stopped half way.
            self.work_out_if_due()

        self.busy_changed.emit(True)  # noqa: FBT003  a signal has no keywords
        self._background.run(
            lambda _progress, _stopped: way(path), done, words=words, on_failure=failed
        )

    def _on_demonstration_made(self, path: Path) -> None:
        self._demonstration = path
        self.open(path)

    def _on_read_in_answered(self, outcome: ReadIn) -> None:
        self.read_in.emit(outcome)
        if outcome.entries:
            self._announcer.announce(outcome)
            self.work_out()

    def _on_is_due_answered(self, due: bool) -> None:  # noqa: FBT001  an answer is handed over
        if due:
            self.work_out()

    def _on_recording_ended(self) -> None:
        self._recording -= 1
        # Of several entries that follow each other quickly the figures are taken in at once.
        if self._recording:
            return
        if self._has_news:
            self._has_news = False
            self.take_in()
        else:
            # What gave way to a refused entry goes on.
            self._quiet.start()

    def _give_way(self) -> None:
        """Let nothing that can wait keep the figures of an entry waiting."""
        self._quiet.stop()
        if self._second is not None:
            self._has_given_way = True
            self._second.stop()

    def _on_worked_out(self, book: object, changes: object, *, is_whole: bool) -> None:
        self._announcer.announce(changes)
        if book is not self._book:
            return
        self._is_look_back_due |= is_whole
        if self._is_due_again:
            return
        if is_whole:
            self._look_back()
        else:
            self._quiet.start()

    def _on_quiet(self) -> None:
        book = self._book
        if book is None or self._recording or self._second is not None:
            return
        self._has_given_way = False
        self._second = self._background.run(
            lambda _progress, stopped: self._doors.settle(book, stopped),
            partial(self._on_settled, book),
            words="Working out the figures …",
            on_failure=partial(self._on_second_failed, book),
            quietly=True,
            beside=True,
            patiently=True,
        )

    def _on_settled(self, book: object, changes: object) -> None:
        self._second = None
        if changes is not None:
            self._announcer.announce(changes)
        if book is self._book and self._is_look_back_due:
            self._look_back()

    def _look_back(self) -> None:
        book = self._book
        if book is None or self._recording or self._second is not None:
            return
        self._has_given_way = False
        self._second = self._background.run(
            lambda progress, stopped: self._doors.look_back(book, progress, stopped),
            self._on_looked_back,
            words="Looking back at what was known at the time …",
            on_failure=partial(self._on_second_failed, book),
            beside=True,
            patiently=True,
        )

    def _on_looked_back(self, changes: object) -> None:
        self._second = None
        self._is_look_back_due = False
        if changes is not None:
            self._announcer.announce(changes)

    def _on_second_failed(self, book: object, error: BaseException) -> None:
        self._second = None
        # What gave way to an entry is not told; it is done after the figures of that.
        if not self._has_given_way:
            self._on_working_out_failed(book, error)

    def _on_working_out_failed(self, book: object, error: BaseException) -> None:
        # What was stopped because another book was opened is of no interest any more.
        if book is self._heard:
            self._background.failed.emit(error)

    def _on_working_out_ended(self) -> None:
        self._working_out = None
        if self._is_due_again:
            self._is_due_again = False
            self.take_in()
