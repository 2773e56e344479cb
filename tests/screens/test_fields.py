"""Fields of the recording forms, typed at as a reader does."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QVBoxLayout, QWidget
from pytestqt.qtbot import QtBot

from builders import said
from screens.holding import pick, write
from vault.core.daybook import Said, When
from vault.core.fineness import WHOLE_PPB, Fineness
from vault.screens.house_style import HouseStyle
from vault.screens.look import DARK, FIELD_HEIGHT, LIGHT, Look
from vault.screens.numbers import Numbers
from vault.screens.style_sheet import style_sheet
from vault.screens.widgets.day_fields import DayField, WhenField
from vault.screens.widgets.fields import Field
from vault.screens.widgets.fineness_field import ContentsField, FinenessField
from vault.screens.widgets.named_field import NamedField

TODAY = date(2031, 3, 14)
NOW = datetime(2031, 3, 14, 15, 20, tzinfo=UTC)
CUSTOMERS = ("Pennant Bench School", "Saltmarsh Camera Club", "Fernhill Dental Lab")
FORMS = ("filings", "sweeps", "bar", "button", "bead")


@pytest.fixture
def page(qtbot: QtBot) -> QWidget:
    made = QWidget()
    QVBoxLayout(made)
    qtbot.addWidget(made)
    made.resize(500, 300)
    return made


def put(page: QWidget, qtbot: QtBot, *fields: QWidget) -> None:
    layout = page.layout()
    assert layout is not None
    for one in fields:
        layout.addWidget(one)
    page.show()
    page.activateWindow()
    qtbot.waitUntil(page.isActiveWindow)
    fields[0].setFocus()


def types(qtbot: QtBot, field: Field, text: str, *, enter: bool = True) -> None:
    field.line.setFocus()
    field.line.selectAll()
    write(field.line, text)
    if enter:
        # As with a real keyboard, what pops up gets the key first.
        qtbot.keyClick(QApplication.activePopupWidget() or field.line, Qt.Key.Key_Return)


def told(field: Field) -> str:
    return field.said_of_it.text if not field.said_of_it.isHidden() else ""


def answer(qtbot: QtBot, field: Field, words: str) -> None:
    button = next(one for one in field.said_of_it.answers() if one.text() == words)
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)


def taken(field: Field) -> list[bool]:
    seen: list[bool] = []
    field.taken.connect(lambda: seen.append(True))
    return seen


# --- names --------------------------------------------------------------------------------------


@pytest.fixture
def customer(page: QWidget, qtbot: QtBot) -> NamedField:
    field = NamedField("customer", new_words="A new customer.")
    field.offer(CUSTOMERS)
    put(page, qtbot, field)
    return field


def test_a_known_name_is_taken_without_a_word(qtbot: QtBot, customer: NamedField) -> None:
    seen = taken(customer)
    types(qtbot, customer, "Fernhill Dental Lab")
    assert (told(customer), customer.is_new, seen) == ("", False, [True])


def test_a_new_name_is_taken_with_a_quiet_remark(qtbot: QtBot, customer: NamedField) -> None:
    seen = taken(customer)
    types(qtbot, customer, "Brightwater Guild")
    assert (told(customer), customer.is_new, seen) == ("A new customer.", True, [True])


def test_no_name_is_called_new_before_the_known_ones_are_told(page: QWidget, qtbot: QtBot) -> None:
    field = NamedField("customer", new_words="A new customer.")
    put(page, qtbot, field)
    types(qtbot, field, "Fernhill Dental Lab")
    assert told(field) == ""
    field.offer(CUSTOMERS)
    assert told(field) == ""


def test_the_same_name_with_other_capitals_is_asked_about(
    qtbot: QtBot, customer: NamedField
) -> None:
    types(qtbot, customer, "fernhill dental-lab")
    assert told(customer) == "“Fernhill Dental Lab” is known already. Is it the same?"
    answer(qtbot, customer, "Yes, the same")
    assert customer.name() == "Fernhill Dental Lab"
    assert told(customer) == ""


def test_a_name_that_is_another_is_asked_about_once(qtbot: QtBot, customer: NamedField) -> None:
    types(qtbot, customer, "FERNHILL Dental Lab")
    answer(qtbot, customer, "No, another one")
    assert customer.name() == "FERNHILL Dental Lab"
    assert told(customer) == "A new customer."
    qtbot.keyClick(customer.line, Qt.Key.Key_Return)
    assert told(customer) == "A new customer."


def test_an_answer_is_reached_with_tab(qtbot: QtBot, customer: NamedField) -> None:
    types(qtbot, customer, "fernhill dental lab")
    qtbot.keyClick(customer.line, Qt.Key.Key_Tab)
    button = customer.said_of_it.answers()[0]
    assert button.hasFocus()
    qtbot.keyClick(button, Qt.Key.Key_Return)
    assert customer.name() == "Fernhill Dental Lab"
    assert customer.line.hasFocus()


def test_known_names_are_offered_while_one_is_typed_and_picked_with_down_and_enter(
    qtbot: QtBot, customer: NamedField
) -> None:
    types(qtbot, customer, "camera", enter=False)
    popup = customer.completer.popup()
    qtbot.waitUntil(popup.isVisible)
    qtbot.keyClick(popup, Qt.Key.Key_Down)
    qtbot.keyClick(popup, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: customer.name() == "Saltmarsh Camera Club")
    assert told(customer) == ""


def test_down_in_an_empty_field_offers_all_that_is_known(
    qtbot: QtBot, customer: NamedField
) -> None:
    qtbot.keyClick(customer.line, Qt.Key.Key_Down)
    popup = customer.completer.popup()
    qtbot.waitUntil(popup.isVisible)
    assert popup.model().rowCount() == len(CUSTOMERS)
    popup.hide()


def test_the_beginning_of_one_form_is_that_form_at_enter(page: QWidget, qtbot: QtBot) -> None:
    field = NamedField("form", new_words="A form of your own.", completes=True)
    field.offer(FORMS)
    put(page, qtbot, field)
    types(qtbot, field, "fil")
    assert (field.name(), told(field)) == ("filings", "")
    types(qtbot, field, "ore")
    assert (field.name(), told(field)) == ("ore", "A form of your own.")


def test_a_beginning_of_several_forms_is_asked_about(page: QWidget, qtbot: QtBot) -> None:
    field = NamedField("form", new_words="A form of your own.", completes=True)
    field.offer(FORMS)
    put(page, qtbot, field)
    seen = taken(field)
    types(qtbot, field, "b")
    assert told(field) == "Several begin with “b”. Which is it?"
    assert [one.text() for one in field.said_of_it.answers()] == [
        "bar",
        "button",
        "bead",
        "Something else",
    ]
    assert (field.trouble(), seen) == (told(field), [])
    answer(qtbot, field, "bead")
    assert (field.name(), field.trouble()) == ("bead", "")
    types(qtbot, field, "b")
    answer(qtbot, field, "Something else")
    assert (field.name(), told(field), field.trouble()) == ("b", "A form of your own.", "")


def test_the_beginning_of_one_form_is_that_form_when_the_hand_goes_on(
    page: QWidget, qtbot: QtBot
) -> None:
    field = NamedField("form", completes=True)
    field.offer(FORMS)
    other = NamedField("place")
    put(page, qtbot, field, other)
    types(qtbot, field, "swe", enter=False)
    popup = QApplication.activePopupWidget()
    assert popup is not None
    popup.hide()
    page.activateWindow()
    qtbot.waitUntil(page.isActiveWindow)
    other.line.setFocus()
    assert field.name() == "sweeps"


def test_a_name_that_the_book_cannot_keep_is_refused_in_a_sentence(
    qtbot: QtBot, customer: NamedField
) -> None:
    seen = taken(customer)
    types(qtbot, customer, "=SUM(A1)")
    assert "a spreadsheet would run as a formula" in told(customer)
    assert seen == []


def test_another_name_is_told_once(qtbot: QtBot, customer: NamedField) -> None:
    names: list[str] = []
    customer.named.connect(names.append)
    types(qtbot, customer, "Fernhill Dental Lab")
    qtbot.keyClick(customer.line, Qt.Key.Key_Return)
    assert names == ["Fernhill Dental Lab"]


# --- fineness -----------------------------------------------------------------------------------


@pytest.fixture
def silver(page: QWidget, qtbot: QtBot, style: HouseStyle) -> FinenessField:
    field = FinenessField("Ag", style)
    put(page, qtbot, field)
    return field


def test_a_fineness_is_taken_as_it_is_typed(qtbot: QtBot, silver: FinenessField) -> None:
    seen = taken(silver)
    types(qtbot, silver, "92.5 ± 0.1 %")
    assert silver.said() == said("Ag 925 ± 1")[0]
    assert (told(silver), seen) == ("", [True])


def test_an_empty_fineness_says_nothing(qtbot: QtBot, silver: FinenessField) -> None:
    seen = taken(silver)
    qtbot.keyClick(silver.line, Qt.Key.Key_Return)
    assert (silver.said(), silver.trouble(), seen) == (None, "", [True])


def test_a_bare_number_that_could_be_karat_is_asked_about(
    qtbot: QtBot, silver: FinenessField
) -> None:
    seen = taken(silver)
    types(qtbot, silver, "18")
    assert told(silver) == "Is 18 meant as 18 ‰ or 18 % or 18 kt?"
    assert (silver.said(), seen) == (None, [])
    answer(qtbot, silver, "18 kt")
    assert silver.said() == Said("Ag", Fineness(750_000_000))
    assert told(silver) == ""


def test_a_number_that_could_be_two_is_refused(qtbot: QtBot, silver: FinenessField) -> None:
    types(qtbot, silver, "1,234 ‰")
    assert "could mean two numbers" in told(silver)


def test_typing_on_takes_the_sentence_away(qtbot: QtBot, silver: FinenessField) -> None:
    types(qtbot, silver, "sterling")
    assert "is no fineness" in told(silver)
    qtbot.keyClicks(silver.line, "x")
    assert told(silver) == ""


@pytest.mark.parametrize("mark", [".", ","])
def test_what_is_written_reads_back_in_either_number_style(qtbot: QtBot, mark: str) -> None:
    field = FinenessField("Au", HouseStyle(LIGHT, Numbers(decimal_mark=mark)))
    qtbot.addWidget(field)

    @given(st.integers(0, WHOLE_PPB), st.none() | st.integers(0, WHOLE_PPB))
    def reads_back(ppb: int, u_ppb: int | None) -> None:
        one = Said("Au", Fineness(ppb), None if u_ppb is None else Fineness(u_ppb))
        field.write_said(one)
        assert field.said() == one

    reads_back()


def test_contents_are_typed_metal_by_metal(qtbot: QtBot, page: QWidget, style: HouseStyle) -> None:
    field = ContentsField(style)
    put(page, qtbot, field)
    seen: list[bool] = []
    field.taken.connect(lambda: seen.append(True))
    assert field.fields[0].line.hasFocus()
    types(qtbot, field.fields[0], "925")
    assert field.fields[1].line.hasFocus()
    types(qtbot, field.fields[1], "2.1 ± 0.3 ‰")
    assert seen == [True]
    assert field.contents() == said("Ag 925, Au 2.1 ± 0.3")


def test_another_metal_is_added_and_can_be_changed(
    qtbot: QtBot, page: QWidget, style: HouseStyle
) -> None:
    field = ContentsField(style)
    put(page, qtbot, field)
    qtbot.mouseClick(field.add_button, Qt.MouseButton.LeftButton)
    assert [one.metal for one in field.fields] == ["Ag", "Au", "Pt"]
    assert field.fields[2].line.hasFocus()
    pick(field._rows[2].choice, "Rh")
    types(qtbot, field.fields[2], "3 ‰")
    assert field.contents() == said("Rh 3 ‰")


def test_contents_that_were_said_are_written_with_rows_for_all(
    qtbot: QtBot, style: HouseStyle
) -> None:
    field = ContentsField(style)
    qtbot.addWidget(field)
    field.write(said("Au 2.1 ± 0.3, Pd 4 ‰"))
    assert field.contents() == said("Au 2.1 ± 0.3, Pd 4 ‰")
    other = ContentsField(style)
    qtbot.addWidget(other)
    other.write_texts(field.texts())
    assert other.contents() == field.contents()


def test_contents_tell_the_first_thing_that_is_wrong(qtbot: QtBot, style: HouseStyle) -> None:
    field = ContentsField(style)
    qtbot.addWidget(field)
    field.fields[1].write("18")
    assert field.trouble() == "Is 18 meant as 18 ‰ or 18 % or 18 kt?"


# --- days ---------------------------------------------------------------------------------------


@pytest.fixture
def day(page: QWidget, qtbot: QtBot) -> DayField:
    field = DayField("hold until", lambda: TODAY)
    put(page, qtbot, field)
    return field


def test_a_day_is_told_back_with_how_far_it_is(qtbot: QtBot, day: DayField) -> None:
    types(qtbot, day, "in 14 days")
    assert day.day() == date(2031, 3, 28)
    assert told(day) == "Fri 28 Mar 2031, in 14 days"
    types(qtbot, day, "13.3.")
    assert told(day) == "Thu 13 Mar 2031, 1 day ago"
    day.write_day(TODAY)
    assert (day.text, told(day)) == ("14 Mar 2031", "Fri 14 Mar 2031, today")


def test_a_day_that_could_be_two_is_asked_about(qtbot: QtBot, day: DayField) -> None:
    types(qtbot, day, "3/4")
    assert told(day) == "Is 3/4 meant as 3 Apr 2031 or 4 Mar 2031?"
    answer(qtbot, day, "4 Mar 2031")
    assert day.day() == date(2031, 3, 4)


def test_what_is_no_day_is_refused(qtbot: QtBot, day: DayField) -> None:
    types(qtbot, day, "soon")
    assert "“soon” is no day" in told(day)
    assert day.day() is None


@pytest.fixture
def moment(page: QWidget, qtbot: QtBot) -> WhenField:
    field = WhenField(lambda: NOW)
    put(page, qtbot, field)
    return field


def test_nothing_typed_is_now(moment: WhenField) -> None:
    assert (moment.when(), moment.trouble(), told(moment)) == (None, "", "")


def test_a_moment_can_be_set_back(qtbot: QtBot, moment: WhenField) -> None:
    types(qtbot, moment, "yesterday 16:00")
    assert moment.when() == When(date(2031, 3, 13), datetime(2031, 3, 13, 16, 0, tzinfo=UTC))
    assert told(moment) == "Thu 13 Mar 2031, 1 day ago, 16:00"
    assert moment.warning() == ""


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("tomorrow", "15 Mar 2031 is still to come: the daybook then takes nothing earlier"),
        ("15:21", "That time is still to come today. Leave it empty for now."),
    ],
)
def test_what_is_still_to_come_is_warned_of(
    qtbot: QtBot, moment: WhenField, text: str, words: str
) -> None:
    types(qtbot, moment, text)
    assert told(moment).startswith(words)
    assert moment.warning() == told(moment)


@pytest.mark.parametrize("look", [LIGHT, DARK], ids=lambda look: look.name)
def test_fields_are_high_enough_for_a_gloved_hand(qtbot: QtBot, page: QWidget, look: Look) -> None:
    field = NamedField("customer")
    page.setStyleSheet(style_sheet(look))
    put(page, qtbot, field)
    assert field.line.height() >= FIELD_HEIGHT
