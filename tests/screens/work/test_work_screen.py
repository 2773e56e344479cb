"""Where works begin: the works done lately, what was begun and not recorded, the recipes."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from builders import mass
from screens.holding import Holder, column, press, texts, titles
from screens.work.at_the_bench import ENTER, Hand, Writer, begin, cupel, why
from screens.work.invented_work import RECIPES, InventedBench
from vault.application.drafts import DraftShelf
from vault.core.daybook import Process
from vault.core.masses import Mass
from vault.screens.background import Background
from vault.screens.drafts import DraftDesk
from vault.screens.house_style import HouseStyle
from vault.screens.look import LIGHT
from vault.screens.numbers import Numbers
from vault.screens.widgets.weight_field import WeightField
from vault.screens.work.hands import WorkHands
from vault.screens.work.recipes_dialog import RecipesDialog
from vault.screens.work.screen import WorkScreen
from vault.screens.work.sheet import Sheet, sheet_from

Again = Callable[[], WorkScreen]


@pytest.fixture
def again(
    qtbot: QtBot,
    holder: Holder,
    bench: InventedBench,
    background: Background,
    style: HouseStyle,
    drafts: DraftDesk,
) -> Again:
    """Give the screen as the next session finds it."""

    def build() -> WorkScreen:
        hands = WorkHands(
            Writer(background), drafts, lambda name, hint: WeightField(name, hint, style)
        )
        made = WorkScreen(bench.questions(), background, style, hands)
        holder.show_screen(made)
        made.show_book("book")
        qtbot.waitUntil(lambda: background.is_idle)
        return made

    return build


def test_works_done_lately_say_what_went_in_and_out_and_what_is_left_over(
    screen: WorkScreen,
) -> None:
    table = screen.page.table
    assert titles(table) == [
        "When",
        "What",
        "Went in",
        "Came out",
        "In and added",
        "Out",
        "Left over",
    ]
    assert column(table, "When") == ["13 Mar 2031, 10:10", "9 Mar 2031"]
    assert column(table, "What") == ["cupel", "sort"]
    assert column(table, "Went in") == [
        "K-0211 with lead, new cupel, magnesia",
        "R-0090, R-0091, R-0092 and 1 more",
    ]
    assert column(table, "Came out")[0] == "bead K-0213, spent cupel C-0164"
    assert column(table, "Out") == ["753.2 g", "–"]
    assert column(table, "Left over") == ["Ag 0.20 ± 0.20 g", "–"]


def test_enter_on_a_work_leads_to_the_daybook(qtbot: QtBot, screen: WorkScreen) -> None:
    screen.page.table.setFocus()
    screen.page.table.choose_row(1)
    with qtbot.waitSignal(screen.place_wanted) as wanted:
        qtbot.keyClick(screen.page.table, ENTER)
    assert wanted.args == ["daybook", "931"]


def test_units_change_at_once(screen: WorkScreen, style: HouseStyle) -> None:
    style.choose(LIGHT, Numbers(unit="ozt"))
    assert column(screen.page.table, "Out")[0].endswith(" ozt")


def test_a_big_button_begins_its_process(qtbot: QtBot, hand: Hand, screen: WorkScreen) -> None:
    press(qtbot, screen, "Smelt")
    hand.wait()
    assert screen.is_filling_in
    assert screen.form.head.process == "smelt"
    assert hand.is_at("scan or type a tag")


def test_alt_and_the_letter_of_a_big_button_begin_its_process(
    hand: Hand, screen: WorkScreen
) -> None:
    assert screen.page.start_buttons["smelt"].text() == "S&melt"
    hand.press(Qt.Key.Key_M, Qt.KeyboardModifier.AltModifier)
    hand.wait()
    assert screen.is_filling_in
    assert screen.form.head.process == "smelt"


def test_a_bench_without_works_is_told_what_to_do_first(
    qtbot: QtBot, screen: WorkScreen, bench: InventedBench
) -> None:
    bench.works = ()
    screen.refresh()
    qtbot.waitUntil(lambda: "Nothing was worked yet" in texts(screen))
    assert any("receive a lot" in words for words in texts(screen))


def test_leaving_keeps_what_was_begun_until_it_is_thrown_away(
    qtbot: QtBot, hand: Hand, screen: WorkScreen, bench: InventedBench
) -> None:
    begin(hand, screen, "cupel", "K-0212", "K-0210")
    screen.form.came_out.go_in()
    hand.enter("150.85")
    hand.press(Qt.Key.Key_Escape)
    assert not screen.is_filling_in
    assert screen.page.begun_card.words.text() == (
        "Begun and not recorded: cupel of K-0212, K-0210."
    )
    assert hand.place() is screen.page.begun_card.go_on_button
    hand.press(ENTER)
    hand.wait()
    assert screen.is_filling_in
    assert screen.form.tags_in == ("K-0212", "K-0210")
    press(qtbot, screen, "Leave")
    press(qtbot, screen, "Throw it away")
    assert screen.form.sheet().is_blank
    assert not screen.page.begun_card.isVisible()
    qtbot.waitUntil(lambda: bench.let_go == ["work"])


def test_leaving_an_empty_form_leaves_nothing_behind(
    qtbot: QtBot, hand: Hand, screen: WorkScreen
) -> None:
    begin(hand, screen, "cupel")
    press(qtbot, screen, "Leave")
    assert not screen.page.begun_card.isVisible()


def test_what_was_begun_is_not_lost_by_beginning_something_else(
    qtbot: QtBot, hand: Hand, screen: WorkScreen
) -> None:
    begin(hand, screen, "cupel", "K-0212")
    press(qtbot, screen, "Leave")
    with qtbot.waitSignal(screen.told) as sentence:
        press(qtbot, screen, "Smelt")
    assert sentence.args == ["This was begun before; record it, or leave it and throw it away."]
    assert screen.form.tags_in == ("K-0212",)
    hand.wait()
    with qtbot.waitSignal(screen.told):
        screen.work_on(Process.SMELT, ["R-0101"])
    assert screen.form.tags_in == ("K-0212",)
    hand.wait()


def test_another_screen_begins_a_work_with_its_items(hand: Hand, screen: WorkScreen) -> None:
    screen.work_on(Process.SMELT, ["R-0101", "R-0102"])
    hand.wait()
    assert screen.form.head.process == "smelt"
    assert screen.form.tags_in == ("R-0101", "R-0102")


def test_the_window_chooses_a_new_work_or_an_item_for_it(hand: Hand, screen: WorkScreen) -> None:
    screen.choose("")
    hand.wait()
    assert screen.is_filling_in
    screen.choose("K-0212")
    hand.wait()
    assert screen.form.tags_in == ("K-0212",)


# --- drafts ---------------------------------------------------------------------------------------


def test_after_a_crash_the_work_comes_back_field_by_field(
    qtbot: QtBot, hand: Hand, screen: WorkScreen, again: Again, background: Background
) -> None:
    cupel(hand, screen)
    screen.form.went_in.heat.setFocus()
    hand.enter("965")
    screen.form.came_out.made.rows[0].looks.chips[0].click()
    screen.form.went_in.used.rows[0].unfold(on=True)
    hand.enter("100 g")
    hand.wait()
    before = screen.form.sheet()
    next_session = again()
    qtbot.waitUntil(next_session.page.begun_card.isVisible)
    assert next_session.page.begun_card.words.text() == (
        "Begun and not recorded: cupel of K-0212. The program ended in the middle of it; all but "
        "the last field came back."
    )
    next_session.go_on()
    qtbot.waitUntil(lambda: background.is_idle and next_session.help.is_settled)
    assert next_session.form.sheet() == before
    assert next_session.form.key == before.key
    assert next_session.form.work().made[0].gross == mass("150.85")


def test_after_a_crash_the_work_is_not_lost_by_beginning_another_at_once(
    qtbot: QtBot, hand: Hand, screen: WorkScreen, again: Again, background: Background
) -> None:
    cupel(hand, screen)
    next_session = again()
    with qtbot.waitSignal(next_session.told) as told:
        next_session.work_on(Process.SORT, ["R-0101"])
    assert told.args == ["This was begun before; record it, or leave it and throw it away."]
    assert next_session.is_filling_in
    came_back = next_session.form.work()
    assert came_back.process is Process.CUPEL
    assert [one.gross for one in came_back.made] == [mass("150.85"), mass("602.4")]
    assert (next_session.form.tags_in, next_session.form.key) == (("K-0212",), screen.form.key)
    qtbot.waitUntil(lambda: background.is_idle and next_session.help.is_settled)


def test_where_no_place_is_known_unfolding_asks_for_it_first(
    hand: Hand, screen: WorkScreen
) -> None:
    begin(hand, screen, "smelt", "R-0101")
    hand.enter()
    assert hand.is_at("weight of button K-0213")
    hand.press(Qt.Key.Key_F2)
    assert hand.is_at("form")
    slag = screen.form.came_out.made.rows[1]
    slag.weight.setFocus()
    hand.press(Qt.Key.Key_F2)
    assert hand.is_at("place")


def test_a_weight_from_the_scale_comes_back_as_one(
    qtbot: QtBot, hand: Hand, screen: WorkScreen, again: Again
) -> None:
    begin(hand, screen, "cupel", "K-0212")
    row = screen.form.came_out.made.rows[0]
    row.weight.write_mass(mass("150.85"), "bench scale", mass("0.02"))
    screen.form.went_in.note.setFocus()
    hand.enter("weighed")
    second = again()
    qtbot.waitUntil(second.page.begun_card.isVisible)
    made = second.form.work().made[0]
    assert (made.gross, made.gross_u, made.scale) == (mass("150.85"), mass("0.02"), "bench scale")


def test_what_came_back_can_be_thrown_away_for_good(
    qtbot: QtBot, hand: Hand, screen: WorkScreen, again: Again, drafts: DraftDesk
) -> None:
    begin(hand, screen, "cupel", "K-0212")
    second = again()
    qtbot.waitUntil(second.page.begun_card.isVisible)
    press(qtbot, second, "Throw it away")
    third = again()
    qtbot.wait(50)
    assert not third.page.begun_card.isVisible()


def test_what_was_recorded_does_not_come_back(
    qtbot: QtBot, hand: Hand, screen: WorkScreen, again: Again
) -> None:
    cupel(hand, screen)
    hand.press(ENTER)
    qtbot.waitUntil(lambda: not screen.is_filling_in)
    second = again()
    qtbot.wait(50)
    assert not second.page.begun_card.isVisible()


def test_a_draft_in_other_terms_is_read_as_far_as_it_makes_sense(tmp_path: Path) -> None:
    shelf = DraftShelf(tmp_path)
    sheet = Sheet(process="cupel", heat="965", key="k")
    shelf.keep("book", "work", {**sheet.content(), "used": 7, "made": [3, {"form": "bead"}]})
    kept = shelf.kept("book", "work")
    assert kept is not None
    read = sheet_from(kept.content)
    assert (read.process, read.heat, read.key, read.used) == ("cupel", "965", "k", ())
    assert [one.form for one in read.made] == ["bead"]
    assert sheet_from({}).key


def test_another_book_has_another_draft(
    qtbot: QtBot, hand: Hand, screen: WorkScreen, background: Background
) -> None:
    begin(hand, screen, "cupel", "K-0212")
    screen.show_book("another book")
    qtbot.waitUntil(lambda: background.is_idle)
    assert screen.form.sheet().is_blank
    assert not screen.page.begun_card.isVisible()
    screen.show_book("book")
    qtbot.waitUntil(screen.page.begun_card.isVisible)
    assert screen.form.tags_in == ("K-0212",)


def test_a_closed_book_leaves_nothing_behind(hand: Hand, screen: WorkScreen) -> None:
    begin(hand, screen, "cupel", "K-0212")
    screen.show_book(None)
    assert screen.page.model.rowCount() == 0
    assert not screen.scanned("K-0212")
    screen.leave()


def test_what_changes_in_the_book_is_asked_anew(
    qtbot: QtBot, hand: Hand, screen: WorkScreen, bench: InventedBench
) -> None:
    begin(hand, screen, "cupel", "K-0212")
    bench.last["K"] = 300
    seen = len(bench.previewed)
    screen.refresh()
    hand.wait()
    assert screen.form.came_out.made.rows[0].tag_shown == "K-0301"
    assert len(bench.previewed) > seen


def test_while_the_list_is_shown_no_balance_is_asked(
    hand: Hand, screen: WorkScreen, bench: InventedBench
) -> None:
    screen.refresh()
    hand.wait()
    assert bench.previewed == []


# --- recipes --------------------------------------------------------------------------------------


def dialog_of(qtbot: QtBot, hand: Hand, screen: WorkScreen) -> RecipesDialog:
    begin(hand, screen, "smelt", "R-0101")
    press(qtbot, screen, "recipes …")
    dialog = QApplication.activeModalWidget()
    assert isinstance(dialog, RecipesDialog)
    return dialog


def test_a_recipe_is_changed_and_kept_with_the_book(
    qtbot: QtBot, hand: Hand, screen: WorkScreen, bench: InventedBench
) -> None:
    dialog = dialog_of(qtbot, hand, screen)
    assert dialog.name.text == "flux for sweeps"
    assert dialog.parts.toPlainText() == "borax, anhydrous 20\nsoda ash 10"
    dialog.parts.setPlainText("borax, anhydrous 25")
    press(qtbot, dialog, "Keep them")
    hand.wait()
    assert [(part.thing, str(part.per_hundred_g)) for part in bench.recipes[0].parts] == [
        ("borax, anhydrous", "25")
    ]
    assert bench.recipes[1] == RECIPES[1]
    press(qtbot, screen, "flux for sweeps")
    hand.wait()
    assert screen.form.work().added[0].gross == Mass(103_100_000)


def test_a_recipe_is_added_and_one_taken_away(
    qtbot: QtBot, hand: Hand, screen: WorkScreen, bench: InventedBench
) -> None:
    dialog = dialog_of(qtbot, hand, screen)
    press(qtbot, dialog, "Take it away")
    press(qtbot, dialog, "New recipe")
    qtbot.keyClicks(dialog.name.line, "for slag")
    dialog.parts.setPlainText("soda ash 30")
    press(qtbot, dialog, "Keep them")
    hand.wait()
    assert [one.name for one in bench.recipes] == ["a little borax", "for slag"]
    assert bench.recipes[1].process is Process.SMELT


@pytest.mark.parametrize(
    ("name", "parts", "sentence"),
    [
        ("", "borax 20", "A recipe needs a name by which it is chosen."),
        ("x", "", "The recipe “x” is empty; write at least one thing."),
        ("x", "borax", "“borax” is no part of a recipe"),
        ("a little borax", "borax 2", ""),
    ],
)
def test_a_recipe_that_makes_no_sense_is_told_in_place(
    qtbot: QtBot, hand: Hand, screen: WorkScreen, name: str, parts: str, sentence: str
) -> None:
    dialog = dialog_of(qtbot, hand, screen)
    dialog.name.line.setText(name)
    dialog.parts.setPlainText(parts)
    press(qtbot, dialog, "Keep them")
    assert dialog.trouble.text().startswith(sentence)
    assert dialog.isVisible() is bool(sentence)
    dialog.reject()
    hand.wait()


def test_a_name_twice_in_one_process_is_told(
    qtbot: QtBot, hand: Hand, screen: WorkScreen, bench: InventedBench
) -> None:
    dialog = dialog_of(qtbot, hand, screen)
    press(qtbot, dialog, "New recipe")
    dialog.name.line.setText("flux for sweeps")
    dialog.parts.setPlainText("borax 5")
    press(qtbot, dialog, "Keep them")
    assert dialog.trouble.text() == (
        "Two recipes are called “flux for sweeps”; give one another name."
    )
    press(qtbot, dialog, "Leave them as they were")
    assert bench.recipes == RECIPES
    hand.wait()


def test_a_recipe_that_is_not_understood_is_not_left_for_another(
    qtbot: QtBot, hand: Hand, screen: WorkScreen
) -> None:
    dialog = dialog_of(qtbot, hand, screen)
    dialog.parts.setPlainText("nonsense")
    dialog.names.setCurrentRow(1)
    assert dialog.names.currentRow() == 0
    assert dialog.trouble.text()
    dialog.parts.setPlainText("borax 3")
    dialog.names.setCurrentRow(1)
    assert dialog.name.text == "a little borax"
    dialog.reject()
    hand.wait()


def test_why_is_empty_once_all_is_there(hand: Hand, screen: WorkScreen) -> None:
    cupel(hand, screen)
    assert why(screen).startswith("Recording is final in the daybook")
