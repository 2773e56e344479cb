"""The form of a settlement, typed and clicked at as a reader does, over a real book."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from itertools import pairwise

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from pytestqt.qtbot import QtBot

from builders import priced, received, sent, thing
from screens.holding import press, texts
from screens.shipments.conftest import Desk, Opened
from terms_samples import altered
from vault.application.book import Book
from vault.application.figures import work_out
from vault.application.operations.recording import import_entries
from vault.application.queries.answers.shipments import Way
from vault.application.queries.shipments import shipment_detail
from vault.application.terms_sheets import keep_sheet
from vault.core.terms_sheets import Comes
from vault.screens.background import Background
from vault.screens.look import LIGHT
from vault.screens.shipments.settle import SettleForm
from vault.screens.style_sheet import style_sheet

CUPELS = [
    thing(f"K-{at}", "spent cupel", "50000", "Ag 3 ± 0.05", how="fire assay", place="drum K")
    for at in range(4)
]


@pytest.fixture
def out(book: Book) -> Book:
    """Give the book with 200 kg of cupels out, by the shop's own assays 600 g of silver."""
    import_entries(
        book,
        (
            received(4, *CUPELS, lot="L-4"),
            priced(5, "Ag", "0.90 EUR"),
            sent(6, "K-0 K-1 K-2 K-3", ref="V-1", terms="by the kilo (version 1)"),
        ),
    )
    work_out(book)
    return book


def typed(qtbot: QtBot, background: Background, form: SettleForm, weight: str, grade: str) -> None:
    """Type what they found, and wait until everything is said of it."""
    qtbot.keyClicks(form.received.line, weight)
    qtbot.keyClicks(form.agreed.rows[0].contents.fields[0].line, f"{grade} g/t")
    qtbot.waitUntil(lambda: background.is_idle)


def test_what_they_found_stands_against_the_own_estimate_and_the_sheet(
    qtbot: QtBot, desk: Desk, opened: Opened, out: Book, background: Background
) -> None:
    form = SettleForm(desk.kit, "V-1")
    opened(form)
    assert form.what.text() == "Lowland · by the kilo (version 1) · 4 items · 200.0 kg"
    typed(qtbot, background, form, "200 kg", "2980 ± 30")
    told = texts(form.against)
    assert "596 ± 6 g" in told
    assert any("within the limit of" in one for one in told)
    assert any("US 10 CFR 74" in one for one in told)
    assert "treatment, 1.5 for 1 kg" in texts(form.sheet)
    assert not form.dispute.isVisibleTo(form)


