"""A book with residues to be sent, and the kit of a form over it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from builders import moved, received, thing
from conftest import Clock
from screens.bench_books import kit_for
from terms_samples import altered
from vault.application.book import Book
from vault.application.figures import work_out
from vault.application.operations.recording import import_entries
from vault.application.terms_sheets import keep_sheet
from vault.screens.background import Background
from vault.screens.drafts import DraftDesk
from vault.screens.forms.form import Form
from vault.screens.forms.kit import FormKit
from vault.screens.house_style import HouseStyle
from vault.screens.scale.room import ScaleRoom
from vault.screens.settings.choices import Choices

BOOK = (
    received(
        1, *(thing(f"C-{at}", "spent cupel", "1000", "Ag 2", place="drum C") for at in (1, 2, 3))
    ),
    received(
        2,
        thing("C-4", "spent cupel", "", place="tin"),
        thing("B-1", "bar", "50", "Ag 900", place="drum D"),
        thing("S-1", "slag", "500", "Ag 5", place="drum D"),
        thing("S-2", "slag", "400", "Ag 3", place="shelf"),
        lot="L-2",
    ),
    moved(3, "tin", "drum C"),
)


@pytest.fixture
def book(tmp_path: Path, clock: Clock) -> Iterator[Book]:
    with Book.create(tmp_path / "our.shop", zone="Etc/UTC", clock=clock, operator="Imke") as book:
        import_entries(book, BOOK)
        kilo = replace(altered(party="Lowland"), valid_from=date(2031, 1, 1), days_to_settle=30)
        keep_sheet(book, kilo)
        work_out(book)
        yield book


@dataclass
class Desk:
    """What a form over the book is handed, and the papers and letters that it had printed."""

    kit: FormKit
    printed: list[int]
    letters: list[tuple[str, str]]


@pytest.fixture
def desk(
    book: Book,
    background: Background,
    style: HouseStyle,
    drafts: DraftDesk,
    choices: Choices,
    scales: ScaleRoom,
) -> Desk:
    printed: list[int] = []
    letters: list[tuple[str, str]] = []
    kit = kit_for(book, background, style, drafts, choices, scales, printed, letters)
    return Desk(kit, printed, letters)


Opened = Callable[[Form], list[str]]


@pytest.fixture
def opened(qtbot: QtBot, background: Background) -> Iterator[Opened]:
    """Open a form, wait until it is filled, and keep what it tells once it has recorded."""
    forms: list[Form] = []

    def open_form(form: Form) -> list[str]:
        told: list[str] = []
        form.recorded.connect(lambda sentence, _: told.append(sentence))
        forms.append(form)
        form.open()
        qtbot.waitUntil(lambda: background.is_idle)
        return told

    yield open_form
    qtbot.waitUntil(lambda: background.is_idle, timeout=20_000)
    for form in forms:
        try:
            form.reject()
        except RuntimeError:  # it went when its entry was recorded
            continue
