"""The screen of terms: sheets looked at, written down, changed, tried, carried, by real keys."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from builders import fineness, mass, priced
from conftest import Clock
from screens.holding import pick, press, texts
from screens.terms_office import Office
from terms import charged, fees, money, pays
from terms_samples import SHEET, altered
from vault.application.book import Book
from vault.application.operations import acts
from vault.application.operations.recording import import_entries
from vault.application.terms_sheets import keep_sheet, terms_sheets
from vault.core.daybook import Line, Role, Terms
from vault.core.terms_sheets import Basis, Comes, TermsSheet, Treatment
from vault.screens.background import Background
from vault.screens.dialogs import FaultsDialog
from vault.screens.house_style import HouseStyle
from vault.screens.terms_sheets.edits import NEW

NEWER = replace(
    SHEET,
    version=2,
    valid_from=date(2031, 1, 1),
    valid_until=date(2031, 12, 31),
    returns=Comes.METAL,
)
OTHER = altered("flat lot fee", party="Vellhaven Refining")
_EMPTY = 2


@pytest.fixture
def book(tmp_path: Path, clock: Clock) -> Iterator[Book]:
    with Book.create(tmp_path / "shop.shop", zone="UTC", operator="Imke", clock=clock) as made:
        import_entries(made, [priced(1, "Ag", "0.92 EUR"), priced(2, "Au", "60 EUR")])
        yield made


@pytest.fixture
def office_of(
    qtbot: QtBot, background: Background, style: HouseStyle, tmp_path: Path, book: Book
) -> Iterator[Callable[..., Office]]:
    made: list[Office] = []

    def build(*sheets: object) -> Office:
        for one in sheets:
            keep_sheet(book, one)  # type: ignore[arg-type]  # sheets, as the tests give them
        made.append(Office(qtbot, background, style, tmp_path, book))
        return made[-1]

    yield build
    for one in made:
        one.close()


@pytest.fixture
def office(office_of: Callable[..., Office]) -> Office:
    """Two versions of one sheet, and one of another refinery."""
    return office_of(SHEET, NEWER, OTHER)


def test_an_empty_book_says_what_to_do_first(
    office_of: Callable[..., Office], qtbot: QtBot
) -> None:
    office = office_of()
    assert office.screen._pages.currentIndex() == _EMPTY
    assert "No terms sheet is kept yet" in texts(office.screen)
    press(qtbot, office.screen, "Write down a sheet")
    office.settle()
    assert office.rows() == [("A new sheet", "", "not saved yet")]
    head = office.screen.page.form.head
    assert QApplication.focusWidget() is head.party.line
    assert (head.currency.text, head.valid_from.text) == ("EUR", "1 Mar 2031")


def test_every_version_is_listed_as_it_stands_and_the_first_is_shown(office: Office) -> None:
    assert office.rows() == [
        ("by the kilo", "v. 2", "until 31 Dec 2031"),
        ("by the kilo", "v. 1", "replaced 1 Jan 2031"),
        ("flat lot fee", "v. 1", "since 1 Jan 2029"),
    ]
    page = office.screen.page
    assert page.heading.text() == "by the kilo · version 2"
    assert page.standing.text() == "Lowland Residue Works · until 31 Dec 2031"
    assert page.form.sheet() == replace(NEWER, version=1)


def test_an_older_version_is_shown_with_the_down_key(office: Office) -> None:
    office.screen.setFocus()
    office.key(Qt.Key.Key_Down)
    office.settle()
    page = office.screen.page
    assert page.heading.text() == "by the kilo · version 1"
    assert "an older version" in page.standing.text()
    assert page.form.sheet() == SHEET
    assert not page.save_button.isEnabled()


def test_enter_leads_from_the_list_into_the_form_and_escape_back(office: Office) -> None:
    office.screen.setFocus()
    office.key(Qt.Key.Key_Return)
    assert QApplication.focusWidget() is office.screen.page.form.head.valid_from.line
    office.key(Qt.Key.Key_Escape)
    assert QApplication.focusWidget() is office.screen.list.rows


def test_what_is_looked_for_narrows_the_list(office: Office) -> None:
    office.screen.set_filter("vellhaven")
    assert [name for name, _, _ in office.rows()] == ["flat lot fee"]
    assert office.screen.page.heading.text() == "flat lot fee · version 1"
    office.screen.set_filter("nothing like it")
    assert office.rows() == []
    assert any("No sheet matches “nothing like it”" in one for one in texts(office.screen))
    office.screen.set_filter("")
    assert len(office.rows()) == 3


def test_a_sheet_is_chosen_by_its_name(office: Office) -> None:
    office.screen.choose("Vellhaven Refining\nflat lot fee")
    assert office.screen.page.heading.text() == "flat lot fee · version 1"
    office.screen.choose("Nobody\nnothing")
    assert office.screen.page.heading.text() == "flat lot fee · version 1"


def test_a_change_is_saved_as_a_new_version(office: Office) -> None:
    office.types(office.screen.page.form.head.days, "90")
    page = office.screen.page
    assert page.save_button.text() == "Save as version 3"
    assert "changed here, not saved yet" in page.standing.text()
    assert office.rows()[0] == ("by the kilo", "v. 2", "not saved yet")
    office.save()
    assert office.sheets()[0] == replace(NEWER, version=3, days_to_settle=90)
    assert [one[1] for one in office.rows()] == ["v. 3", "v. 2", "v. 1", "v. 1"]
    assert page.heading.text() == "by the kilo · version 3"
    assert "“by the kilo” of Lowland Residue Works was saved." in texts(page)
    assert not page.save_button.isEnabled()


def test_a_change_to_an_older_version_becomes_the_newest(office: Office) -> None:
    office.screen.setFocus()
    office.key(Qt.Key.Key_Down)
    office.types(office.screen.page.form.head.days, "10")
    assert office.screen.page.save_button.text() == "Save as version 3"
    office.key(Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
    office.settle()
    assert office.sheets()[0] == replace(SHEET, version=3, days_to_settle=10)


def write_head(office: Office) -> None:
    head = office.screen.page.form.head
    office.types(head.party, "Lowland Residue Works")
    office.types(head.name, "by the drum")
    office.types(head.valid_from, "1 Apr 2031")
    office.types(head.valid_until, "31.3.2032")
    office.types(head.days, "60")
    pick(head.returns, "Metal")


def write_metals(office: Office) -> None:
    metals = office.screen.page.form.metals
    silver = metals.cards[0]
    office.types(silver.payable, "80 %")
    office.types(silver.deduction, "50 g/t")
    pick(silver.paid, "The lesser of both")
    office.types(silver.refining, "0.5 / ozt")
    office.types(silver.least_grade, "0.5 ‰")
    office.types(silver.least_fine, "20 g")
    office.types(silver.splitting, "2 ‰")
    office.types(silver.bands, "5 ‰: 88 %; 1 %: 90 %")
    office.click(metals.add_button)
    assert QApplication.focusWidget() is metals.cards[1].payable.line
    office.types(metals.cards[1].payable, "930")
    pick(metals.cards[1].metal, "Pd")


def write_charges(office: Office) -> None:
    form = office.screen.page.form
    for name, text in {
        "per_kg": "5.00 / lb",
        "least": "€250",
        "assay": "15",
        "sampling": "20",
        "freight": "40",
        "drum": "18",
    }.items():
        office.types(form.charges.money[name], text)
    pick(form.charges.basis, "Dry")
    office.types(form.charges.drum_holds, "60 kg")
    office.click(form.penalties.add_button)
    lead = form.penalties.cards[0]
    office.types(lead.element, "Pb")
    office.types(lead.free, "20 %")
    office.types(lead.step, "1 %")
    pick(lead.steps, "In part")
    office.types(lead.per_kg, "0.02")


def test_a_whole_sheet_is_written_down_by_keys(office: Office) -> None:
    office.click(office.screen.list.new_button)
    write_head(office)
    write_metals(office)
    write_charges(office)
    office.screen.page.form.note.area.setPlainText("Paper of 2031.\nSecond line.")
    office.save()
    silver = pays(
        *("Ag", 0.8),
        # Half a unit for a troy ounce of 31.1034768 g, by arithmetic.
        refining=0.016075,
        deduction=0.00005,
        lesser=True,
        least_grade=0.0005,
        least_fine_g=20,
        bands=[(0.005, 0.88), (0.01, 0.9)],
    )
    wanted = TermsSheet(
        name="by the drum",
        version=1,
        party="Lowland Residue Works",
        valid_from=date(2031, 4, 1),
        valid_until=date(2032, 3, 31),
        currency="EUR",
        metals=(silver, pays("Pd", 0.93)),
        # Five for an avoirdupois pound of 453.59237 g, by arithmetic.
        treatment=Treatment(money("11.023113"), money("250"), Basis.DRY),
        fees=replace(fees(assay=15, sampling=20, freight=40, drum=18), drum_holds=mass("60 kg")),
        penalties=(charged("Pb", 0.02, free=0.2, step=0.01, whole_steps=False),),
        returns=Comes.METAL,
        days_to_settle=60,
        splitting=(("Ag", fineness("2 ‰")),),
        note="Paper of 2031.\nSecond line.",
    )
    assert next(one for one in office.sheets() if one.name == "by the drum") == wanted
    assert office.screen.page.heading.text() == "by the drum · version 1"
    assert NEW not in office.screen.edits


def test_what_is_wrong_stands_under_its_field_and_nothing_is_saved(office: Office) -> None:
    screen, form = office.screen, office.screen.page.form
    office.click(screen.list.new_button)
    office.types(form.metals.cards[0].payable, "120 %")
    office.types(form.charges.money["per_kg"], "-3")
    office.types(form.charges.money["least"], "30 USD")
    office.click(form.penalties.add_button)
    office.save()
    card, penalty = form.metals.cards[0], form.penalties.cards[0]
    assert "is impossible" in card.payable.said_of_it.text
    assert "written without a sign" in form.charges.money["per_kg"].said_of_it.text
    assert "every amount here is in EUR" in form.charges.money["least"].said_of_it.text
    assert penalty.step.said_of_it.text == "Type how large a step is, such as 0.1 %."
    assert penalty.per_kg.said_of_it.text == "Type what each step costs, such as 0.05."
    assert QApplication.focusWidget() is card.payable.line
    assert screen.page.refusal.isVisible()
    assert len(office.sheets()) == 3


def test_what_the_sheet_as_a_whole_makes_wrong_stands_under_its_field(office: Office) -> None:
    screen, form = office.screen, office.screen.page.form
    office.click(screen.list.new_button)
    office.types(form.head.valid_until, "1.1.2020")
    office.types(form.metals.cards[0].payable, "85 %")
    office.types(form.metals.cards[0].bands, "1 %: 90 %; 5 ‰: 88 %")
    office.settle()
    assert "before it begins" in form.head.valid_until.said_of_it.text
    assert "do not rise" in form.metals.cards[0].bands.said_of_it.text
    assert form.head.name.said_of_it.text == ""
    office.save()
    assert "The sheet has no name" in form.head.name.said_of_it.text
    assert "names no refinery" in form.head.party.said_of_it.text
    assert QApplication.focusWidget() is form.head.name.line
    assert len(office.sheets()) == 3


@pytest.mark.parametrize(
    ("field", "text", "words"),
    [
        ("payable", "", "Type the part that is paid"),
        ("payable", "85 ± 1 %", "has a ±; terms are exact"),
        ("deduction", "abc", "is no fineness"),
        ("refining", "1 / stone", "is no weight that a charge is known for"),
        ("least_fine", "5 stone", "is no unit of mass"),
        ("splitting", "2 ± 1 ‰", "has a ±"),
        ("bands", "88 %", "is no band; type the grade from which it holds"),
        ("bands", "5: 88 %", "Is 5 meant as 5 ‰ or 5 %?"),
    ],
)
def test_a_field_of_a_metal_says_what_it_cannot_read(
    office: Office, field: str, text: str, words: str
) -> None:
    card = office.screen.page.form.metals.cards[0]
    office.types(getattr(card, field), text)
    office.settle()
    assert words in getattr(card, field).said_of_it.text
    assert office.screen.example.left_out.text() == (
        "What comes back is shown once every field can be read."
    )


@pytest.mark.parametrize(
    ("field", "text", "words"),
    [
        ("currency", "euro", "is no currency"),
        ("valid_from", "", "Type the day from which the sheet is valid."),
        ("valid_until", "3/4", "meant as"),
        ("days", "soon", "“soon” is no whole number; type one, such as 75."),
        ("days", "1234567", "is no whole number"),
    ],
)
def test_a_field_of_the_head_says_what_it_cannot_read(
    office: Office, field: str, text: str, words: str
) -> None:
    head = office.screen.page.form.head
    office.types(getattr(head, field), text)
    assert words in getattr(head, field).said_of_it.text


def test_a_note_with_an_invisible_sign_is_told_and_not_saved(office: Office) -> None:
    form = office.screen.page.form
    form.note.area.setPlainText("a\u202eb")
    office.save()
    assert "cannot be seen" in form.note.said_of_it.text
    assert QApplication.focusWidget() is form.note.area
    assert len(office.sheets()) == 3


def test_a_bare_number_is_asked_with_a_button_for_each_unit(office: Office, qtbot: QtBot) -> None:
    card = office.screen.page.form.metals.cards[0]
    office.types(card.payable, "85")
    press(qtbot, card, "85 %")
    office.settle()
    assert card.payable.part() == fineness("85 %")


def test_enter_leads_through_the_whole_form(office: Office) -> None:
    form = office.screen.page.form
    form.setFocus()
    seen = []
    for _ in range(40):
        seen.append(QApplication.focusWidget().accessibleName())
        if seen[-1] == "note":
            break
        office.key(Qt.Key.Key_Return)
    assert seen[0] == "valid from"
    assert seen[-1] == "note"
    for name in (
        "payable part of silver",
        "payable part of gold",
        "Treatment, for 1 kg",
        "element",
    ):
        assert name in seen
    assert seen.index("payable part of gold") < seen.index("Treatment, for 1 kg")


def test_a_metal_and_a_penalty_are_added_and_taken_away(office: Office) -> None:
    form = office.screen.page.form
    office.click(form.metals.add_button)
    assert [one.symbol for one in form.metals.cards] == ["Ag", "Au", "Pt"]
    offered = [one.text() for one in form.metals.cards[0].metal.menu().actions()]
    assert "Ag" in offered
    assert "Au" not in offered
    office.click(form.metals.cards[1].remove)
    assert [one.symbol for one in form.metals.cards] == ["Ag", "Pt"]
    focus = QApplication.focusWidget()
    assert focus is not None
    assert form.metals.cards[1].isAncestorOf(focus)
    office.click(form.metals.cards[1].remove)
    assert form.metals.cards[0].remove.isHidden()
    office.click(form.penalties.cards[0].remove)
    assert QApplication.focusWidget() is form.penalties.add_button
    office.settle()


def test_the_parcel_beside_it_is_told_step_by_step(office: Office) -> None:
    """By hand: see the steps of the same parcel among the tests of its query."""
    office.screen.setFocus()
    office.key(Qt.Key.Key_Down)
    office.settle()
    assert office.screen.example.shown() == [
        ("Silver in 20.0 kg: 200.00 g", ""),
        ("deduction 30 g/t of the weight: 0.60 g", ""),
        ("85 % of what is left: 169.49 g", ""),
        ("169.49 g × (0.92 − 0.012 refining)", "153.90"),
        ("treatment, least for a lot", "−30.00"),
        ("assays, 1 × 15.00", "−15.00"),
        ("waiting 75 days at 8 % a year", "−1.79"),
        ("freight", "−40.00"),
        ("Net", "67.11 EUR"),
    ]
    left_out = office.screen.example.left_out.text()
    assert "No grade is typed for Au: not counted." in left_out
    assert "Nobody says how much Pb is in it" in left_out


def test_the_parcel_follows_what_is_typed(office: Office) -> None:
    example = office.screen.example
    office.types(example.received, "40 kg")
    office.types(example.grades["Ag"], "5 g/kg")
    office.types(example.grades["Au"], "10 g/t")
    office.types(example.prices["Ag"], "900 / kg")
    office.types(example.shares["Pb"], "21.5 %")
    office.settle()
    lines = dict(example.shown())
    assert "Gold in 40.0 kg: 0.40 g" in lines
    assert lines["penalty for Pb"] == "−1.60"
    assert lines["treatment, 1.5 for 1 kg"] == "−60.00"
    office.types(example.received, "")
    office.settle()
    assert "Type the weight of a parcel" in example.left_out.text()


def test_a_sheet_that_gives_metal_back_says_how_much(office: Office) -> None:
    office.settle()
    words = [one for one, _ in office.screen.example.shown()]
    assert words[-1] == "Of it comes back as metal, at its price: 169.49 g Ag"


def test_a_sheet_by_dry_weight_asks_for_it(office: Office) -> None:
    example = office.screen.example
    assert not example.dry.isVisible()
    pick(office.screen.page.form.charges.basis, "Dry")
    office.settle()
    assert example.dry.isVisible()
    assert "the weight as received is taken for it" in example.left_out.text()
    office.types(example.dry, "18 kg")
    office.settle()
    assert example.shown()[0][0] == "Silver in 18.0 kg dry: 180.00 g"


def test_a_parcel_that_is_too_poor_and_the_lesser_of_both_are_told(office: Office) -> None:
    card = office.screen.page.form.metals.cards[0]
    pick(card.paid, "The lesser of both")
    office.settle()
    words = [one for one, _ in office.screen.example.shown()]
    assert "the lesser of 85 % of all and what is left: 170.00 g" in words
    office.types(card.least_grade, "2 %")
    office.settle()
    told = dict(office.screen.example.shown())
    assert told["too little of it by the sheet: nothing is paid"] == "0.00"


def test_another_currency_wants_other_prices(office: Office) -> None:
    example = office.screen.example
    assert example.prices["Ag"].text == "0.92"
    office.types(office.screen.page.form.head.currency, "usd")
    office.settle()
    assert example.prices["Ag"].text == ""
    assert "No price is typed for Ag: not counted." in example.left_out.text()


def test_what_is_typed_stays_when_another_sheet_is_looked_at(office: Office) -> None:
    form = office.screen.page.form
    office.types(form.head.days, "90")
    office.screen.setFocus()
    office.key(Qt.Key.Key_Down)
    assert form.head.days.text == "75"
    office.key(Qt.Key.Key_Up)
    assert form.head.days.text == "90"
    assert office.screen.page.save_button.isEnabled()
    office.click(office.screen.page.leave_button)
    assert form.head.days.text == "75"
    assert office.rows()[0][2] == "until 31 Dec 2031"
    office.settle()


def test_what_is_typed_comes_back_after_a_crash(
    office_of: Callable[..., Office], qtbot: QtBot
) -> None:
    first = office_of(SHEET)
    first.types(first.screen.page.form.head.days, "90")
    first.click(first.screen.list.new_button)
    first.types(first.screen.page.form.head.name, "begun")
    first.settle()
    first.drafts.close()
    second = office_of()
    qtbot.waitUntil(lambda: len(second.screen.edits) == 2)
    assert [one[0] for one in second.rows()] == ["begun", "by the kilo"]
    second.screen.choose("Lowland Residue Works\nby the kilo")
    assert second.screen.page.form.head.days.text == "90"
    assert "What was typed before and not saved stands here again." in texts(second.screen)
    second.click(second.screen.page.leave_button)
    second.settle()


def test_a_sheet_is_copied_to_a_new_one(office: Office) -> None:
    page = office.screen.page
    office.click(page.copy_button)
    office.settle()
    assert page.heading.text() == "A new sheet"
    assert QApplication.focusWidget() is page.form.head.name.line
    office.types(page.form.head.name, "by the kilo, dry")
    office.save()
    kept = next(one for one in office.sheets() if one.name == "by the kilo, dry")
    assert kept == replace(NEWER, name="by the kilo, dry", version=1)


def test_a_copy_does_not_take_the_place_of_a_sheet_that_is_begun(office: Office) -> None:
    office.click(office.screen.list.new_button)
    office.types(office.screen.page.form.head.name, "begun")
    office.screen.setFocus()
    office.key(Qt.Key.Key_Down)
    office.click(office.screen.page.copy_button)
    assert "A new sheet is begun already" in office.screen.page.refusal.words.text()
    begun = office.screen.edits.of(NEW)
    assert begun is not None
    assert begun["head"]["name"] == "begun"
    office.settle()


def test_a_name_that_is_kept_in_other_capitals_is_refused_under_its_field(office: Office) -> None:
    office.click(office.screen.page.copy_button)
    office.types(office.screen.page.form.head.name, "By the Kilo")
    office.save()
    field = office.screen.page.form.head.name
    assert "has a sheet “by the kilo” already" in field.said_of_it.text
    assert QApplication.focusWidget() is field.line
    assert len(office.sheets()) == 3


def test_a_sheet_is_taken_away_at_the_second_press(office: Office) -> None:
    office.screen.choose("Vellhaven Refining\nflat lot fee")
    button = office.screen.list.take_away_button
    office.click(button)
    assert button.text() == "Yes, take away"
    assert "goes with all its versions" in office.screen.page.note.words.text()
    assert len(office.sheets()) == 3
    office.click(button)
    office.settle()
    assert [one.name for one in office.sheets()] == ["by the kilo", "by the kilo"]
    assert button.text() == "Take away"


def test_another_choice_takes_the_question_back(office: Office) -> None:
    office.click(office.screen.list.take_away_button)
    office.screen.setFocus()
    office.key(Qt.Key.Key_Down)
    assert office.screen.list.take_away_button.text() == "Take away"
    office.settle()


def test_a_sheet_under_which_something_went_stays(office: Office, book: Book) -> None:
    slag = Line(Role.IN, tag="R-1", form="slag")
    acts.receive_lot(book, [slag], lot="L-1", party="Orrin", terms=Terms.BOUGHT, key="receive")
    acts.send(
        book, ["R-1"], party="Vellhaven Refining", ref="V-1", terms="flat lot fee", key="send"
    )
    office.screen.choose("Vellhaven Refining\nflat lot fee")
    for _ in range(2):
        office.click(office.screen.list.take_away_button)
        office.settle()
    assert "Shipment V-1 went out under “flat lot fee”" in office.screen.page.refusal.words.text()
    assert len(office.sheets()) == 3


def test_sheets_are_written_out_and_read_into_another_book(
    office: Office, tmp_path: Path, clock: Clock
) -> None:
    file = tmp_path / "terms.json"
    office.choosers.answer = file
    office.click(office.screen.list.write_out_button)
    office.settle()
    assert office.choosers.proposed is not None
    assert office.choosers.proposed.name == "terms sheets.json"
    assert f"All sheets, 3 versions, were written to {file}." in texts(office.screen)
    office.click(office.screen.list.read_in_button)
    office.settle()
    assert "terms.json: nothing in it is new here; the book knew it all already." in texts(
        office.screen
    )
    with Book.create(tmp_path / "other.shop", zone="UTC", operator="Imke", clock=clock) as other:
        office.writer._book = other
        office.screen.show_book(other)
        office.settle()
        office.screen.read_action.trigger()
        office.settle()
        assert terms_sheets(other) == office.sheets()
        assert "terms.json: 3 versions are new." in texts(office.screen)
        office.screen.show_book(None)


def test_the_faults_of_a_file_are_told_with_sheet_and_field(
    office: Office, tmp_path: Path, qtbot: QtBot
) -> None:
    file = tmp_path / "terms.json"
    office.choosers.answer = file
    office.click(office.screen.list.write_out_button)
    office.settle()
    file.write_text(file.read_text("utf-8").replace("85 %", "850 %", 1), encoding="utf-8")
    office.click(office.screen.list.read_in_button)
    office.settle()
    dialog = office.screen.findChild(FaultsDialog)
    assert dialog.windowTitle() == "The terms sheets were not read in"
    cells = [dialog.table.item(0, at).text() for at in range(3)]
    assert cells[:2] == ["1", "metals, row 1, payable"]
    assert "is impossible" in cells[2]
    assert dialog.table.horizontalHeaderItem(1).text() == "Field"
    dialog.reject()
    assert len(office.sheets()) == 3


def test_a_file_that_cannot_be_read_is_told(office: Office, tmp_path: Path) -> None:
    office.choosers.answer = tmp_path / "missing.json"
    office.click(office.screen.list.read_in_button)
    office.settle()
    assert "No such file" in office.missed[0]
    office.choosers.answer = None
    office.click(office.screen.list.read_in_button)
    office.click(office.screen.list.write_out_button)
    office.settle()
    assert len(office.missed) == 1


def test_a_book_for_reading_only_lets_nothing_be_saved(
    office_of: Callable[..., Office], book: Book, qtbot: QtBot
) -> None:
    office = office_of(SHEET)
    path = book.path
    with Book.open(path, writing=False) as reading:
        office.screen.show_book(reading)
        office.settle()
        page, shown = office.screen.page, office.screen.list
        assert "for reading only" in page.note.words.text()
        office.types(page.form.head.days, "5")
        office.settle()
        assert not page.save_button.isEnabled()
        buttons = (page.copy_button, shown.new_button, shown.read_in_button, shown.take_away_button)
        assert not any(one.isEnabled() for one in buttons)
        office.key(Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
        office.settle()
        office.screen.show_book(None)
    assert office.sheets() == (SHEET,)


def test_sheets_that_cannot_be_read_are_told_in_place_of_the_form(
    office_of: Callable[..., Office], book: Book
) -> None:
    book.file.change_setting("terms_sheets", "spoilt")
    office = office_of()
    assert office.screen._pages.currentIndex() == _EMPTY
    assert "The terms sheets cannot be shown" in texts(office.screen)
    assert not office.screen.new_action.isEnabled()


def test_a_narrow_window_has_the_parcel_under_the_form(office: Office, qtbot: QtBot) -> None:
    screen = office.screen
    assert not screen.page.form.isAncestorOf(screen.example)
    office.holder.resize(800, 600)
    qtbot.waitUntil(lambda: screen.page.form.isAncestorOf(screen.example))
    office.holder.resize(1280, 820)
    qtbot.waitUntil(lambda: not screen.page.form.isAncestorOf(screen.example))
    assert screen.example.isVisible()


def test_a_comma_is_written_and_read_where_the_shop_writes_commas(
    office: Office, style: HouseStyle
) -> None:
    style.choose(style.look, replace(style.numbers, decimal_mark=","))
    office.settle()
    form = office.screen.page.form
    assert form.charges.money["per_kg"].text == "1,50"
    assert form.sheet() == replace(NEWER, version=1)
    assert not office.screen.page.save_button.isEnabled()
