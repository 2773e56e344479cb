"""The form for one work, filled in by keys, clicks and scans over an invented bench."""

from __future__ import annotations

import threading
from dataclasses import replace
from datetime import date

import pytest
from PySide6.QtCore import Qt, QTimer
from PySide6.QtWidgets import QLineEdit, QPushButton, QToolButton
from pytestqt.qtbot import QtBot

from builders import mass, said
from screens.holding import Holder, press, texts
from screens.work.at_the_bench import ALT, CTRL, ENTER, Hand, begin, cupel, expect, told, why
from screens.work.invented_work import (
    KNOWN,
    LONG_PLACE,
    RECIPES,
    InventedBench,
    figure,
    finding,
    nothing_yet,
)
from vault.application.operations.work_draft import MadeThing, PartTaken, WorkDraft
from vault.application.queries.answers.bench import KnownNames, KnownThing
from vault.application.queries.answers.work import Gravity, MadeMetal, MetalPreview, Side
from vault.core.daybook import Process
from vault.core.errors import VaultError
from vault.core.knowledge import NOTHING_KNOWN
from vault.core.masses import Mass
from vault.screens.background import Background
from vault.screens.house_style import HouseStyle
from vault.screens.look import FIELD_HEIGHT, LIGHT
from vault.screens.numbers import Numbers
from vault.screens.work.balance import BalanceBar, MetalBalance
from vault.screens.work.screen import WorkScreen

# --- filling in -----------------------------------------------------------------------------------


def test_enter_leads_from_weight_to_weight_to_the_button_that_records(
    hand: Hand, screen: WorkScreen, bench: InventedBench
) -> None:
    begin(hand, screen, "cupel")
    assert hand.is_at("scan or type a tag")
    hand.enter("K-0212")
    assert hand.is_at("scan or type a tag")
    hand.enter()
    assert hand.is_at("weight of new cupel, magnesia")
    hand.enter("386.20")
    assert hand.is_at("weight of lead")
    hand.enter("120")
    assert hand.is_at("weight of bead K-0213")
    hand.enter("150.85")
    assert hand.is_at("weight of spent cupel C-0165")
    hand.enter("602.4 g")
    assert hand.place() is screen.form.verdict.record_button
    assert bench.previewed[-1] == WorkDraft(
        Process.CUPEL,
        used=bench.previewed[-1].used,
        added=bench.previewed[-1].added,
        made=(
            MadeThing("K-0213", "bead", mass("150.85"), place="tray of buttons"),
            MadeThing("C-0165", "spent cupel", mass("602.4"), place="drum C"),
        ),
    )
    assert [(one.form, one.gross) for one in bench.previewed[-1].added] == [
        ("new cupel, magnesia", mass("386.2")),
        ("lead", mass("120")),
    ]
    assert bench.previewed[-1].added[1].contents == said("Ag 0.02 ± 0.005")
    # Five weighings, the item, and the button: far fewer than twelve keys for each.
    assert hand.keys / 5 < 12


def test_an_item_says_what_it_is_where_it_lies_and_what_it_holds(
    hand: Hand, screen: WorkScreen
) -> None:
    begin(hand, screen, "cupel", "K-0212")
    (row,) = screen.form.went_in.used.rows
    assert (row.name.text(), row.title.text(), row.whole.text()) == (
        "K-0212",
        "button",
        "236.40 g",
    )
    assert row.details.text() == "L-124 · Ag 151.5 ± 2.9 g · tray of buttons"


def test_the_letters_choose_the_process(hand: Hand, screen: WorkScreen) -> None:
    begin(hand, screen, "")
    for key, process in (
        (Qt.Key.Key_M, "smelt"),
        (Qt.Key.Key_C, "cupel"),
        (Qt.Key.Key_R, "remelt"),
        (Qt.Key.Key_P, "pour"),
        (Qt.Key.Key_S, "sort"),
        (Qt.Key.Key_B, "burn off"),
        (Qt.Key.Key_H, "crush"),
        (Qt.Key.Key_L, "blend"),
        (Qt.Key.Key_A, "sample"),
        (Qt.Key.Key_O, "other"),
    ):
        hand.press(key, ALT)
        assert screen.form.head.process == process
        assert hand.is_at("scan or type a tag")
    hand.wait()


