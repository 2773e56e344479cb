"""The page of what sending hangs on, opened from the window's settings and typed at."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QDialogButtonBox, QMainWindow
from pytestqt.qtbot import QtBot

from builders import priced
from conftest import Clock
from screens.holding import write
from screens.receiving import Writer
from vault.application.book import Book
from vault.application.circumstances import (
    circumstances_to_set,
    own_circumstances,
    set_circumstances,
    usual_values,
)
from vault.application.holds import hold_of, insist, set_hold
from vault.application.operations.recording import import_entries
from vault.core.circumstances import ASKED, BY_PATH, Asked, OwnCircumstances, Value
from vault.core.makeup import makeup_from_text
from vault.core.turnover import TurnoverRule
from vault.screens.background import Background
from vault.screens.settings.choices import Choices
from vault.screens.settings.dialog import SettingsDialog
from vault.screens.settings.room import SendingQuestions, SettingsRoom, ShopQuestions
from vault.screens.settings.sending_page import SendingPage
from vault.screens.settings.value_field import ValueField
from vault.screens.widgets.fields import Field

OWN = OwnCircumstances(
    values={"wage": Value(42.5), "interest": Value(0.065), "recovery.Ag": Value(0.9, 0.03)},
    works=True,
    samples=False,
    turnover=TurnoverRule(Fraction(3, 4), "Fjordvik", "the county's paper of 2030"),
)
Opened = Callable[[], tuple[SettingsDialog, SendingPage]]


@pytest.fixture
def book(tmp_path: Path, clock: Clock) -> Iterator[Book]:
    with Book.create(tmp_path / "shop.shop", zone="UTC", clock=clock) as made:
        import_entries(made, [priced(1, "Ag", "0.92 EUR")])
        yield made


@pytest.fixture
def opened(qtbot: QtBot, background: Background, choices: Choices, book: Book) -> Opened:
    """Give a function that opens the settings at the page."""
    window = QMainWindow()
    qtbot.addWidget(window)
    window.show()
    sending = SendingQuestions(circumstances_to_set, set_circumstances)  # type: ignore[arg-type]  # no book known
    questions = ShopQuestions(hold_of, insist, set_hold, sending=sending)  # type: ignore[arg-type]  # no book known
    room = SettingsRoom(choices, background, Writer(background, book), questions, window)

    def show() -> tuple[SettingsDialog, SendingPage]:
        def seen() -> list[SettingsDialog]:
            return [one for one in window.findChildren(SettingsDialog) if one.isVisible()]

        room.show(book)
        qtbot.waitUntil(lambda: bool(seen()))
        (dialog,) = seen()
        (page,) = dialog.findChildren(SendingPage)
        dialog.pages.setCurrentWidget(page)
        dialog.activateWindow()
        qtbot.waitUntil(dialog.isActiveWindow)
        return dialog, page

    return show


def save(dialog: SettingsDialog) -> None:
    buttons = dialog.findChildren(QDialogButtonBox)[0]
    buttons.button(QDialogButtonBox.StandardButton.Save).click()


def types(qtbot: QtBot, field: Field, text: str) -> None:
    field.line.setFocus()
    field.line.selectAll()
    qtbot.keyClick(field.line, Qt.Key.Key_Backspace)
    write(field.line, text)
    qtbot.keyClick(field.line, Qt.Key.Key_Tab)


def test_an_untouched_page_shows_the_handbook_s_guesses_and_keeps_nothing(
    opened: Opened, book: Book, qtbot: QtBot
) -> None:
    dialog, page = opened()
    assert page.fields["interest"].text == ""
    assert page.fields["interest"].line.placeholderText() == "8 %"
    assert page.fields["wage"].line.placeholderText() == "30 EUR"
    assert page.fields["recovery.Ag"].line.placeholderText().count("±") == 1
    assert not page.turnover.is_held.isChecked()
    assert page.turnover.share.text == "75 %"
    save(dialog)
    assert book.file.setting("circumstances") == ""


def test_what_is_typed_is_kept_and_shown_again(opened: Opened, book: Book, qtbot: QtBot) -> None:
    dialog, page = opened()
    types(qtbot, page.fields["wage"], "42.50 EUR")
    types(qtbot, page.fields["interest"], "6.5 %")
    types(qtbot, page.fields["recovery.Ag"], "90 ± 3")
    page.samples.click()
    page.turnover.is_held.click()
    types(qtbot, page.turnover.place, "Fjordvik")
    types(qtbot, page.turnover.source, "the county's paper of 2030")
    save(dialog)
    qtbot.waitUntil(lambda: own_circumstances(book) == OWN)
    dialog, page = opened()
    assert page.fields["wage"].text == "42.5 EUR"
    assert page.fields["recovery.Ag"].text == "90 ± 3 %"
    assert not page.fields["sampling.assay"].isVisibleTo(page)
    assert page.fields["flux_per_kg"].isVisibleTo(page)
    assert page.circumstances() == OWN
    dialog.reject()


def test_what_residues_are_made_of_is_typed_kept_and_shown_again(
    opened: Opened, book: Book, qtbot: QtBot
) -> None:
    dialog, page = opened()
    assert "such as dry 98 %" in page.makeup["slag"].line.placeholderText()
    types(qtbot, page.makeup["spent cupel"], "dry 98%; Pb 55 %")
    save(dialog)
    made = {"spent cupel": makeup_from_text("dry 98 %, Pb 55 %")}
    qtbot.waitUntil(lambda: own_circumstances(book).makeup == made)
    dialog, page = opened()
    assert page.makeup["spent cupel"].text == "dry 98 %, Pb 55 %"
    types(qtbot, page.makeup["spent cupel"], "")
    save(dialog)
    qtbot.waitUntil(lambda: own_circumstances(book).makeup == {})


def test_a_makeup_that_cannot_be_read_keeps_nothing_and_says_why(
    opened: Opened, book: Book, qtbot: QtBot
) -> None:
    dialog, page = opened()
    types(qtbot, page.makeup["slag"], "much lead")
    save(dialog)
    assert dialog.isVisible()
    assert "“much lead” is no part of it" in page.makeup["slag"].said_of_it.text
    assert own_circumstances(book) == OwnCircumstances()
    dialog.reject()


def test_an_emptied_field_is_the_handbook_s_again(opened: Opened, book: Book, qtbot: QtBot) -> None:
    set_circumstances(book, OWN)
    dialog, page = opened()
    types(qtbot, page.fields["wage"], "")
    page.turnover.is_held.click()
    page.works.click()
    assert not page.fields["recovery.Ag"].isVisibleTo(page)
    save(dialog)
    qtbot.waitUntil(lambda: "wage" not in own_circumstances(book).values)
    own = own_circumstances(book)
    assert (own.works, own.turnover) == (False, None)
    assert own.values["interest"] == Value(0.065)


def test_nothing_is_kept_when_it_is_cancelled(opened: Opened, book: Book, qtbot: QtBot) -> None:
    dialog, page = opened()
    types(qtbot, page.fields["wage"], "42.50")
    dialog.reject()
    assert own_circumstances(book) == OwnCircumstances()


@pytest.mark.parametrize(
    ("path", "text", "words"),
    [
        ("wage", "a lot", "“a lot” cannot be read; type it like 30 EUR."),
        ("wage", "30 ± 2", "has a ± where none belongs"),
        ("wage", "-3", "it is at least nothing."),
        ("interest", "130 %", "it is at most 100 %."),
        ("recovery.Ag", "90 ± 3 ± 2 %", "is no value with its ±; type it like 96 ± 2 %."),
        ("recovery.Ag", "90 ± 300 %", "its ± lies between nothing and 100 %."),
        ("sampling.sample_g", "0 g", "it is more than nothing."),
        ("days", "1,234", "cannot be read; type it like 14 days."),
    ],
)
def test_what_cannot_be_is_told_under_its_field_and_nothing_is_closed(
    opened: Opened, book: Book, qtbot: QtBot, path: str, text: str, words: str
) -> None:
    dialog, page = opened()
    types(qtbot, page.fields[path], text)
    assert words in page.fields[path].said_of_it.text
    save(dialog)
    assert dialog.isVisible()
    assert words in page.fields[path].said_of_it.text
    assert QApplication.focusWidget() is page.fields[path].line
    assert own_circumstances(book) == OwnCircumstances()
    dialog.reject()


@pytest.mark.parametrize(
    ("field", "text", "words"),
    [
        ("share", "", "Type the share that is to be moved on, such as 75 %."),
        ("share", "75", "Is 75 meant as 75 ‰ or 75 %?"),
        ("share", "0 %", "lies above nothing and up to 100 %"),
        ("place", "", "names no place"),
        ("source", "", "names no source"),
    ],
)
def test_a_rule_of_law_without_its_place_is_told_under_its_field(
    opened: Opened, book: Book, qtbot: QtBot, field: str, text: str, words: str
) -> None:
    dialog, page = opened()
    page.turnover.is_held.click()
    one: Field = getattr(page.turnover, field)
    types(qtbot, one, text)
    save(dialog)
    assert dialog.isVisible()
    assert words in one.said_of_it.text
    assert own_circumstances(book) == OwnCircumstances()
    dialog.reject()


def field_of(asked: Asked, mark: str = ".") -> ValueField:
    return ValueField(asked, usual_values()[asked.path], "EUR", mark)


def values_of(asked: Asked) -> st.SearchStrategy[Value]:
    amounts = st.integers(1, 10_000).map(lambda one: one / 10_000 * min(asked.most, 1.0))
    return st.builds(Value, amounts, amounts if asked.has_doubt else st.none())


@given(st.sampled_from(ASKED).flatmap(lambda one: st.tuples(st.just(one), values_of(one))))
def test_a_value_reads_back_as_it_was_written(pair: tuple[Asked, Value]) -> None:
    asked, value = pair
    for mark in (".", ","):
        field = field_of(asked, mark)
        field.write_value(value)
        assert field.value() == value
        field.deleteLater()


@pytest.mark.parametrize(
    ("path", "text", "value"),
    [
        ("wage", "30", Value(30.0)),
        ("wage", "30 eur", Value(30.0)),
        ("interest", "8", Value(0.08)),
        ("interest", "8 percent", Value(0.08)),
        ("days", "14 d", Value(14.0)),
        ("hours_per_lot", "2 hours", Value(2.0)),
        ("flux_per_kg", "1.5 kg", Value(1.5)),
        ("sampling.sample_g", "500 g", Value(500.0)),
        ("settlement_limit", "3 times", Value(3.0)),
        ("recovery.Au", "92 +- 4 %", Value(0.92, 0.04)),
        ("recovery.Au", "92 %", Value(0.92)),
    ],
)
def test_a_value_is_read_with_its_unit_or_without(
    qtbot: QtBot, path: str, text: str, value: Value
) -> None:
    field = field_of(BY_PATH[path])
    qtbot.addWidget(field)
    field.write(text)
    assert field.value() == value
