"""Recording a work: once, never over what nobody has seen, and what comes next."""

from __future__ import annotations

from dataclasses import replace

from pytestqt.qtbot import QtBot

from builders import mass
from screens.holding import press
from screens.work.at_the_bench import CTRL, ENTER, Hand, Printed, begin, cupel, why
from screens.work.invented_work import InventedBench
from vault.application.operations.work_draft import MadeThing, WorkDraft
from vault.core.daybook import Process
from vault.core.errors import VaultError
from vault.screens.work.recorded import steps_after
from vault.screens.work.screen import WorkScreen
from vault.screens.work.sheet import Sheet


def test_recorded_it_is_told_in_a_sentence_with_tags_and_what_comes_next(
    qtbot: QtBot, hand: Hand, screen: WorkScreen, bench: InventedBench, printed: Printed
) -> None:
    cupel(hand, screen)
    assert screen.form.verdict.record_button.text() == "Record it and print 2 tags"
    assert screen.form.verdict.record_button.height() >= 56
    key = screen.form.key
    hand.press(ENTER)
    qtbot.waitUntil(lambda: not screen.is_filling_in)
    (work, used_key) = bench.recorded[0]
    assert used_key == key
    assert work.process is Process.CUPEL
    assert [one.gross for one in work.made] == [mass("150.85"), mass("602.4")]
    assert screen.page.recorded.words.text() == (
        "Recorded: cupel of K-0212 gave bead K-0213 and spent cupel C-0165."
    )
    assert printed.tags == [("K-0213", "C-0165")]
    assert hand.place().text() == "Next: remelt the bead K-0213"  # type: ignore[attr-defined]
    press(qtbot, screen, "Print 2 tags again")
    assert len(printed.tags) == 2
    screen.page.begin()
    bench.items["K-0213"] = replace(bench.items["K-0210"], tag="K-0213")
    hand.press(ENTER)
    hand.wait()
    assert screen.is_filling_in
    assert screen.form.head.process == "remelt"
    assert screen.form.tags_in == ("K-0213",)
    assert screen.form.key != key


def test_what_was_recorded_leaves_the_form_once_the_page_stands_in_its_place(
    qtbot: QtBot, hand: Hand, screen: WorkScreen
) -> None:
    cupel(hand, screen)
    seen: list[bool] = []
    fill = screen.form.fill

    def noting(sheet: Sheet) -> None:
        seen.append(screen.is_filling_in)
        fill(sheet)

    screen.form.fill = noting  # type: ignore[method-assign]
    hand.press(ENTER)
    qtbot.waitUntil(lambda: screen.form.sheet().is_blank)
    assert seen == [False]


def test_who_begins_the_next_work_at_once_finds_the_form_empty(
    qtbot: QtBot, hand: Hand, screen: WorkScreen
) -> None:
    cupel(hand, screen)
    begun: list[tuple[str, ...]] = []

    def begin_at_once(_tags: object) -> None:
        screen.work_on(Process.REMELT, ("K-0210",))
        begun.append(screen.form.tags_in)

    screen._print = begin_at_once  # type: ignore[method-assign, assignment]
    hand.press(ENTER)
    qtbot.waitUntil(lambda: begun == [("K-0210",)])
    hand.wait()
    assert screen.is_filling_in
    assert screen.form.tags_in == ("K-0210",)
    assert screen.form.head.process == "remelt"


def test_what_comes_next_is_told_in_words_and_what_was_sorted_is_worked_apart() -> None:
    def words(process: Process, *made: tuple[str, str]) -> list[str]:
        things = tuple(MadeThing(tag, form) for tag, form in made)
        return [one.words for one in steps_after(WorkDraft(process, made=things))]

    assert words(Process.SORT, ("R-5", "filings"), ("R-6", "filings")) == [
        "cupel the filings R-5",
        "smelt the filings R-5",
        "cupel the filings R-6",
        "smelt the filings R-6",
    ]
    beads = [(f"K-{number}", "bead") for number in range(1, 5)]
    assert words(Process.CUPEL, *beads[:2]) == ["remelt the beads K-1 and K-2"]
    assert words(Process.CUPEL, *beads[:3]) == ["remelt the beads K-1, K-2 and K-3"]
    assert words(Process.CUPEL, *beads) == ["remelt the beads, all 4"]
    assert words(Process.POUR, ("B-1", "bar")) == []