@pytest.mark.parametrize(
    ("process", "forms"),
    [
        ("smelt", ["button", "slag"]),
        ("cupel", ["bead", "spent cupel"]),
        ("remelt", ["bar", "slag"]),
        ("pour", ["bar"]),
        ("sort", ["sweeps", "sweeps"]),
        ("burn off", ["sweeps"]),
        ("crush", ["sweeps"]),
        ("blend", ["sweeps"]),
        ("sample", ["sweeps", "sample"]),
        ("other", []),
    ],
)
def test_each_process_proposes_what_mostly_comes_out_of_it(
    hand: Hand, screen: WorkScreen, process: str, forms: list[str]
) -> None:
    begin(hand, screen, process, "R-0101")
    rows = screen.form.came_out.made.rows
    assert [row.form.name() for row in rows] == forms
    assert len({row.tag_shown for row in rows}) == len(forms)


def test_another_process_proposes_anew_but_keeps_what_was_weighed(
    hand: Hand, screen: WorkScreen
) -> None:
    begin(hand, screen, "smelt", "R-0101")
    screen.form.choose_process("remelt")
    hand.wait()
    assert [row.form.name() for row in screen.form.came_out.made.rows] == ["bar", "slag"]
    screen.form.came_out.go_in()
    hand.enter("80.5")
    screen.form.choose_process("cupel")
    hand.wait()
    assert [row.form.name() for row in screen.form.came_out.made.rows] == ["bar", "slag"]


def test_a_second_new_cupel_leaves_a_second_spent_one(
    qtbot: QtBot, hand: Hand, screen: WorkScreen
) -> None:
    begin(hand, screen, "cupel", "K-0212")
    press(qtbot, screen, "+ new cupel, magnesia")
    hand.wait()
    forms = [row.form.name() for row in screen.form.came_out.made.rows]
    assert forms == ["bead", "spent cupel", "spent cupel"]


def test_what_was_only_proposed_and_not_weighed_was_not_added(
    hand: Hand, screen: WorkScreen, bench: InventedBench
) -> None:
    begin(hand, screen, "cupel", "K-0212")
    assert [row.thing_name for row in screen.form.went_in.added.rows] == [
        "new cupel, magnesia",
        "lead",
    ]
    assert "leave it empty if none was added" in screen.form.went_in.added.rows[1].details.text()
    assert bench.previewed[-1].added == ()


def test_a_thing_added_by_its_button_may_stay_unweighed(
    qtbot: QtBot, hand: Hand, screen: WorkScreen, bench: InventedBench
) -> None:
    begin(hand, screen, "smelt", "R-0101")
    press(qtbot, screen, "+ soda ash")
    assert hand.is_at("weight of soda ash")
    hand.wait()
    assert [(one.form, one.gross) for one in bench.previewed[-1].added] == [("soda ash", None)]


def test_anything_can_be_added_with_the_metal_that_it_carries(
    qtbot: QtBot, hand: Hand, screen: WorkScreen, bench: InventedBench
) -> None:
    begin(hand, screen, "cupel", "K-0212")
    press(qtbot, screen, "+ something")
    hand.enter("silver grain")
    row = screen.form.went_in.added.rows[-1]
    row.contents.setFocus()
    hand.enter("999")
    hand.enter("44.04")
    added = bench.previewed[-1].added
    assert (added[0].form, added[0].gross) == ("silver grain", mass("44.04"))
    assert (added[0].contents, added[0].how) == (said("Ag 999"), "declared")


