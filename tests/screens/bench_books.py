"""A small real book, worked out, and a form's kit over it: what a form records is really there."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from builders import thing
from screens.stand_ins import HandsOff
from vault.application.book import Book
from vault.application.changes import Changes
from vault.application.drafts import KeptDraft
from vault.application.figures import work_out
from vault.application.operations import acts
from vault.application.operations.recording import new_key
from vault.application.queries.answers.daybook import DaybookQuery
from vault.application.queries.daybook import daybook_rows, entry_detail, entry_numbers
from vault.core.daybook import Process, Terms
from vault.screens.announcer import Announcer
from vault.screens.background import Background
from vault.screens.drafts import DraftDesk
from vault.screens.forms.kit import FormKit
from vault.screens.house_style import HouseStyle
from vault.screens.scale.room import ScaleRoom
from vault.screens.settings.choices import Choices
from vault.start.forms import form_acts, form_questions

START = datetime(2031, 3, 14, 9, 0, tzinfo=UTC)


@contextmanager
def bench_book(folder: Path, clock: Callable[[], datetime]) -> Iterator[Book]:
    """Give a book with a customer's bar that was drilled, two cupels in a drum, and our own grain.

    Entries: 1 Saltmarsh's lot, 2 our lot, 3 the drilling of B-0001, 4 the drum put on a rack.
    """
    path = folder / "tidewater.shop"
    with Book.create(path, zone="UTC", operator="Imke", clock=clock) as book:
        theirs = [
            thing("B-0001", "bar", "100.00 ± 0.01", "Ag 900 ± 20", how="declared", place="safe"),
            thing("C-0001", "spent cupel", "400", place="drum D"),
            thing("C-0002", "spent cupel", place="drum D"),
        ]
        ours = [thing("G-0001", "grain", "50.00 ± 0.01", "Ag 999", how="declared", place="safe")]
        key = new_key
        acts.receive_lot(book, theirs, lot="L-1", terms=Terms.TOLL, party="Saltmarsh", key=key())
        acts.receive_lot(book, ours, lot="L-2", terms=Terms.OWN, key=key())
        parts = [
            thing("A-0001", "sample", "1.50", place="assay box"),
            thing("B-0002", "bar", "98.48 ± 0.01", place="safe"),
        ]
        acts.record_work(book, Process.DIVIDE, used=["B-0001"], made=parts, key=key())
        acts.move(book, ["drum D"], "rack 2", key=key())
        work_out(book)
        yield book


@dataclass
class MemoryShelf:
    """Keeps drafts in memory, as the folder beside the settings does on disk."""

    kept_of: dict[tuple[str, str], KeptDraft] = field(default_factory=dict)

    def keep(self, book: str, form: str, content: Mapping[str, object]) -> None:
        self.kept_of[book, form] = KeptDraft(dict(content), START)

    def kept(self, book: str, form: str) -> KeptDraft | None:
        return self.kept_of.get((book, form))

    def drop(self, book: str, form: str) -> None:
        self.kept_of.pop((book, form), None)


class PlainRecorder:
    """Records on the writer and works the figures out behind it, as the desk does."""

    def __init__(self, book: Book, background: Background, announcer: Announcer) -> None:
        self._book = book
        self._background = background
        self._announcer = announcer

    def record(
        self,
        operation: Callable[[Any], Changes],
        then: Callable[[Changes], None],
        on_failure: Callable[[BaseException], None],
        words: str = "",
    ) -> None:
        def done(changes: Changes) -> None:
            self._announcer.announce(changes)
            then(changes)
            self._background.run(
                lambda _done, _of: work_out(self._book), self._announcer.announce, words="…"
            )

        self._background.run(
            lambda _done, _of: operation(self._book), done, words="…", on_failure=on_failure
        )


def kit_for(
    book: Book,
    background: Background,
    style: HouseStyle,
    drafts: DraftDesk,
    choices: Choices,
    scales: ScaleRoom,
    printed: list[int] | None = None,
    letters: list[tuple[str, str]] | None = None,
) -> FormKit:
    """Give what the program hands to a form, with a recorder that needs no window.

    The entries whose papers are to be printed come to `printed`, letters to `letters`.
    """
    announcer = Announcer()
    printed = [] if printed is None else printed
    written: list[tuple[str, str]] = [] if letters is None else letters
    return FormKit(
        book=book,
        questions=form_questions(),
        acts=form_acts(),
        recorder=PlainRecorder(book, background, announcer),
        background=background,
        announcer=announcer,
        drafts=drafts,
        style=style,
        choices=choices,
        choosers=HandsOff(),
        weight_field=scales.weight_field,
        tare_field=scales.tare_field,
        print_shipment=lambda _book, entry: printed.append(entry),
        print_letter=lambda _book, about, text: written.append((about, text)),
        take_weight=scales.take,
    )


def last_entry(book: Book) -> tuple[str, tuple[str, ...]]:
    """Give the last entry: its act and its lines in words."""
    detail = entry_detail(book, entry_numbers(book, DaybookQuery())[0])
    return detail.row.act.value, detail.lines


def number_of_entries(book: Book) -> int:
    return len(entry_numbers(book, DaybookQuery()))


def struck(book: Book, number: int) -> int | None:
    """Give the entry that struck another, None where it stands."""
    return daybook_rows(book, (number,))[0].struck_by
