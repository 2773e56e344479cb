"""Drafts of forms, kept off the window's thread: a crash loses at most the field being typed in.

A form has one `Draft`:

    self._draft = desk.draft("receive", self)     # one for each form, by its name
    self._draft.came_back.connect(self._on_draft_came_back)   # KeptDraft: what was begun before;
                                                  # it takes the place of what stands in the form
    self._draft.of(book)                          # another book: asks for what was kept of it
    self._draft.keep(content)                     # after each field; a dict that JSON can hold
    self._draft.drop()                            # recorded, or thrown away
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import Protocol

from PySide6.QtCore import QObject, Qt, Signal

from vault.application.drafts import KeptDraft
from vault.core.errors import VaultError
from vault.screens.failures import sentence_of

_Content = Mapping[str, object]


class Shelf(Protocol):
    """Where drafts are kept, by book and form."""

    def keep(self, book: str, form: str, content: _Content) -> None:
        """Keep what stands in a form."""

    def kept(self, book: str, form: str) -> KeptDraft | None:
        """Give what was kept of a form, None where there is nothing."""

    def drop(self, book: str, form: str) -> None:
        """Throw away what was kept of a form."""


@dataclass(frozen=True, slots=True)
class _Answer:
    book: str
    form: str
    kept: KeptDraft | None = None
    trouble: str = ""


class DraftDesk(QObject):
    """Writes and reads the drafts of all forms in a thread of its own, in their order.

    Of a form only its last content waits to be written: typing never queues up behind a slow disk.

    Signals:
        told: a sentence on what could not be kept or read.
    """

    told = Signal(str)
    _answered = Signal(object)
    _missed = Signal(str)

    def __init__(self, shelf: Shelf, file_of: Callable[[object], str]) -> None:
        """Build the desk; `file_of` gives the file of an open book."""
        super().__init__()
        self._shelf = shelf
        self.file_of = file_of
        self._writer: ThreadPoolExecutor | None = None
        self._lock = threading.Lock()
        # What is to be done with a form's draft and was not begun yet; None is to throw it away.
        self._waiting: dict[tuple[str, str], _Content | None] = {}
        # What a session before left and no form has yet: nothing is written over it.
        self._untold: set[tuple[str, str]] = set()
        self._drafts: dict[str, Draft] = {}
        self._last_told = ""
        self._answered.connect(self._on_answered, Qt.ConnectionType.QueuedConnection)
        self._missed.connect(self._on_missed, Qt.ConnectionType.QueuedConnection)

    def draft(self, form: str, parent: QObject | None = None) -> Draft:
        """Give the draft of a form, by the form's name."""
        made = Draft(self, form, parent)
        number = id(made)
        self._drafts[form] = made
        made.destroyed.connect(lambda: self._let_go(form, number))
        return made

    def _let_go(self, form: str, number: int) -> None:
        """Forget a draft that is gone, unless its form has another one by now."""
        if id(self._drafts.get(form)) == number:
            del self._drafts[form]

    def keep(self, book: str, form: str, content: _Content | None) -> None:
        """Have a draft written, or thrown away with None."""
        with self._lock:
            is_under_way = (book, form) in self._waiting
            self._waiting[book, form] = content
        if not is_under_way:
            self._submit(lambda: self._write(book, form))

    def ask(self, book: str, form: str) -> None:
        """Have what was kept of a form brought to its draft."""
        self._submit(lambda: self._read(book, form))

    def close(self) -> None:
        """Write what still waits and end."""
        if self._writer is not None:
            self._writer.shutdown(wait=True)
            self._writer = None

    def _submit(self, work: Callable[[], None]) -> None:
        if self._writer is None:
            self._writer = ThreadPoolExecutor(1, thread_name_prefix="drafts")
        self._writer.submit(work)

    def _write(self, book: str, form: str) -> None:
        with self._lock:
            content = self._waiting.pop((book, form))
            if (book, form) in self._untold:
                return
        try:
            if content is None:
                self._shelf.drop(book, form)
            else:
                self._shelf.keep(book, form, content)
        except OSError as error:
            self._missed.emit(
                f"What you type cannot be kept against a crash: {error.strerror or error}. "
                "Record it soon, or make room on the disk of your settings."
            )

    def _read(self, book: str, form: str) -> None:
        try:
            answer = _Answer(book, form, kept=self._shelf.kept(book, form))
        except (VaultError, OSError) as error:
            answer = _Answer(book, form, trouble=sentence_of(error))
        if answer.kept is not None:
            with self._lock:
                self._untold.add((book, form))
        self._answered.emit(answer)

    def _on_answered(self, answer: _Answer) -> None:
        if answer.trouble:
            self.told.emit(answer.trouble)
        if answer.kept is not None:
            self._let_write(answer.book, answer.form, answer.kept.content)
        draft = self._drafts.get(answer.form)
        if draft is not None:
            draft.take(answer.book, answer.kept)

    def _let_write(self, book: str, form: str, kept: _Content) -> None:
        """Let a draft be written anew, now that its form has what a session before left."""
        with self._lock:
            self._untold.discard((book, form))
            if (book, form) in self._waiting:
                # Typed in the moment before, and gone from the form by now.
                self._waiting[book, form] = kept

    def _on_missed(self, sentence: str) -> None:
        # A full disk refuses every field; it is told once.
        if sentence != self._last_told:
            self._last_told = sentence
            self.told.emit(sentence)


class Draft(QObject):
    """What stands in one form and is not recorded yet.

    Signals:
        came_back: a `KeptDraft` of the book in hand that a session before left.
    """

    came_back = Signal(object)

    def __init__(self, desk: DraftDesk, form: str, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._desk = desk
        self._form = form
        self._book = ""
        self._is_waiting = False

    def of(self, book: object | None) -> None:
        """Take another book in hand and ask what was begun in it."""
        self._book = "" if book is None else self._desk.file_of(book)
        self._is_waiting = bool(self._book)
        if self._book:
            self._desk.ask(self._book, self._form)

    def keep(self, content: _Content) -> None:
        """Keep what stands in the form now."""
        if self._book:
            self._desk.keep(self._book, self._form, dict(content))

    def drop(self) -> None:
        """Throw the draft away: it was recorded, or is not wanted."""
        if self._book:
            self._desk.keep(self._book, self._form, None)

    def take(self, book: str, kept: KeptDraft | None) -> None:
        """Take what was kept, where it is still wanted."""
        if kept is not None and book == self._book and self._is_waiting:
            self._is_waiting = False
            self.came_back.emit(kept)