def test_a_recipe_is_scaled_to_what_went_in(
    qtbot: QtBot, hand: Hand, screen: WorkScreen, bench: InventedBench
) -> None:
    begin(hand, screen, "smelt")
    with qtbot.waitSignal(screen.told) as sentence:
        press(qtbot, screen, "flux for sweeps")
    assert sentence.args == [
        "Scan what goes in first, and weigh it: the recipe is scaled to its weight."
    ]
    hand.enter("R-0101")
    press(qtbot, screen, "flux for sweeps")
    hand.wait()
    assert [(one.form, one.gross) for one in bench.previewed[-1].added] == [
        ("borax, anhydrous", mass("82.5")),
        ("soda ash", mass("41.2")),
    ]
    # Chosen once more it fills the same lines in again.
    press(qtbot, screen, "flux for sweeps")
    assert len(screen.form.went_in.added.rows) == 2


def test_a_recipe_chosen_before_the_item_is_known_is_scaled_once_it_is(
    qtbot: QtBot, hand: Hand, screen: WorkScreen, bench: InventedBench
) -> None:
    begin(hand, screen, "smelt")
    go = threading.Event()
    bench.before_briefs = lambda: expect(go.wait(5))
    screen.form.put_in("R-0101")
    press(qtbot, screen, "flux for sweeps")
    assert screen.form.went_in.added.rows == ()
    go.set()
    qtbot.waitUntil(lambda: len(screen.form.went_in.added.rows) == 2)
    hand.wait()
    # 20 g for every 100 g of 412.30 g, in steps of 0.1 g.
    assert screen.form.work().added[0].gross == mass("82.5")


def test_the_hand_stays_on_an_offer_that_is_made_anew(
    qtbot: QtBot, hand: Hand, screen: WorkScreen
) -> None:
    begin(hand, screen, "smelt", "R-0101")
    hand.press(Qt.Key.Key_Tab)
    assert isinstance(offer := hand.place(), QPushButton)
    assert offer.text() == "flux for sweeps"
    # What would be the same stays as it stands; another borax is another offer.
    screen.form.know(replace(KNOWN, places=("a new shelf",)), RECIPES)
    assert hand.place() is offer
    damp = KnownThing("borax, damp", 3)
    screen.form.know(replace(KNOWN, added=(damp,)), RECIPES)
    assert isinstance(anew := hand.place(), QPushButton)
    assert (anew is offer, anew.text()) == (False, "flux for sweeps")


def test_a_recipe_wants_a_weight_to_be_scaled_to(
    qtbot: QtBot, hand: Hand, screen: WorkScreen
) -> None:
    begin(hand, screen, "smelt", "R-0102")
    with qtbot.waitSignal(screen.told):
        press(qtbot, screen, "flux for sweeps")


def test_part_of_an_item_is_divided_off_under_tags_of_its_own(
    hand: Hand, screen: WorkScreen, bench: InventedBench
) -> None:
    begin(hand, screen, "smelt", "R-0101")
    (row,) = screen.form.went_in.used.rows
    row.remove_button.setFocus()
    hand.press(Qt.Key.Key_F2)
    assert hand.is_at("part taken of R-0101")
    hand.enter("100")
    assert hand.is_at("rest of R-0101")
    hand.enter("312.1")
    assert hand.is_at("scan or type a tag")
    (used,) = bench.previewed[-1].used
    assert used.part == PartTaken(
        "R-0111", mass("100"), None, "R-0112", mass("312.1"), "tray of buttons"
    )
    assert row.part_words.text() == (
        "Divided first: R-0111 goes in, R-0112 stays; both get tags of their own."
    )
    assert screen.form.verdict.record_button.text() == "Record it and print 4 tags"
    hand.press(Qt.Key.Key_F2)
    hand.wait()


def test_form_place_tag_and_note_unfold(
    hand: Hand, screen: WorkScreen, bench: InventedBench
) -> None:
    begin(hand, screen, "cupel", "K-0212")
    screen.form.came_out.go_in()
    hand.press(Qt.Key.Key_F2)
    assert hand.is_at("form")
    row = screen.form.came_out.made.rows[0]
    row.place.setFocus()
    row.place.line.selectAll()
    hand.enter("safe")
    assert hand.is_at("weight of bead K-0213")
    row.tag.setFocus()
    hand.enter("K-0900")
    row.note.setFocus()
    hand.enter("a skin of slag on it")
    made = bench.previewed[-1].made[0]
    assert (made.tag, made.place, made.note) == ("K-0900", "safe", "a skin of slag on it")
    assert row.details.text() == "to: safe · a skin of slag on it"


