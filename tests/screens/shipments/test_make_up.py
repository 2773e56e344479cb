"""A shipment is made up with keys and clicks over a real book."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from builders import mass, received, sealed, sent, thing
from screens.bench_books import last_entry, number_of_entries
from screens.holding import press, texts
from screens.shipments.conftest import Desk, Opened
from vault.application.book import Book
from vault.application.figures import work_out
from vault.application.operations.recording import import_entries
from vault.core.cautions import LEAD, TRANSPORT
from vault.core.daybook import Act
from vault.screens.background import Background
from vault.screens.look import LIGHT
from vault.screens.screen import Chosen
from vault.screens.shipments.make_up import ShipmentForm
from vault.screens.style_sheet import style_sheet
from vault.screens.widgets.cards import Caution
from vault.store.entries import load_entries

ENTER = Qt.Key.Key_Return


def type_into(qtbot: QtBot, where: QWidget, words: str) -> None:
    qtbot.keyClicks(where, words)
    qtbot.keyClick(where, ENTER)


def settled_down(qtbot: QtBot, background: Background) -> None:
    qtbot.waitUntil(lambda: background.is_idle, timeout=20_000)


def cells(form: ShipmentForm) -> list[list[str]]:
    model = form.packed.model
    return [
        [str(model.index(row, at).data()).replace("\u202f", " ") for at in range(4)]
        for row in range(model.rowCount())
    ]


def test_a_drum_goes_by_keys_alone(
    qtbot: QtBot, desk: Desk, opened: Opened, background: Background, book: Book
) -> None:
    form = ShipmentForm(desk.kit, Chosen())
    told = opened(form)
    assert form.number.text == "V-0001"
    assert form.focusWidget() is form.party.line
    type_into(qtbot, form.party.line, "Low")
    assert form.party.text == "Lowland"
    assert form.terms.text == "by the kilo (version 1)"
    assert form.focusWidget() is form.terms.line
    qtbot.keyClick(form.terms.line, ENTER)
    qtbot.keyClick(form.number.line, ENTER)
    assert form.focusWidget() is form.packed.line.line
    type_into(qtbot, form.packed.line.line, "drum C")
    settled_down(qtbot, background)
    assert cells(form) == [["drum C", "4 spent cupels", "3 000.0 g", "–"]]
    type_into(qtbot, form.packed.line.line, "S-2")
    settled_down(qtbot, background)
    assert [row[0] for row in cells(form)] == ["drum C", "S-2"]
    form.packed.choose("drum C")
    qtbot.keyClick(form.packed.line.line, ENTER)
    assert form.focusWidget() is form.drum.full.line
    type_into(qtbot, form.drum.full.line, "3.25 kg")
    type_into(qtbot, form.drum.empty.line, "250")
    type_into(qtbot, form.drum.seal.line, "0417")
    type_into(qtbot, form.drum.witness.line, "Ole")
    settled_down(qtbot, background)
    assert cells(form)[0] == ["drum C", "4 spent cupels", "3 000.0 g", "0417"]
    qtbot.keyClick(form, ENTER, Qt.KeyboardModifier.ControlModifier)
    qtbot.waitUntil(
        lambda: told == ["Shipment V-0001, 5 items, sent to Lowland: entry 6."], timeout=20_000
    )
    act, lines = last_entry(book)
    assert act == "send"
    assert lines[0] == "out C-1 · Lowland · by the kilo (version 1) · in drum C · shipment V-0001"
    assert desk.printed == [6]
    with book.file.reading() as connection:
        weigh, seal = [one.entry for one in load_entries(connection, first=4)][:2]
    assert (weigh.act, weigh.lines[0].gross, weigh.lines[0].tare) == (
        Act.WEIGH, mass("3 kg"), mass("250 g"),
    )  # fmt: skip
    assert (seal.act, seal.lines[0].ref, seal.lines[0].witness) == (Act.SEAL, "0417", "Ole")


def test_the_own_estimate_stands_there_before_anything_is_recorded(
    qtbot: QtBot, desk: Desk, opened: Opened, book: Book
) -> None:
    form = ShipmentForm(desk.kit, Chosen(container="drum C"))
    opened(form)
    assert book.reckoned is not None
    total = book.reckoned.contents.total(["C-1", "C-2", "C-3"], "Ag")
    shown = desk.kit.style.numbers
    told = f"Ag {shown.uncut(round(total.fine_g * 1e6), round(total.u_g * 1e6))} g"
    assert told in texts(form.own)
    assert "Own estimate, for the shop alone" in texts(form.own)
    assert "Not known and not counted: every metal of 1 item." in texts(form.own)
    assert number_of_entries(book) == 3


def test_cautions_for_lead_and_the_road_stand_in_the_form(desk: Desk, opened: Opened) -> None:
    form = ShipmentForm(desk.kit, Chosen(container="drum C"))
    opened(form)
    shown = [one.words.text() for one in form.findChildren(Caution) if one.isVisibleTo(form)]
    assert shown[0] == LEAD
    assert TRANSPORT in shown


def test_the_button_beside_the_scan_line_is_level_with_it(
    qtbot: QtBot, desk: Desk, opened: Opened
) -> None:
    form = ShipmentForm(desk.kit, Chosen(container="drum C"))
    form.setStyleSheet(style_sheet(LIGHT))
    opened(form)
    line, button = form.packed.line.line, form.packed.remove

    def heights(one: QWidget) -> tuple[int, int]:
        return one.mapTo(form, one.rect().topLeft()).y(), one.height()

    qtbot.waitUntil(lambda: heights(line) == heights(button))


def test_enter_in_the_empty_scan_line_leads_to_the_button_and_records_nothing_yet(
    qtbot: QtBot, desk: Desk, opened: Opened, background: Background, book: Book
) -> None:
    form = ShipmentForm(desk.kit, Chosen(tags=("S-1",)))
    told = opened(form)
    qtbot.keyClicks(form.party.line, "Lowland")
    form.party.line.editingFinished.emit()
    qtbot.keyClicks(form.terms.line, "by the kilo (version 1)")
    before = number_of_entries(book)
    form.packed.setFocus()
    qtbot.keyClick(form.packed.line.line, ENTER)
    qtbot.waitUntil(form.record_button.hasFocus)
    settled_down(qtbot, background)
    assert (told, number_of_entries(book)) == ([], before)
    assert not form.refusal.words.text()


def test_what_is_chosen_elsewhere_is_on_the_list_when_the_form_opens(
    desk: Desk, opened: Opened
) -> None:
    form = ShipmentForm(desk.kit, Chosen(tags=("S-1", "S-2")))
    opened(form)
    assert [row[0] for row in cells(form)] == ["S-1", "S-2"]
    assert not form.drum.isVisibleTo(form)


def test_nothing_is_recorded_while_something_lacks(
    qtbot: QtBot, desk: Desk, opened: Opened, background: Background, book: Book
) -> None:
    form = ShipmentForm(desk.kit, Chosen())
    opened(form)
    press(qtbot, form, "Record it")
    assert form.refusal.words.text() == ("Nothing is on the list yet; scan or type what goes.")
    type_into(qtbot, form.packed.line.line, "S-1")
    settled_down(qtbot, background)
    press(qtbot, form, "Record it")
    assert form.refusal.words.text() == "Who gets it? Type the refinery's name."
    qtbot.keyClicks(form.party.line, "Orrin Works")
    form.number.line.clear()
    press(qtbot, form, "Record it")
    assert form.refusal.words.text() == (
        "Give the shipment a number, by which its settlement is found."
    )
    assert number_of_entries(book) == 3


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        (
            "drum Q",
            (
                "Nothing here is called drum Q: no residues lie in such a place, and no item has "
                "that tag. Check it."
            ),
        ),
        ("S-1", "S-1 is in the list already."),
    ],
)
def test_a_name_that_cannot_be_taken_is_told_under_the_line(
    qtbot: QtBot,
    desk: Desk,
    opened: Opened,
    background: Background,
    typed: str,
    said: str,
) -> None:
    form = ShipmentForm(desk.kit, Chosen(tags=("S-1",)))
    opened(form)
    type_into(qtbot, form.packed.line.line, typed)
    qtbot.waitUntil(lambda: form.packed.line.said_of_it.text == said)


def test_what_is_gone_is_told_and_not_taken(
    qtbot: QtBot, desk: Desk, opened: Opened, background: Background, book: Book
) -> None:
    import_entries(book, [sent(4, "S-1")])
    form = ShipmentForm(desk.kit, Chosen())
    opened(form)
    type_into(qtbot, form.packed.line.line, "S-1")
    settled_down(qtbot, background)
    assert form.packed.line.said_of_it.text.startswith("S-1 is not on hand: ")
    assert form.packed.tags == []


def test_a_line_is_taken_off_the_list_again(
    qtbot: QtBot, desk: Desk, opened: Opened, background: Background
) -> None:
    form = ShipmentForm(desk.kit, Chosen(tags=("S-1", "S-2")))
    opened(form)
    form.packed.choose("S-1")
    press(qtbot, form, "Take it off the list")
    settled_down(qtbot, background)
    assert [row[0] for row in cells(form)] == ["S-2"]


def test_what_the_book_refuses_stands_in_the_form_at_once(
    qtbot: QtBot, desk: Desk, opened: Opened, background: Background, book: Book
) -> None:
    import_entries(book, [sealed(4, "drum C", "0417")])
    form = ShipmentForm(desk.kit, Chosen(tags=("C-1",)))
    opened(form)
    assert form.refusal.words.text().startswith("C-1 lies in drum C, which is under seal 0417")
    before = number_of_entries(book)
    qtbot.keyClicks(form.party.line, "Lowland")
    press(qtbot, form, "Record it")
    qtbot.waitUntil(lambda: form.record_button.isEnabled() and background.is_idle, timeout=20_000)
    assert form.refusal.words.text().startswith("C-1 lies in drum C, which is under seal 0417")
    assert number_of_entries(book) == before


def test_each_drum_keeps_what_was_typed_of_it(
    qtbot: QtBot, desk: Desk, opened: Opened, background: Background
) -> None:
    form = ShipmentForm(desk.kit, Chosen(container="drum C"))
    opened(form)
    qtbot.keyClicks(form.drum.full.line, "3.2 kg")
    qtbot.keyClicks(form.drum.seal.line, "0417")
    type_into(qtbot, form.packed.line.line, "drum D")
    settled_down(qtbot, background)
    form.packed.choose("drum D")
    assert (form.drum.full.text, form.drum.seal.text) == ("", "")
    qtbot.keyClicks(form.drum.full.line, "rubbish")
    form.packed.choose("drum C")
    assert (form.drum.full.text, form.drum.seal.text) == ("3.2 kg", "0417")
    qtbot.keyClicks(form.party.line, "Lowland")
    press(qtbot, form, "Record it")
    assert form.refusal.words.text() == "The weight of drum D full cannot be read: “rubbish”."
    assert form.packed.chosen == "drum D"


def test_a_half_filled_shipment_comes_back_after_a_crash_and_is_recorded_once(
    qtbot: QtBot, desk: Desk, opened: Opened, background: Background, book: Book
) -> None:
    first = ShipmentForm(desk.kit, Chosen(container="drum C"))
    opened(first)
    qtbot.keyClicks(first.party.line, "Lowland")
    qtbot.keyClicks(first.drum.full.line, "3.2 kg")
    settled_down(qtbot, background)
    first.on_edited()
    settled_down(qtbot, background)
    desk.kit.drafts.close()
    # The entry was written, and the program died before it heard of it.
    first.operation(first._key)(book)
    many = number_of_entries(book)
    again = ShipmentForm(desk.kit, Chosen(container="drum C"))
    told = opened(again)
    assert again.came_back.isVisibleTo(again)
    assert (again.party.text, again.drum.texts_of("drum C").full.text) == ("Lowland", "3.2 kg")
    press(qtbot, again, "Record it")
    qtbot.waitUntil(lambda: bool(told), timeout=20_000)
    assert number_of_entries(book) == many


def test_a_drum_of_thousands_has_no_widget_for_each(
    qtbot: QtBot, desk: Desk, opened: Opened, background: Background, book: Book
) -> None:
    many = [thing(f"K-{at:04d}", "spent cupel", "400", place="drum X") for at in range(3000)]
    import_entries(book, [received(4, *many, lot="L-4")])
    work_out(book)
    small = ShipmentForm(desk.kit, Chosen(container="drum C"))
    opened(small)
    few = len(small.findChildren(QWidget))
    form = ShipmentForm(desk.kit, Chosen(container="drum X"))
    opened(form)
    settled_down(qtbot, background)
    assert cells(form)[0][1] == "3 000 spent cupels"
    assert len(form.findChildren(QWidget)) <= few + 4
