"""The small forms, filled in with keys and clicks over a real book."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from conftest import Clock
from screens.bench_books import (
    MemoryShelf,
    bench_book,
    kit_for,
    last_entry,
    number_of_entries,
    struck,
)
from screens.holding import press, texts
from vault.application.book import Book
from vault.application.operations import acts
from vault.application.operations.recording import new_key
from vault.application.queries.bench_help import item_briefs
from vault.core.daybook import Act
from vault.core.items import State
from vault.core.masses import Mass
from vault.screens.background import Background
from vault.screens.drafts import DraftDesk
from vault.screens.forms.assay import AssayForm
from vault.screens.forms.divide import DivideForm
from vault.screens.forms.form import Form
from vault.screens.forms.kit import FormKit
from vault.screens.forms.leave import LeaveForm
from vault.screens.forms.move import MoveContainerForm, MoveForm
from vault.screens.forms.prices import PricesForm
from vault.screens.forms.strike import StrikeForm
from vault.screens.forms.weigh import WeighForm
from vault.screens.house_style import HouseStyle
from vault.screens.scale.room import ScaleRoom
from vault.screens.settings.choices import Choices

ENTER, CONTROL = Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier


@pytest.fixture
def book(tmp_path: Path, clock: Clock) -> Iterator[Book]:
    with bench_book(tmp_path, clock) as made:
        yield made


@pytest.fixture
def shelf() -> MemoryShelf:
    return MemoryShelf()


@pytest.fixture
def drafts(qapp: QApplication, shelf: MemoryShelf) -> Iterator[DraftDesk]:
    made = DraftDesk(shelf, lambda _book: "tidewater.shop")
    yield made
    made.close()


@pytest.fixture
def kit(
    book: Book,
    background: Background,
    style: HouseStyle,
    drafts: DraftDesk,
    choices: Choices,
    scales: ScaleRoom,
) -> FormKit:
    return kit_for(book, background, style, drafts, choices, scales)


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


def type_into(qtbot: QtBot, where: QWidget, words: str, *, enter: bool = True) -> None:
    qtbot.keyClicks(where, words)
    if enter:
        qtbot.keyClick(where, ENTER)


# --- weighing -------------------------------------------------------------------------------------


def test_weighing_shows_the_weight_before_and_the_difference(
    qtbot: QtBot, kit: FormKit, opened: Opened
) -> None:
    form = WeighForm(kit, "B-0002")
    opened(form)
    assert form.what.text() == "bar · safe · 98.48 g"
    assert form.before.text() == "Before: 98.48 g, 1 Mar 2031 by Imke (entry 3)."
    type_into(qtbot, form.weight.line, "98.49", enter=False)
    assert form.difference.text() == "+ 0.01 g, within what two weighings differ"
    assert not form.finding.isVisible()


def test_a_weight_is_recorded_with_its_figure_and_enter(
    qtbot: QtBot, kit: FormKit, opened: Opened, book: Book
) -> None:
    form = WeighForm(kit, "B-0002")
    told = opened(form)
    type_into(qtbot, form.weight.line, "98.47")
    qtbot.waitUntil(lambda: told == ["B-0002 weighed, 98.47 g: entry 5."])
    assert last_entry(book)[0] == "weigh"
    assert item_briefs(book, ["B-0002"])["B-0002"].gross_ug == 98_470_000


@pytest.mark.parametrize(
    ("weight", "beginning"),
    [
        ("99.00", "B-0002 is heavier than before by 0.52 g. Metal does not grow"),
        ("98.00", "B-0002 is lighter than before by 0.48 g, more than two weighings can differ"),
    ],
)
def test_a_weight_that_can_hardly_be_is_warned_of_and_recorded_all_the_same(
    qtbot: QtBot, kit: FormKit, opened: Opened, weight: str, beginning: str
) -> None:
    form = WeighForm(kit, "B-0002")
    told = opened(form)
    type_into(qtbot, form.weight.line, weight, enter=False)
    assert form.finding.isVisible()
    assert form.finding.words.text().startswith(beginning)
    qtbot.keyClick(form, ENTER, CONTROL)
    qtbot.waitUntil(lambda: bool(told))


def test_a_thing_never_weighed_says_so(kit: FormKit, opened: Opened) -> None:
    form = WeighForm(kit, "C-0002")
    opened(form)
    assert form.before.text() == "It was never weighed before."
    assert any(one.startswith("Lead.") for one in texts(form))


def test_nothing_is_recorded_without_a_weight(
    qtbot: QtBot, kit: FormKit, opened: Opened, book: Book
) -> None:
    form = WeighForm(kit, "B-0002")
    opened(form)
    press(qtbot, form, "Record it")
    assert form.refusal.words.text() == ("There is no weight yet: put it on the scale, or type it.")
    type_into(qtbot, form.weight.line, "heavy")
    assert "“heavy” is no weight" in form.weight.said_of_it.text
    press(qtbot, form, "Record it")
    assert "“heavy” is no weight" in form.refusal.words.text()
    assert number_of_entries(book) == 4


def test_what_is_gone_cannot_be_weighed_and_the_form_says_why(
    qtbot: QtBot, kit: FormKit, opened: Opened, book: Book
) -> None:
    form = WeighForm(kit, "B-0001")
    opened(form)
    assert form.refusal.words.text() == "B-0001 is not on hand: it was used up in a work."
    type_into(qtbot, form.weight.line, "98.47")
    qtbot.waitUntil(lambda: "cannot be weighed" in form.refusal.words.text())
    assert form.isVisible()
    assert form.record_button.isEnabled()
    assert number_of_entries(book) == 4


# --- moving ---------------------------------------------------------------------------------------


def test_several_items_are_scanned_and_moved_to_a_place_by_keys_alone(
    qtbot: QtBot, kit: FormKit, opened: Opened, book: Book, background: Background
) -> None:
    form = MoveForm(kit, ("B-0002",))
    told = opened(form)
    assert form.items.tags == ("B-0002",)
    type_into(qtbot, form.items.line.line, "G-0001")
    qtbot.waitUntil(lambda: form.items.tags == ("B-0002", "G-0001"))
    assert form.items.count.text() == "2 items"
    qtbot.keyClick(form.items.line.line, ENTER)
    assert form.focusWidget() is form.place.line
    type_into(qtbot, form.place.line, "rack")
    qtbot.waitUntil(lambda: told == ["2 items moved to rack 2: entry 5."])
    assert {one.place for one in item_briefs(book, ["B-0002", "G-0001"]).values()} == {"rack 2"}


def test_a_new_place_is_taken_and_said_to_be_new(
    qtbot: QtBot, kit: FormKit, opened: Opened
) -> None:
    form = MoveForm(kit, ("B-0002",))
    told = opened(form)
    form.place.line.setFocus()
    qtbot.keyClicks(form.place.line, "window sill")
    qtbot.keyClick(form.place.line, Qt.Key.Key_Tab)
    assert form.place.said_of_it.text == "a new place"
    press(qtbot, form, "Record it")
    qtbot.waitUntil(lambda: told == ["B-0002 moved to window sill: entry 5."])


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("Q-9999", "There is no item Q-9999 in this book; check the tag."),
        ("B-0001", "B-0001 is not on hand: it was used up in a work."),
        ("B-0002", "B-0002 is in the list already."),
        ("B000297", "That scan was misread; hold the scanner still and scan it once more."),
    ],
)
def test_a_tag_that_cannot_go_on_the_list_is_told_below_the_line(
    qtbot: QtBot, kit: FormKit, opened: Opened, typed: str, sentence: str
) -> None:
    form = MoveForm(kit, ("B-0002",))
    opened(form)
    type_into(qtbot, form.items.line.line, typed)
    qtbot.waitUntil(lambda: form.items.line.said_of_it.text == sentence)
    assert form.items.tags == ("B-0002",)


def test_an_item_is_taken_off_the_list_with_its_cross(
    qtbot: QtBot, kit: FormKit, opened: Opened
) -> None:
    form = MoveForm(kit, ("B-0002", "G-0001"))
    opened(form)
    cross = next(
        one
        for one in form.findChildren(QWidget)
        if one.accessibleName() == "Take B-0002 off the list"
    )
    qtbot.mouseClick(cross, Qt.MouseButton.LeftButton)
    assert form.items.tags == ("G-0001",)


def test_a_move_without_items_or_place_says_what_is_missing(
    qtbot: QtBot, kit: FormKit, opened: Opened
) -> None:
    form = MoveForm(kit, ())
    opened(form)
    press(qtbot, form, "Record it")
    assert form.refusal.words.text() == (
        "Nothing is in the list yet; scan or type the tag of what goes."
    )
    form.items.take(["B-0002"])
    qtbot.waitUntil(lambda: bool(form.items.tags))
    press(qtbot, form, "Record it")
    assert form.refusal.words.text() == "Where does it go? Scan the place, or type its name."


def test_what_lies_there_already_is_remarked_on(qtbot: QtBot, kit: FormKit, opened: Opened) -> None:
    form = MoveForm(kit, ("B-0002",))
    opened(form)
    qtbot.keyClicks(form.place.line, "safe")
    form.items.take(["G-0001"])
    qtbot.waitUntil(lambda: len(form.items.tags) == 2)
    assert form.finding.words.text() == "B-0002 lies there already."


def test_a_container_is_moved_with_all_that_is_in_it(
    qtbot: QtBot, kit: FormKit, opened: Opened, book: Book
) -> None:
    form = MoveContainerForm(kit, "drum D")
    told = opened(form)
    assert form.what.text() == "in rack 2 · 2 items · 400.0 g"
    assert any(one.startswith("Lead.") for one in texts(form))
    type_into(qtbot, form.place.line, "yard")
    qtbot.waitUntil(lambda: told == ["drum D and all in it moved to yard: entry 5."])
    assert kit.questions.container(book, "yard").tags == ("C-0001", "C-0002")


def test_a_container_cannot_be_put_into_itself(
    qtbot: QtBot, kit: FormKit, opened: Opened, book: Book
) -> None:
    form = MoveContainerForm(kit, "rack 2")
    opened(form)
    type_into(qtbot, form.place.line, "drum D")
    qtbot.waitUntil(lambda: form.refusal.words.text() == "rack 2 cannot be put into itself.")


# --- assays ---------------------------------------------------------------------------------------


def test_an_assay_of_a_sample_says_for_what_it_holds_and_shows_what_it_changes(
    qtbot: QtBot, kit: FormKit, opened: Opened, book: Book, background: Background
) -> None:
    form = AssayForm(kit, ("A-0001",))
    told = opened(form)
    assert form.finding.words.text() == (
        "A-0001 is a part. It was taken from B-0001 (entry 3): what it holds per gram is taken "
        "for B-0001 and for B-0002 as well."
    )
    silver, gold = (one.line for one in form.contents.fields)
    assert form.focusWidget() is silver
    type_into(qtbot, silver, "912.5 ± 0.5")
    type_into(qtbot, gold, "")
    qtbot.waitUntil(lambda: told == ["A-0001 assayed by fire assay: entry 5."], timeout=5_000)
    qtbot.waitUntil(
        lambda: form.learnt.words.text() == "Recorded. What it changes:", timeout=20_000
    )
    qtbot.waitUntil(lambda: "A-0001" in texts(form.learnt))
    words = texts(form.learnt)
    assert "B-0002" in words
    at = words.index("B-0002")
    # By hand: 98.48 g × 900 ± 20 ‰ before, × 912.5 ± 0.5 ‰ after, and how alike parts are.
    assert words[at + 1 : at + 4] == ["Ag", "88.6 ± 2.0 g  →", "89.8 ± 0.5 g"]
    press(qtbot, form, "Close")


def test_an_assay_carries_method_whose_certificate_and_assay_weight(
    qtbot: QtBot, kit: FormKit, opened: Opened, book: Book
) -> None:
    form = AssayForm(kit, ("G-0001",))
    told = opened(form)
    form.method.choose("XRF")
    qtbot.keyClicks(form.contents.fields[0].line, "99.8 %")
    qtbot.keyClicks(form.party.line, "Harbour Assay Office")
    qtbot.keyClicks(form.certificate.line, "H-77")
    qtbot.keyClicks(form.portion.line, "0.5")
    qtbot.keyClicks(form.note.line, "both sides")
    qtbot.keyClick(form, ENTER, CONTROL)
    qtbot.waitUntil(lambda: bool(told))
    with book.file.reading() as connection:
        from vault.store.entries import load_entry  # noqa: PLC0415  to read what is really there

        recorded = load_entry(connection, 5)
    assert recorded is not None
    line = recorded.entry.lines[0]
    assert (line.how, line.party, line.ref) == ("XRF", "Harbour Assay Office", "H-77")
    assert line.note == "assay weight 0.50 g, both sides"
    assert line.contents[0].fineness.ppb == 998_000_000


def test_one_assay_can_hold_for_several_items(
    qtbot: QtBot, kit: FormKit, opened: Opened, book: Book
) -> None:
    form = AssayForm(kit, ("G-0001", "B-0002"))
    told = opened(form)
    qtbot.keyClicks(form.contents.fields[0].line, "950")
    qtbot.keyClick(form, ENTER, CONTROL)
    qtbot.waitUntil(lambda: told == ["2 items assayed by fire assay: entry 5."])
    assert len(last_entry(book)[1]) == 2


def test_an_assay_that_says_nothing_or_the_impossible_is_not_recorded(
    qtbot: QtBot, kit: FormKit, opened: Opened, book: Book
) -> None:
    form = AssayForm(kit, ("G-0001",))
    opened(form)
    press(qtbot, form, "Record it")
    assert form.refusal.words.text() == ("There is no fineness yet; type one, such as 925 ± 0.5 ‰.")
    qtbot.keyClicks(form.contents.fields[0].line, "800")
    qtbot.keyClicks(form.contents.fields[1].line, "700")
    press(qtbot, form, "Record it")
    qtbot.waitUntil(lambda: "more than pure metal" in form.refusal.words.text())
    assert number_of_entries(book) == 4


def test_an_assay_without_an_item_asks_for_one(qtbot: QtBot, kit: FormKit, opened: Opened) -> None:
    form = AssayForm(kit, ())
    opened(form)
    qtbot.keyClicks(form.contents.fields[0].line, "800")
    press(qtbot, form, "Record it")
    assert form.refusal.words.text() == "Which item was assayed? Scan or type its tag."


# --- dividing -------------------------------------------------------------------------------------


def test_a_sample_is_drilled_and_the_rest_is_worked_out(
    qtbot: QtBot, kit: FormKit, opened: Opened, book: Book, background: Background
) -> None:
    form = DivideForm(kit, "B-0002")
    told = opened(form)
    qtbot.waitUntil(lambda: [row.tag for row in form.rows] == ["A-0002", "B-0003"])
    form.way.choose("drilled")
    assert form.focusWidget() is form.rows[0].weight.line
    type_into(qtbot, form.rows[0].weight.line, "1.20")
    assert form.rest_words.text() == "The rest: 97.28 g"
    type_into(qtbot, form.rows[1].weight.line, "")
    qtbot.waitUntil(
        lambda: told == ["B-0002 drilled into A-0002 and B-0003: entry 5."], timeout=5_000
    )
    rest = item_briefs(book, ["B-0003", "B-0002"])
    assert rest["B-0003"].place == "safe"
    assert rest["B-0003"].gross_ug is None
    assert rest["B-0002"].state is State.USED


def test_parts_that_weigh_too_much_are_told_before_they_are_recorded(
    qtbot: QtBot, kit: FormKit, opened: Opened
) -> None:
    form = DivideForm(kit, "B-0002")
    opened(form)
    press(qtbot, form, "Another part")
    assert len(form.rows) == 3
    qtbot.keyClicks(form.rows[0].weight.line, "60")
    qtbot.keyClicks(form.rows[1].weight.line, "40")
    assert form.finding.words.text() == (
        "The parts weigh 100.00 g together, and B-0002 weighed 98.48 g: 1.52 g too much. Check "
        "the weights."
    )


def test_only_the_rest_may_go_without_a_weight(qtbot: QtBot, kit: FormKit, opened: Opened) -> None:
    form = DivideForm(kit, "B-0002")
    opened(form)
    qtbot.waitUntil(lambda: all(row.tag for row in form.rows))
    press(qtbot, form, "Record it")
    assert form.refusal.words.text() == ("What does A-0002 weigh? Only the rest can be worked out.")


def test_a_part_is_dropped_with_its_cross_and_its_tag_is_free_again(
    qtbot: QtBot, kit: FormKit, opened: Opened, background: Background
) -> None:
    form = DivideForm(kit, "B-0002")
    opened(form)
    press(qtbot, form, "Another part")
    qtbot.waitUntil(lambda: [row.tag for row in form.rows] == ["A-0002", "A-0003", "B-0003"])
    qtbot.mouseClick(form.rows[0].cross, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: len(form.rows) == 2 and form.rows[0].tag.startswith("A-000"))


# --- leaving --------------------------------------------------------------------------------------


def test_a_bar_is_returned_to_its_customer_with_few_keys(
    qtbot: QtBot, kit: FormKit, opened: Opened, book: Book
) -> None:
    form = LeaveForm(kit, ("B-0002",))
    told = opened(form)
    form.how.choose(Act.RETURN)
    form.how.chosen.emit(Act.RETURN)
    type_into(qtbot, form.party.line, "Saltm")
    qtbot.waitUntil(lambda: told == ["B-0002 returned to Saltmarsh: entry 5."])
    assert item_briefs(book, ["B-0002"])["B-0002"].state is State.RETURNED


def test_what_leaves_with_lead_in_it_is_warned_of(
    qtbot: QtBot, kit: FormKit, opened: Opened, book: Book
) -> None:
    form = LeaveForm(kit, ("C-0001",))
    told = opened(form)
    assert form.finding.words.text().startswith("Lead goes with it: spent cupels")
    press(qtbot, form, "Record it")
    qtbot.waitUntil(lambda: told == ["C-0001 returned to Saltmarsh: entry 5."])


def test_something_is_sold(qtbot: QtBot, kit: FormKit, opened: Opened, book: Book) -> None:
    form = LeaveForm(kit, ("G-0001",))
    told = opened(form)
    form.how.choose(Act.SELL)
    qtbot.keyClicks(form.party.line, "Fernhill Dental Lab")
    press(qtbot, form, "Record it")
    qtbot.waitUntil(lambda: told == ["G-0001 sold to Fernhill Dental Lab: entry 5."])


def test_who_gets_it_is_asked(qtbot: QtBot, kit: FormKit, opened: Opened) -> None:
    form = LeaveForm(kit, ("G-0001",))
    opened(form)
    press(qtbot, form, "Record it")
    assert form.refusal.words.text() == "Who gets it? Type the name."


# --- striking -------------------------------------------------------------------------------------


def test_an_entry_is_struck_with_its_reason(
    qtbot: QtBot, kit: FormKit, opened: Opened, book: Book
) -> None:
    acts.weigh(book, "G-0001", Mass(50_100_000), key=new_key())
    form = StrikeForm(kit, 5)
    told = opened(form)
    assert form.what.text() == "weigh · 1 Mar 2031 · Imke"
    assert form.focusWidget() is form.reason.line
    type_into(qtbot, form.reason.line, "the pan was not at zero")
    qtbot.waitUntil(lambda: told == ["Entry 5 struck: entry 6."])
    assert struck(book, 5) == 6


def test_a_strike_wants_a_reason(qtbot: QtBot, kit: FormKit, opened: Opened, book: Book) -> None:
    form = StrikeForm(kit, 4)
    opened(form)
    press(qtbot, form, "Strike it")
    assert form.refusal.words.text() == (
        "Say why it is struck; the reason stays beside it in the daybook."
    )
    assert number_of_entries(book) == 4


def test_what_others_lean_on_is_not_struck_and_they_are_named(
    qtbot: QtBot, kit: FormKit, opened: Opened
) -> None:
    form = StrikeForm(kit, 1)
    wanted: list[int] = []
    form.entry_wanted.connect(wanted.append)
    opened(form)
    assert form.refusal.words.text() == (
        "Later entries lean on entry 1: strike this one first, the last one first."
    )
    assert not form.record_button.isEnabled()
    press(qtbot, form, "3")
    assert wanted == [3]


# --- what all of them share -----------------------------------------------------------------------


def test_a_form_is_left_with_escape_and_nothing_is_kept(
    qtbot: QtBot, kit: FormKit, opened: Opened, book: Book, shelf: MemoryShelf, drafts: DraftDesk
) -> None:
    form = WeighForm(kit, "B-0002")
    opened(form)
    qtbot.keyClicks(form.weight.line, "98.4")
    qtbot.waitUntil(lambda: bool(shelf.kept_of))
    qtbot.keyClick(form, Qt.Key.Key_Escape)
    qtbot.waitUntil(lambda: not shelf.kept_of)
    assert number_of_entries(book) == 4


def test_what_was_typed_before_a_crash_comes_back_under_its_own_key(
    qtbot: QtBot, kit: FormKit, opened: Opened, book: Book, shelf: MemoryShelf
) -> None:
    form = WeighForm(kit, "B-0002")
    opened(form)
    qtbot.keyClicks(form.weight.line, "98.47")
    # A draft may be put by between two keys as well.
    last = ("tidewater.shop", "weigh")
    qtbot.waitUntil(
        lambda: last in shelf.kept_of and shelf.kept_of[last].content["weight"] == "98.47"
    )
    kept = shelf.kept_of[last]
    # The entry was written, and the program died before it heard of it.
    acts.weigh(book, "B-0002", Mass(98_470_000), key=str(kept.content["key"]))
    form.reject()
    qtbot.waitUntil(lambda: not shelf.kept_of)
    shelf.kept_of[last] = kept
    again = WeighForm(kit, "B-0002")
    told = opened(again)
    qtbot.waitUntil(lambda: again.weight.text == "98.47")
    assert again.came_back.isVisible()
    press(qtbot, again, "Record it")
    qtbot.waitUntil(lambda: told == ["B-0002 weighed, 98.47 g: entry 5."])
    assert number_of_entries(book) == 5


def test_prices_that_were_begun_come_back_into_fields_that_come_late(
    qtbot: QtBot, kit: FormKit, opened: Opened, shelf: MemoryShelf
) -> None:
    form = PricesForm(kit)
    opened(form)
    qtbot.waitUntil(lambda: bool(form.prices))
    qtbot.keyClicks(form.prices[1].line, "81")
    qtbot.keyClicks(form.currency.line, "EUR")
    qtbot.waitUntil(lambda: bool(shelf.kept_of))
    qtbot.waitUntil(lambda: shelf.kept_of["tidewater.shop", "prices"].content["currency"] == "EUR")
    kept = dict(shelf.kept_of)
    form.reject()
    qtbot.waitUntil(lambda: not shelf.kept_of)
    shelf.kept_of |= kept
    again = PricesForm(kit)
    opened(again)
    qtbot.waitUntil(lambda: bool(again.prices) and again.prices[1].text == "81")
    assert again.currency.text == "EUR"
    assert again.came_back.isVisible()


def test_a_draft_of_another_item_stays_where_it_is(
    qtbot: QtBot, kit: FormKit, opened: Opened, shelf: MemoryShelf
) -> None:
    form = WeighForm(kit, "G-0001")
    opened(form)
    qtbot.keyClicks(form.weight.line, "50.1")
    qtbot.waitUntil(lambda: bool(shelf.kept_of))
    kept = dict(shelf.kept_of)
    form.reject()
    qtbot.waitUntil(lambda: not shelf.kept_of)
    shelf.kept_of |= kept
    other = WeighForm(kit, "B-0002")
    opened(other)
    assert other.weight.text == ""


def test_every_button_and_field_of_a_form_is_high_enough_for_gloves(
    qtbot: QtBot, qapp: QApplication, kit: FormKit, opened: Opened, style: HouseStyle
) -> None:
    from vault.screens.style_sheet import style_sheet  # noqa: PLC0415  only this test dresses

    qapp.setStyleSheet(style_sheet(style.look))
    try:
        for form in (WeighForm(kit, "B-0002"), LeaveForm(kit, ("G-0001",)), StrikeForm(kit, 4)):
            opened(form)
            for one in (form.record_button, form.leave_button, form.note.line):
                if one.isVisible():
                    assert one.height() >= 44, (form, one)
            form.reject()
    finally:
        qapp.setStyleSheet("")


def test_a_form_says_that_what_it_records_stays(kit: FormKit, opened: Opened) -> None:
    form = WeighForm(kit, "B-0002")
    opened(form)
    assert "It stays in the daybook; a mistake is struck with a reason, never erased." in texts(
        form
    )