def test_how_the_bead_looks_stands_in_its_note(
    qtbot: QtBot, hand: Hand, screen: WorkScreen, bench: InventedBench
) -> None:
    begin(hand, screen, "cupel", "K-0212")
    bead, cupel_row = screen.form.came_out.made.rows
    assert bead.looks.isVisible()
    assert not cupel_row.looks.isVisible()
    for look in ("flat edge", "bright"):
        qtbot.mouseClick(bead.looks._chips[look], Qt.MouseButton.LeftButton)
    hand.wait()
    assert bench.previewed[-1].made[0].note == "bright, flat edge"


def test_something_else_that_came_out_is_asked_for(
    qtbot: QtBot, hand: Hand, screen: WorkScreen, bench: InventedBench
) -> None:
    begin(hand, screen, "cupel", "K-0212")
    press(qtbot, screen, "+ something else came out")
    assert hand.is_at("form")
    hand.wait()
    assert why(screen) == "Say what it is."
    hand.enter("slag")
    assert hand.is_at("place")
    hand.enter()
    hand.enter("3.2")
    made = bench.previewed[-1].made[-1]
    assert (made.form, made.tag, made.gross) == ("slag", "S-0041", mass("3.2"))


def test_a_line_is_taken_out_by_key(hand: Hand, screen: WorkScreen) -> None:
    begin(hand, screen, "cupel", "K-0212")
    screen.form.came_out.made.rows[1].go_in()
    hand.press(Qt.Key.Key_Delete, CTRL)
    hand.wait()
    assert [row.form.name() for row in screen.form.came_out.made.rows] == ["bead"]
    assert hand.is_at("weight of bead K-0213")


def test_furnace_note_and_time_go_with_it(
    hand: Hand, screen: WorkScreen, bench: InventedBench
) -> None:
    begin(hand, screen, "cupel", "K-0212")
    screen.form.went_in.heat.setFocus()
    hand.enter("965")
    hand.enter("85")
    hand.enter("blicked clean")
    screen.form.went_in.when.setFocus()
    hand.enter("yesterday")
    work = bench.previewed[-1]
    assert (work.furnace, work.note) == ("965 °C, 85 min", "blicked clean")
    assert work.when is not None
    assert work.when.day.isoformat() == "2031-03-13"
    screen.form.choose_process("crush")
    hand.wait()
    assert bench.previewed[-1].furnace == ""


def test_weights_are_taken_in_any_unit_and_number_style(
    hand: Hand, screen: WorkScreen, bench: InventedBench, style: HouseStyle
) -> None:
    style.choose(LIGHT, Numbers(unit="ozt", decimal_mark=","))
    begin(hand, screen, "pour", "K-0212")
    screen.form.came_out.go_in()
    hand.enter("1,5")
    assert bench.previewed[-1].made[0].gross == mass("1.5 ozt")
    screen.form.came_out.go_in()
    screen.form.came_out.made.rows[0].weight.line.selectAll()
    hand.enter("100 g")
    assert bench.previewed[-1].made[0].gross == mass("100 g")


# --- scanning and picking -------------------------------------------------------------------------


def test_items_are_offered_while_a_word_is_typed_and_picked_with_keys(
    qtbot: QtBot, hand: Hand, screen: WorkScreen
) -> None:
    begin(hand, screen, "cupel")
    field = screen.form.went_in.items
    hand.type("bead")
    qtbot.waitUntil(lambda: field.is_offering)
    assert field.offered() == ("K-0210", "K-0207")
    hand.press(Qt.Key.Key_Down)
    hand.press(Qt.Key.Key_Down)
    hand.press(ENTER)
    hand.wait()
    assert screen.form.tags_in == ("K-0207",)
    assert not field.is_offering
    assert field.text == ""


