"""The screen of terms over the demonstration's sheets, as it was approved, light and dark."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QEvent
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from builders import fineness, priced
from conftest import Clock
from pictures.comparing import Pictures
from pictures.test_safe_pictures import dress
from screens.terms_office import Office
from vault.application.book import Book
from vault.application.operations.recording import import_entries
from vault.application.resources import demonstration_terms
from vault.application.terms_sheets import read_sheets
from vault.screens.background import Background
from vault.screens.house_style import HouseStyle
from vault.screens.look import DARK, LIGHT, Look
from vault.screens.widgets.amount_fields import part_text


@pytest.fixture
def background(qapp: QApplication) -> Iterator[Background]:
    made = Background()
    yield made
    made.close()


@pytest.fixture
def book(tmp_path: Path, clock: Clock) -> Iterator[Book]:
    with Book.create(tmp_path / "shop.shop", zone="UTC", operator="Imke", clock=clock) as made:
        prices = {"Ag": "0.92", "Au": "64", "Pt": "33", "Pd": "36"}
        import_entries(
            made,
            [priced(at, one, f"{price} EUR") for at, (one, price) in enumerate(prices.items(), 1)],
        )
        read_sheets(made, demonstration_terms())
        yield made


@pytest.mark.parametrize("look", [LIGHT, DARK], ids=lambda look: look.name)
def test_terms_and_a_parcel_under_them_look_as_approved(
    qtbot: QtBot,
    qapp: QApplication,
    background: Background,
    pictures: Pictures,
    tmp_path: Path,
    book: Book,
    look: Look,
) -> None:
    """A rich drum, a sheet that was changed and not saved, and a day that cannot be."""
    dress(qapp, look)
    office = Office(qtbot, background, HouseStyle(look), tmp_path, book)
    office.holder.resize(1308, 860)
    office.screen.choose("Lowland Residue Works\nflat lot fee")
    office.types(office.screen.page.form.head.valid_until, "1 Jan 2020")
    office.settle()
    office.screen.choose("Lowland Residue Works\nby the kilo")
    example = office.screen.example
    example.received.write("60 kg")
    example.grades["Ag"].write("12 g/kg")
    example.grades["Au"].write(part_text(fineness("40 g/t"), "."))
    example.edited.emit()
    office.settle()
    # What was laid out last is in its place once nothing is posted any more.
    for _ in range(3):
        qapp.sendPostedEvents()
    # No blinking cursor: nobody is at the keyboard.
    office.screen.setFocus()
    office.screen.list.rows.clearFocus()
    image = office.screen.grab().toImage()
    office.close()
    qapp.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    pictures.compare(f"terms-{look.name}", image)
