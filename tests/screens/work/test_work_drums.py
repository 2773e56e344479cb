"""A whole drum goes into a work with one line, by its scan, its name or picked from the list."""

from __future__ import annotations

from pytestqt.qtbot import QtBot

from screens.work.at_the_bench import Hand, begin
from screens.work.invented_work import DRUM_C, InventedBench
from vault.application.operations.work_draft import UsedThing
from vault.screens.work.drum_rows import DrumRow
from vault.screens.work.screen import WorkScreen
from vault.screens.work.sheet import Sheet, UsedSheet, sheet_from

CUPELS = tuple(f"C-{at:04d}" for at in range(101, 165))


def drum(screen: WorkScreen) -> DrumRow:
    [row] = screen.form.drums_in
    return row


def test_its_scanned_name_puts_all_of_it_in_with_one_line(
    hand: Hand, screen: WorkScreen, bench: InventedBench
) -> None:
    begin(hand, screen, "blend", "drum C")
    row = drum(screen)
    assert row.name.text() == "drum C"
    assert row.title.text() == "64 spent cupels"
    assert row.details.text() == "13 lots · Ag 312 ± 17 g"
    assert screen.form.work().used == (UsedThing("drum C", "spent cupel", held=CUPELS),)
    assert bench.previewed[-1].used[0].held == CUPELS
    # What comes out is proposed by what goes in.
    assert [one.form.name() for one in screen.form.came_out.made.rows] == ["spent cupel"]


def test_the_same_drum_goes_in_once(qtbot: QtBot, hand: Hand, screen: WorkScreen) -> None:
    begin(hand, screen, "blend", "drum C")
    with qtbot.waitSignal(screen.form.went_in.told) as told:
        hand.enter("drum C")
    assert told.args == ["drum C goes in already."]
    assert len(screen.form.drums_in) == 1


def test_a_drum_of_two_forms_asks_which_of_them(hand: Hand, screen: WorkScreen) -> None:
    begin(hand, screen, "smelt", "tub 2")
    items = screen.form.went_in.items
    assert items.offered() == ("tub 2\nslag", "tub 2\nspent cupel")
    items.picked.emit("tub 2\nslag")
    hand.wait()
    assert drum(screen).key == ("tub 2", "slag")
    row = drum(screen)
    assert (row.title.text(), row.whole.text()) == ("3 slag", "1 not weighed")


def test_drums_are_offered_while_their_name_is_typed(
    qtbot: QtBot, hand: Hand, screen: WorkScreen
) -> None:
    begin(hand, screen, "crush")
    hand.type("dru")
    items = screen.form.went_in.items
    qtbot.waitUntil(lambda: "drum C\nspent cupel" in items.offered())


def test_a_drum_goes_in_whole_or_not_at_all(hand: Hand, screen: WorkScreen) -> None:
    begin(hand, screen, "blend", "drum C")
    row = drum(screen)
    row.unfold_button.toggle()
    assert not row.is_unfolded
    assert row.unfold_button.isHidden()
    row.remove_button.click()
    assert screen.form.drums_in == ()


def test_a_drum_stands_beside_items_and_findings_find_its_line(
    hand: Hand, screen: WorkScreen
) -> None:
    begin(hand, screen, "blend", "K-0212", "drum C")
    assert screen.form.tags_in == ("K-0212",)
    assert [one.tag for one in screen.form.work().used] == ["K-0212", "drum C"]


def test_a_drum_that_was_emptied_meanwhile_says_so(
    hand: Hand, screen: WorkScreen, bench: InventedBench
) -> None:
    begin(hand, screen, "blend", "drum C")
    bench.drums.pop("drum C")
    screen.refresh()
    hand.wait()
    assert drum(screen).title.text() == "Nothing of it lies there any more; remove the line."
    assert drum(screen).thing().held == ()


def test_a_drum_is_kept_over_a_crash_by_its_name_and_form(hand: Hand, screen: WorkScreen) -> None:
    begin(hand, screen, "blend", "drum C")
    sheet = screen.form.sheet()
    assert sheet.used == (UsedSheet("drum C", form="spent cupel"),)
    assert sheet_from(sheet.content()) == sheet
    screen.form.fill(Sheet())
    screen.form.fill(sheet_from(sheet.content()))
    assert drum(screen).key == ("drum C", "spent cupel")
    screen.help.ask_for_briefs()
    hand.wait()
    assert drum(screen).held == CUPELS


def test_the_charge_of_a_recipe_counts_the_whole_drum(hand: Hand, screen: WorkScreen) -> None:
    begin(hand, screen, "smelt", "drum C")
    charge = screen.form.went_in.charge()
    assert charge is not None
    assert charge.micrograms == DRUM_C.brief.gross_ug


def test_a_scan_of_the_window_puts_a_drum_in_too(hand: Hand, screen: WorkScreen) -> None:
    begin(hand, screen, "blend")
    assert screen.scanned("drum C")
    hand.wait()
    assert drum(screen).tag == "drum C"