def test_down_in_the_empty_field_offers_what_is_on_hand(
    qtbot: QtBot, hand: Hand, screen: WorkScreen
) -> None:
    begin(hand, screen, "cupel", "K-0212")
    hand.press(Qt.Key.Key_Down)
    field = screen.form.went_in.items
    qtbot.waitUntil(lambda: field.is_offering)
    # What goes in already and what has left the shop is not offered.
    assert field.offered() == ("K-0210", "K-0207", "R-0101", "R-0102")
    row = field._model.item(3).text()
    assert row.startswith("R-0102   filings, not known · L-123, L-121 +2")
    hand.press(Qt.Key.Key_Escape)


def test_a_scan_goes_in_wherever_the_hand_is(hand: Hand, screen: WorkScreen) -> None:
    begin(hand, screen, "cupel", "K-0212")
    screen.form.went_in.note.setFocus()
    assert screen.scanned("K-0210")
    hand.wait()
    assert screen.form.tags_in == ("K-0212", "K-0210")


def test_a_scan_on_the_list_begins_a_work(hand: Hand, screen: WorkScreen) -> None:
    assert not screen.is_filling_in
    assert screen.scanned("K-0212")
    hand.wait()
    assert screen.is_filling_in
    assert screen.form.tags_in == ("K-0212",)
    assert why(screen) == "Choose what was done."


def test_the_same_tag_twice_goes_in_once(qtbot: QtBot, hand: Hand, screen: WorkScreen) -> None:
    begin(hand, screen, "cupel", "K-0212")
    with qtbot.waitSignal(screen.told) as sentence:
        hand.enter("K-0212")
    assert sentence.args == ["K-0212 goes in already."]
    assert screen.form.tags_in == ("K-0212",)


def test_a_tag_that_nobody_knows_is_told(qtbot: QtBot, hand: Hand, screen: WorkScreen) -> None:
    begin(hand, screen, "cupel")
    with qtbot.waitSignal(screen.told) as sentence:
        hand.enter("K-9999")
    assert sentence.args == ["Nothing in this book is called “K-9999”."]
    assert screen.form.tags_in == ()


def test_what_is_not_on_hand_says_so_at_its_line(hand: Hand, screen: WorkScreen) -> None:
    begin(hand, screen, "cupel", "C-0100")
    (row,) = screen.form.went_in.used.rows
    assert row.trouble_words() == "C-0100 is not on hand: it was sent away."


def test_what_is_held_says_so_at_its_line_before_the_book_refuses_it(
    qtbot: QtBot, hand: Hand, screen: WorkScreen, bench: InventedBench
) -> None:
    bench.items["R-0103"] = replace(
        bench.items["R-0101"], tag="R-0103", place="bench", hold_until=date(2031, 3, 28)
    )
    go = threading.Event()
    bench.before_preview = lambda: expect(go.wait(5))
    screen.begin("cupel", ["R-0103"])
    (row,) = screen.form.went_in.used.rows
    qtbot.waitUntil(lambda: row.brief is not None)
    assert row.details.text().endswith("bench · held until 28 Mar 2031")
    assert row.trouble_words() == (
        "R-0103 is held until 28 Mar 2031; no work may begin before that day."
    )
    go.set()
    hand.wait()


# --- the balance ----------------------------------------------------------------------------------


def test_of_unknown_metal_the_balance_says_what_is_true(screen: WorkScreen) -> None:
    card = screen.form.verdict.balance
    waiting = "As soon as something goes in and comes out, its balance stands here."
    nothing = nothing_yet(WorkDraft())
    card.show_preview(nothing)
    assert waiting in texts(card)
    card.show_preview(replace(nothing, sentence="Nothing is known of the metal in what goes in."))
    assert texts(card)[1:] == ["Nothing is known of the metal in what goes in."]