def test_the_lines_of_the_sheet_are_taken_corrected_and_recorded(
    qtbot: QtBot, desk: Desk, opened: Opened, out: Book, background: Background
) -> None:
    form = SettleForm(desk.kit, "V-1")
    told = opened(form)
    typed(qtbot, background, form, "200 kg", "3000 ± 30")
    qtbot.mouseClick(form.by_sheet, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: background.is_idle)
    lines = [(str(one.kind.value), one.words.text, one.money.text) for one in form.amounts.rows]
    assert lines == [
        ("paid", "Ag paid, 85 %", "448.35"),
        ("charged", "treatment", "300"),
        ("charged", "assays, 1", "15"),
    ]
    money = form.amounts.rows[0].money.line
    money.clear()
    qtbot.keyClicks(money, "440")
    qtbot.waitUntil(lambda: any("8.35 EUR less" in one for one in texts(form.sheet)))
    qtbot.keyClick(form, Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
    qtbot.waitUntil(lambda: told == ["Shipment V-1 settled: entry 7."], timeout=20_000)
    detail = shipment_detail(out, "V-1")
    assert detail.row.way is Way.SETTLED
    assert detail.settlements[0].lines == (
        "the whole · 200000 g · Ag 3.00 ± 0.03 ‰",
        "440.00 EUR · Ag paid, 85 %",
        "-300.00 EUR · treatment",
        "-15.00 EUR · assays, 1",
    )


def test_beyond_the_limit_it_says_what_to_check_and_gives_a_text_to_copy(
    qtbot: QtBot, desk: Desk, opened: Opened, out: Book, background: Background
) -> None:
    form = SettleForm(desk.kit, "V-1")
    opened(form)
    typed(qtbot, background, form, "196 kg", "2000 ± 20")
    qtbot.waitUntil(lambda: form.dispute.isVisibleTo(form))
    assert form.dispute.sentence.text().startswith("They found 208 g less silver than you thought")
    assert "1. Weights: They received 4.0 kg (2.0 %) less" in form.dispute.checks.text()
    assert "an umpire costs 90.00 by the sheet" in form.dispute.umpire.text()
    press(qtbot, form, "Copy the text to the refinery")
    copied = QGuiApplication.clipboard().text()
    assert copied.startswith("To Lowland\n\nOur shipment V-1 of ")
    assert "Please keep the reserve sample" in copied
    press(qtbot, form, "Print it as a letter …")
    assert desk.letters == [("The settlement of shipment V-1", copied)]


def test_where_they_found_more_there_is_no_letter_to_send(
    qtbot: QtBot, desk: Desk, opened: Opened, out: Book, background: Background
) -> None:
    form = SettleForm(desk.kit, "V-1")
    opened(form)
    typed(qtbot, background, form, "200 kg", "4000 ± 20")
    qtbot.waitUntil(lambda: form.dispute.isVisibleTo(form))
    assert "Nothing is to be disputed" in form.dispute.sentence.text()
    assert not form.dispute.print_button.isVisibleTo(form)
    assert not form.dispute.copy_button.isVisibleTo(form)
    assert "What the terms sheet makes of it, in EUR" in texts(form.sheet)


def test_a_single_item_is_settled_by_its_tag_and_a_strange_one_is_refused(
    qtbot: QtBot, desk: Desk, opened: Opened, out: Book, background: Background
) -> None:
    form = SettleForm(desk.kit, "V-1")
    told = opened(form)
    row = form.agreed.rows[0]
    qtbot.keyClicks(row.of.line, "S-1")
    typed(qtbot, background, form, "50 kg", "3000")
    qtbot.waitUntil(lambda: form.refusal.words.text() == "S-1 was not in shipment V-1.")
    row.of.line.clear()
    qtbot.keyClicks(row.of.line, "K-2")
    qtbot.waitUntil(lambda: background.is_idle and not form.refusal.words.text())
    press(qtbot, form, "Record it")
    qtbot.waitUntil(lambda: bool(told), timeout=20_000)
    assert shipment_detail(out, "V-1").row.way is Way.IN_PART


def test_nothing_is_recorded_while_nothing_is_typed_or_something_cannot_be_read(
    qtbot: QtBot, desk: Desk, opened: Opened, out: Book, background: Background
) -> None:
    form = SettleForm(desk.kit, "V-1")
    opened(form)
    press(qtbot, form, "Record it")
    assert form.refusal.words.text() == (
        "Nothing is settled yet; type a grade they found, or a line of money."
    )
    qtbot.keyClicks(form.amounts.rows[0].money.line, "much")
    press(qtbot, form, "Record it")
    assert "much" in form.refusal.words.text()
    qtbot.waitUntil(lambda: background.is_idle)
    assert shipment_detail(out, "V-1").row.way is not Way.SETTLED


def test_metal_back_becomes_a_new_item_with_a_tag_of_its_own(
    qtbot: QtBot, desk: Desk, opened: Opened, out: Book, background: Background
) -> None:
    metal = replace(altered(name="metal back", party="Lowland"), returns=Comes.METAL)
    keep_sheet(out, replace(metal, valid_from=date(2031, 1, 1)))
    import_entries(
        out,
        (
            received(7, thing("M-1", "slag", "5000", "Ag 50"), lot="L-7"),
            sent(8, "M-1", ref="V-2", terms="metal back (version 1)"),
        ),
    )
    work_out(out)
    form = SettleForm(desk.kit, "V-2")
    told = opened(form)
    row = form.back.rows[0]
    qtbot.waitUntil(lambda: bool(row.tag.text))
    tag = row.tag.text
    typed(qtbot, background, form, "5 kg", "50000")
    qtbot.keyClicks(row.weight.line, "210")
    qtbot.keyClicks(row.contents.fields[0].line, "99.9 %")
    press(qtbot, form, "Record it")
    qtbot.waitUntil(lambda: bool(told), timeout=20_000)
    work_out(out)
    assert out.reckoned is not None
    item = out.reckoned.shop.items[tag]
    assert (item.form, item.lot) == ("bar", "V-2 back")


def test_a_row_of_metal_back_left_as_it_was_put_in_counts_as_not_there(
    qtbot: QtBot, desk: Desk, opened: Opened, out: Book, background: Background
) -> None:
    form = SettleForm(desk.kit, "V-1")
    told = opened(form)
    typed(qtbot, background, form, "200 kg", "3000 ± 30")
    press(qtbot, form, "Metal came back …")
    [row] = form.back.rows
    qtbot.waitUntil(lambda: bool(row.tag.text))
    assert row.is_empty
    assert form.draft().back == ()
    row.tag.line.clear()
    qtbot.keyClicks(row.weight.line, "5")
    press(qtbot, form, "Record it")
    assert form.refusal.words.text() == "What came back needs a tag of its own."
    row.weight.line.clear()
    press(qtbot, form, "Record it")
    qtbot.waitUntil(lambda: told == ["Shipment V-1 settled: entry 7."], timeout=20_000)


def test_rows_are_taken_out_by_their_cross_and_by_a_key_and_one_to_fill_in_stays(
    qtbot: QtBot, desk: Desk, opened: Opened, out: Book, background: Background
) -> None:
    form = SettleForm(desk.kit, "V-1")
    opened(form)
    typed(qtbot, background, form, "200 kg", "3000 ± 30")
    qtbot.mouseClick(form.by_sheet, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: background.is_idle)
    assays = form.amounts.rows[2]
    qtbot.mouseClick(assays.remove_button, Qt.MouseButton.LeftButton)
    assert [one.words.text for one in form.amounts.rows] == ["Ag paid, 85 %", "treatment"]
    assert form.amounts.rows[1].words.line.hasFocus()
    form.amounts.rows[1].money.setFocus()
    qtbot.keyClick(
        form.amounts.rows[1].money.line, Qt.Key.Key_Delete, Qt.KeyboardModifier.ControlModifier
    )
    assert [one.words.text for one in form.amounts.rows] == ["Ag paid, 85 %"]
    qtbot.mouseClick(form.amounts.rows[0].remove_button, Qt.MouseButton.LeftButton)
    assert [one.texts()["money"] for one in form.amounts.rows] == [""]
    press(qtbot, form, "Metal came back …")
    qtbot.mouseClick(form.back.rows[0].remove_button, Qt.MouseButton.LeftButton)
    assert form.back.rows == []
    assert form.back.more.hasFocus()
    qtbot.waitUntil(lambda: background.is_idle)


def test_metal_back_put_in_after_a_row_was_taken_out_gets_another_tag_than_the_one_that_stays(
    qtbot: QtBot, desk: Desk, opened: Opened, out: Book, background: Background
) -> None:
    form = SettleForm(desk.kit, "V-1")
    opened(form)
    for _ in range(2):
        press(qtbot, form, "Metal came back …")
        qtbot.waitUntil(lambda: background.is_idle)
    qtbot.mouseClick(form.back.rows[0].remove_button, Qt.MouseButton.LeftButton)
    press(qtbot, form, "Metal came back …")
    qtbot.waitUntil(lambda: background.is_idle)
    stays, new = (one.tag.text for one in form.back.rows)
    assert stays
    assert new
    assert stays != new


def test_enter_leads_from_field_to_field_through_every_row_to_the_main_button(
    qtbot: QtBot, desk: Desk, opened: Opened, out: Book, background: Background
) -> None:
    form = SettleForm(desk.kit, "V-1")
    opened(form)
    for words in ("One more line: a container, or an item", "One more line of money"):
        press(qtbot, form, words)
    press(qtbot, form, "Metal came back …")
    qtbot.waitUntil(lambda: background.is_idle)
    [back] = form.back.rows
    expected = [form.received.line, form.dry.line, form.priced.line]
    for found in form.agreed.rows:
        grades = [one.line for one in found.contents.fields]
        expected += [found.of.line, found.weight.line, *grades]
    for money in form.amounts.rows:
        expected += [money.words.line, money.money.line]
    expected += [back.tag.line, back.form.line, back.weight.line, back.place.line]
    expected += [one.line for one in back.contents.fields]
    form.received.setFocus()
    for line, following in pairwise([*expected, form.record_button]):
        assert line.hasFocus(), line.accessibleName()
        qtbot.keyClick(line, Qt.Key.Key_Return)
        qtbot.waitUntil(following.hasFocus)
    assert not form.refusal.words.text()


def test_words_without_an_amount_and_a_weight_without_a_grade_are_not_lost_in_silence(
    qtbot: QtBot, desk: Desk, opened: Opened, out: Book, background: Background
) -> None:
    form = SettleForm(desk.kit, "V-1")
    opened(form)
    typed(qtbot, background, form, "200 kg", "3000 ± 30")
    qtbot.keyClicks(form.amounts.rows[0].words.line, "silver")
    press(qtbot, form, "Record it")
    assert form.refusal.words.text() == (
        "“silver” has no amount yet; type it, or take the line out."
    )
    qtbot.mouseClick(form.amounts.rows[0].remove_button, Qt.MouseButton.LeftButton)
    press(qtbot, form, "One more line: a container, or an item")
    qtbot.keyClicks(form.agreed.rows[1].of.line, "K-2")
    press(qtbot, form, "Record it")
    assert form.refusal.words.text() == (
        "What was found of K-2 has no grade yet; type one, or take the line out."
    )
    qtbot.waitUntil(lambda: background.is_idle)


def test_paid_or_charged_is_level_with_the_fields_beside_it_and_the_amount_says_its_currency(
    qtbot: QtBot, desk: Desk, opened: Opened, out: Book
) -> None:
    form = SettleForm(desk.kit, "V-1")
    form.setStyleSheet(style_sheet(LIGHT))
    opened(form)
    [row] = form.amounts.rows
    qtbot.waitUntil(lambda: row.kind.height() == row.words.line.height())
    assert row.money.line.placeholderText() == "EUR"


def test_a_form_that_grows_below_the_edge_of_the_screen_moves_up_so_that_its_buttons_are_seen(
    qtbot: QtBot, desk: Desk, opened: Opened, out: Book, background: Background
) -> None:
    form = SettleForm(desk.kit, "V-1")
    opened(form)
    bottom = form.screen().availableGeometry().bottom()
    form.move(0, bottom - form.frameGeometry().height())
    typed(qtbot, background, form, "196 kg", "2000 ± 20")
    qtbot.waitUntil(lambda: form.dispute.isVisibleTo(form))
    qtbot.waitUntil(lambda: form.frameGeometry().bottom() <= bottom)
    assert form.y() >= 0


def test_what_was_typed_before_a_crash_comes_back(
    qtbot: QtBot, desk: Desk, opened: Opened, out: Book, background: Background
) -> None:
    form = SettleForm(desk.kit, "V-1")
    opened(form)
    typed(qtbot, background, form, "200 kg", "2980 ± 30")
    qtbot.mouseClick(form.by_sheet, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: background.is_idle)
    again = SettleForm(desk.kit, "V-1")
    again.fill(form.content())
    assert again.content() == form.content()
    again.deleteLater()
