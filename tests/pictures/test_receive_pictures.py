"""The form of a receipt, filled in, as it was approved, light and dark."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QEvent
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from builders import said
from conftest import Clock
from pictures.comparing import Pictures
from pictures.test_safe_pictures import dress
from screens.receiving import Counter
from vault.application.book import Book
from vault.application.holds import Hold, set_hold
from vault.core.daybook import Terms
from vault.screens.background import Background
from vault.screens.house_style import HouseStyle
from vault.screens.look import DARK, LIGHT, Look

BAGS = (
    ("filings", "112.5", "12.5", "Ag 925 ± 5", ""),
    ("sweeps", "1404.2", "", "", "floor of the polishing room"),
    ("scrap", "86.31", "", "Au 660, Ag 120", "offcuts with solder"),
)


@pytest.fixture
def background(qapp: QApplication) -> Iterator[Background]:
    made = Background()
    yield made
    made.close()


@pytest.fixture
def book(tmp_path: Path, clock: Clock) -> Iterator[Book]:
    with Book.create(
        tmp_path / "shop.shop", zone="Europe/Oslo", operator="Imke", clock=clock
    ) as made:
        set_hold(made, Hold(14, "Fjordvik", "dealer's licence of 2030"))
        yield made


@pytest.mark.parametrize("look", [LIGHT, DARK], ids=lambda look: look.name)
def test_a_filled_receipt_looks_as_approved(
    qtbot: QtBot,
    qapp: QApplication,
    background: Background,
    pictures: Pictures,
    tmp_path: Path,
    book: Book,
    look: Look,
) -> None:
    dress(qapp, look)
    counter = Counter(qtbot, background, HouseStyle(look), tmp_path, book)
    counter.holder.resize(1308, 860)
    form = counter.screen.form
    form.lot.party.write("Pennant Bench School")
    form.lot.terms.write(Terms.TOLL)
    form.lot.origin.write("trays of three benches, swept in February")
    for place, (what, gross, tare, contents, note) in enumerate(BAGS):
        card = form.bags.cards[place] if place < len(form.bags.cards) else form.bags.add()
        card.form.write(what)
        card.gross.write(gross)
        card.tare.write(tare)
        card.contents.write(said(contents))
        card.place.write("shelf 2")
        card.note.write(note)
        card.edited.emit()
    counter.settle()
    qtbot.waitUntil(lambda: form.lot.hold.text != "")
    counter.settle()
    # No blinking cursor: nobody is at the keyboard.
    counter.focused().clearFocus()
    image = counter.screen.grab().toImage()
    counter.close()
    qapp.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    pictures.compare(f"receive-{look.name}", image)