def test_while_the_balance_is_worked_out_nothing_else_is_said(
    qtbot: QtBot, hand: Hand, screen: WorkScreen, bench: InventedBench
) -> None:
    begin(hand, screen, "smelt")
    go = threading.Event()
    bench.before_preview = lambda: expect(go.wait(5))
    screen.form.put_in("R-0101")
    card = screen.form.verdict.balance
    qtbot.waitUntil(lambda: texts(card)[1:] == ["Its balance is being worked out …"])
    go.set()
    hand.wait()
    assert "Both balances close." in texts(card)


def test_of_what_is_not_known_it_is_said_once(qtbot: QtBot) -> None:
    made = (
        MadeMetal("K-0213", "bead", figure("149.6"), is_residue=False),
        MadeMetal("R-0007", "filings", NOTHING_KNOWN, is_residue=False),
    )
    balance = MetalBalance(
        MetalPreview("Ag", figure("151.5"), made, figure("0.2"), (), closes=None, sentence=""),
        HouseStyle(),
        set(),
    )
    qtbot.addWidget(balance)
    assert {"bead K-0213, worked out", "filings R-0007", "not known"} <= set(texts(balance))


def test_words_stand_level_with_their_weight_whatever_is_said_below(
    hand: Hand, screen: WorkScreen, qtbot: QtBot
) -> None:
    cupel(hand, screen)
    row = screen.form.went_in.added.rows[0]
    before = row.title.mapTo(row, row.title.rect().topLeft())
    row.weight.line.setFocus()
    hand.enter("a lot")
    assert row.weight.said_of_it.isVisible()
    qtbot.waitUntil(lambda: row.height() > 1.3 * FIELD_HEIGHT)
    assert row.title.mapTo(row, row.title.rect().topLeft()) == before


def test_a_place_too_long_for_its_line_goes_on_in_the_next(
    hand: Hand, screen: WorkScreen, qtbot: QtBot
) -> None:
    begin(hand, screen, "cupel", "K-0212")
    row = screen.form.came_out.made.rows[0]
    row.know(replace(KNOWN, place_of={"bead": LONG_PLACE}))
    details = row.details
    qtbot.waitUntil(lambda: details.height() >= details.heightForWidth(details.width()))
    assert details.text() == f"to: {LONG_PLACE}"


def test_the_balance_stands_beside_it_before_it_is_recorded(hand: Hand, screen: WorkScreen) -> None:
    cupel(hand, screen)
    words = told(screen)
    at = words.index("went in")
    assert words[at : at + 10] == [
        "went in",
        "151.5 ± 2.9 g",
        "bead K-0213, worked out",
        "149.6 ± 0.8 g",
        "spent cupel C-0165, worked out",
        "2.4 ± 0.8 g",
        "gone as fume or spilled",
        "0.20 ± 0.20 g",
        "the button is now known better",
        "152.2 ± 1.1 g",
    ]
    assert "226 to 236 g" in words
    assert "Both balances close." in words
    assert "Lead fume" in words
    (shown,) = [one for one in screen.findChildren(MetalBalance) if one.isVisible()]
    bar = shown.findChild(BalanceBar)
    assert bar.toolTip().startswith("bead K-0213: 149.6 ± 0.8 g")
    assert [one.is_hatched for one in bar.segments(LIGHT)] == [False, True, False, True]
    assert "About 85 g of base metal" in " ".join(texts(screen.form.came_out))


def test_an_old_answer_never_comes_over_a_newer_one(
    qtbot: QtBot, hand: Hand, screen: WorkScreen, bench: InventedBench
) -> None:
    begin(hand, screen, "cupel", "K-0212")
    go, seen = threading.Event(), len(bench.previewed)
    bench.before_preview = lambda: expect(go.wait(5))
    screen.form.came_out.go_in()
    hand.type("1")
    qtbot.wait(200)
    for digit in "50.85":
        hand.type(digit)
        qtbot.wait(20)
    assert not screen.help.is_settled
    go.set()
    hand.wait()
    weights = [work.made[0].gross for work in bench.previewed[seen:]]
    # One was under way with what stood there first; then only the last state was asked.
    assert weights == [mass("1"), mass("150.85")]
    assert screen.help.preview is not None