def test_where_nothing_follows_enter_does_not_print_again(
    qtbot: QtBot, hand: Hand, screen: WorkScreen, bench: InventedBench, printed: Printed
) -> None:
    begin(hand, screen, "pour", "K-0212")
    hand.enter()
    hand.enter("235.9")
    hand.press(ENTER)
    qtbot.waitUntil(lambda: not screen.is_filling_in)
    assert len(printed.tags) == len(bench.recorded) == 1
    hand.press(ENTER)
    assert len(printed.tags) == 1
    assert not screen.page.recorded.isVisible()


def test_it_can_be_recorded_without_printing(
    qtbot: QtBot, hand: Hand, screen: WorkScreen, bench: InventedBench, printed: Printed
) -> None:
    cupel(hand, screen)
    press(qtbot, screen, "Record it without printing")
    qtbot.waitUntil(lambda: len(bench.recorded) == 1)
    qtbot.waitUntil(lambda: not screen.is_filling_in)
    assert printed.tags == []


def test_control_enter_records_from_anywhere(
    qtbot: QtBot, hand: Hand, screen: WorkScreen, bench: InventedBench
) -> None:
    begin(hand, screen, "cupel", "K-0212")
    screen.form.went_in.note.setFocus()
    hand.press(ENTER, CTRL)
    qtbot.waitUntil(lambda: len(bench.recorded) == 1)
    qtbot.waitUntil(lambda: not screen.is_filling_in)


def test_enter_before_the_balance_stands_waits_for_it(
    qtbot: QtBot, hand: Hand, screen: WorkScreen, bench: InventedBench
) -> None:
    begin(hand, screen, "cupel", "K-0212")
    screen.form.came_out.go_in()
    hand.type("150.85")
    hand.press(ENTER, CTRL)
    assert bench.recorded == []
    qtbot.waitUntil(lambda: len(bench.recorded) == 1)
    assert bench.recorded[0][0].made[0].gross == mass("150.85")
    qtbot.waitUntil(lambda: not screen.is_filling_in)


def test_a_warning_that_nobody_has_seen_is_not_recorded_over(
    qtbot: QtBot, hand: Hand, screen: WorkScreen, bench: InventedBench
) -> None:
    begin(hand, screen, "cupel", "K-0212")
    screen.form.came_out.go_in()
    hand.type("0.5")
    with qtbot.waitSignal(screen.told) as sentence:
        hand.press(ENTER, CTRL)
    assert sentence.args[0].startswith("Look at what is said in the middle and on the right first")
    assert bench.recorded == []
    hand.press(ENTER, CTRL)
    qtbot.waitUntil(lambda: len(bench.recorded) == 1)
    qtbot.waitUntil(lambda: not screen.is_filling_in)


def test_the_impossible_found_at_the_last_moment_is_not_recorded(
    hand: Hand, screen: WorkScreen, bench: InventedBench
) -> None:
    begin(hand, screen, "cupel", "K-0212")
    screen.form.came_out.go_in()
    hand.type("6 kg")
    hand.press(ENTER, CTRL)
    hand.wait()
    assert bench.recorded == []
    assert not screen.form.verdict.record_button.isEnabled()


def test_a_refusal_of_the_book_is_told_and_a_retry_has_the_same_key(
    qtbot: QtBot, hand: Hand, screen: WorkScreen, bench: InventedBench
) -> None:
    bench.trouble = VaultError("K-0212 cannot be used: it was used up in entry 940 before this.")
    cupel(hand, screen)
    key = screen.form.key
    hand.press(ENTER)
    qtbot.waitUntil(lambda: why(screen).startswith("K-0212 cannot be used"))
    assert screen.is_filling_in
    bench.trouble = None
    screen.form.went_in.note.setFocus()
    hand.enter("once more")
    hand.press(ENTER, CTRL)
    qtbot.waitUntil(lambda: len(bench.recorded) == 1)
    assert bench.recorded[0][1] == key
    qtbot.waitUntil(lambda: not screen.is_filling_in)


def test_it_is_recorded_once_however_often_enter_is_pressed(
    qtbot: QtBot, hand: Hand, screen: WorkScreen, bench: InventedBench
) -> None:
    cupel(hand, screen)
    for _ in range(3):
        screen.form.record_wanted.emit()
    qtbot.waitUntil(lambda: not screen.is_filling_in)
    qtbot.wait(50)
    assert len(bench.recorded) == 1