def test_a_finding_stands_at_its_line_and_in_the_list(hand: Hand, screen: WorkScreen) -> None:
    begin(hand, screen, "cupel", "K-0212")
    screen.form.came_out.go_in()
    hand.enter("6 kg")
    sentence = "K-0213 is heavier than all that went in; check the weight."
    assert screen.form.came_out.made.rows[0].trouble_words() == sentence
    assert sentence in texts(screen.form.verdict.findings)
    assert why(screen) == sentence
    assert not screen.form.verdict.record_button.isEnabled()


def test_a_finding_of_an_added_thing_finds_its_line_past_those_left_empty(
    hand: Hand, screen: WorkScreen
) -> None:
    begin(hand, screen, "cupel", "K-0212")
    screen.form.went_in.added.rows[1].go_in()
    hand.enter("20")
    preview = screen.help.preview
    assert preview is not None
    little = finding(Gravity.WARNS, Side.ADDED, "Too little lead.", 0, "gross")
    screen.form.show_findings(replace(preview, findings=(little,)))
    assert [row.trouble_words() for row in screen.form.went_in.added.rows] == [
        "",
        "Too little lead.",
    ]


def test_a_weight_that_cannot_be_read_bars_the_button_and_says_why(
    hand: Hand, screen: WorkScreen
) -> None:
    begin(hand, screen, "cupel", "K-0212")
    screen.form.came_out.go_in()
    hand.enter("abc")
    assert why(screen) == "“abc” is no weight; type a number and a unit, such as 12.5 g."
    assert not screen.form.verdict.record_button.isEnabled()
    # The hand stays where it has to be put right.
    assert hand.is_at("weight of bead K-0213")


@pytest.mark.parametrize("text", ["0", "-5"])
def test_a_weight_is_more_than_nothing(hand: Hand, screen: WorkScreen, text: str) -> None:
    begin(hand, screen, "cupel", "K-0212")
    screen.form.came_out.go_in()
    hand.enter(text)
    assert why(screen) == "A weight is more than nothing; leave it empty instead."


def test_what_lacks_is_said_at_the_button(hand: Hand, screen: WorkScreen) -> None:
    screen.begin()
    hand.wait()
    assert why(screen) == "Choose what was done."
    screen.form.choose_process("cupel")
    hand.wait()
    assert why(screen) == "Nothing went in yet; scan its tag."
    assert not screen.form.verdict.record_button.isEnabled()


def test_a_balance_that_cannot_be_worked_out_does_not_bar_recording(
    hand: Hand, screen: WorkScreen, bench: InventedBench
) -> None:
    def refuse() -> None:
        raise VaultError("The figures are not worked out yet.")

    bench.before_preview = refuse
    begin(hand, screen, "cupel", "K-0212")
    assert "The figures are not worked out yet." in told(screen)
    assert screen.form.verdict.record_button.isEnabled()


# --- look -----------------------------------------------------------------------------------------


def test_in_a_narrow_window_the_parts_stand_one_below_the_other(
    qtbot: QtBot, hand: Hand, screen: WorkScreen, holder: Holder
) -> None:
    cupel(hand, screen)
    form = screen.form
    holder.resize(1308, 860)
    qtbot.waitUntil(lambda: form.came_out.x() > form.went_in.x())
    holder.resize(770, 560)
    qtbot.waitUntil(lambda: form.came_out.y() > form.went_in.y())
    assert form.verdict.record_button.isVisible()
    assert form.area.horizontalScrollBar().maximum() == 0
    # Enter leads to what is out of sight, and brings it into sight.
    form.area.verticalScrollBar().setValue(0)
    form.came_out.go_in()
    line = form.came_out.made.rows[0].weight.line
    qtbot.waitUntil(lambda: not line.visibleRegion().isEmpty())


def test_long_names_are_told_in_full_on_lines_of_their_own(
    hand: Hand, screen: WorkScreen, qtbot: QtBot
) -> None:
    begin(hand, screen, "smelt", "R-0102")
    (row,) = screen.form.went_in.used.rows
    assert LONG_PLACE in row.details.text()
    lines = row.details.fontMetrics().lineSpacing()
    qtbot.waitUntil(lambda: row.details.height() >= 2 * lines)
    assert row.details.height() >= row.details.heightForWidth(row.details.width())
    assert row.width() <= screen.form.area.viewport().width()


def test_every_field_and_button_has_a_name(hand: Hand, screen: WorkScreen) -> None:
    cupel(hand, screen)
    for row in (*screen.form.went_in.added.rows, *screen.form.came_out.made.rows):
        row.unfold(on=True)
    for kind in (QLineEdit, QPushButton, QToolButton):
        for one in screen.form.findChildren(kind):
            if one.isVisible() and one.objectName() != "qt_toolbar_ext_button":
                named = one.accessibleName() or getattr(one, "text", str)()
                assert named, one.parent()
    hand.wait()


def test_tab_goes_from_field_to_field_without_a_stop_at_the_small_buttons(
    hand: Hand, screen: WorkScreen
) -> None:
    begin(hand, screen, "cupel", "K-0212")
    seen = []
    for _ in range(6):
        hand.press(Qt.Key.Key_Tab)
        seen.append(hand.place().accessibleName())
    assert seen[:2] == ["weight of new cupel, magnesia", "weight of lead"]


def test_gross_weights_are_kept_to_the_microgram(
    hand: Hand, screen: WorkScreen, bench: InventedBench
) -> None:
    begin(hand, screen, "pour", "K-0212")
    screen.form.came_out.go_in()
    hand.enter("0.000001")
    assert bench.previewed[-1].made[0].gross == Mass(1)


def test_lines_that_are_proposed_come_one_at_a_time(qtbot: QtBot, screen: WorkScreen) -> None:
    def lines() -> int:
        return len(screen.form.went_in.added.rows) + len(screen.form.came_out.made.rows)

    screen.begin("cupel")
    counts = [lines()]
    seen = QTimer(interval=0)
    seen.timeout.connect(lambda: counts.append(lines()))
    seen.start()
    qtbot.waitUntil(lambda: lines() == 4)
    seen.stop()
    assert counts[0] == 0
    # Between two lines the window had its turn.
    assert list(dict.fromkeys(counts)) == [0, 1, 2, 3, 4]


def test_who_goes_on_at_once_finds_all_lines_there(hand: Hand, screen: WorkScreen) -> None:
    screen.begin("cupel", ["K-0212"])
    assert screen.form.went_in.added.rows == ()
    hand.press(ENTER)
    assert hand.place() is screen.form.went_in.added.rows[0].weight.line
    assert len(screen.form.came_out.made.rows) == 2


def test_a_proposed_line_that_was_taken_out_stays_out(hand: Hand, screen: WorkScreen) -> None:
    begin(hand, screen, "cupel", "K-0212")
    lead, cupels = screen.form.went_in.added.rows
    lead.go_in()
    hand.press(Qt.Key.Key_Delete, CTRL)
    hand.wait()
    assert screen.form.went_in.added.rows == (cupels,)
    screen.form.put_in("K-0210")
    hand.wait()
    assert screen.form.went_in.added.rows == (cupels,)


def test_names_are_asked_as_a_book_is_opened_and_then_only_while_somebody_looks(
    qtbot: QtBot, screen: WorkScreen, background: Background, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[str] = []
    questions = screen.help._questions

    def names(book: object) -> KnownNames:
        asked.append("names")
        return questions.names(book)

    monkeypatch.setattr(screen.help, "_questions", replace(questions, names=names))
    screen.refresh()
    qtbot.waitUntil(lambda: background.is_idle)
    assert asked == []
    screen.begin("cupel")
    qtbot.waitUntil(lambda: background.is_idle)
    assert asked == ["names"]
    screen.show_book("another book")
    qtbot.waitUntil(lambda: background.is_idle)
    assert asked == ["names", "names"]
