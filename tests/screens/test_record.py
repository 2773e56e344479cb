"""The yearly record of residues: its words, its part of the screen, and its paper."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest
from PySide6.QtGui import QColor, QImage
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from screens.conftest import WindowOf
from screens.holding import clipboard, pick
from screens.invented import InventedShop
from screens.invented_record import (
    HEAD,
    TODAY,
    cupels_of_2030,
    cupels_of_2031,
    kilos,
    record,
    residue_record,
    slag_of_2031,
)
from screens.test_printing import words_of
from vault.application.queries.answers.turnover import YearlyRecord, YearOfRecord
from vault.core.turnover import Amount, ClassYear, Judgement
from vault.screens.house_style import HouseStyle
from vault.screens.look import LIGHT
from vault.screens.numbers import Numbers
from vault.screens.printing.residue_record import record_paper
from vault.screens.record_words import (
    amount_words,
    otherwise_words,
    percent_words,
    standing_words,
    year_words,
)
from vault.screens.residues.record_part import RecordPart
from vault.screens.write_out_dialog import WriteOutDialog

NUMBERS = Numbers()


def test_a_year_is_told_in_one_line() -> None:
    told = year_words(cupels_of_2031(), NUMBERS, is_over=False)
    assert told == "on 1 Jan 14.2 kg · made 9.6 kg · moved on 2.1 kg · on hand 21.7 kg"
    assert year_words(cupels_of_2030(), NUMBERS, is_over=True).endswith("on 31 Dec 14.2 kg")


def test_what_was_not_weighed_is_counted_and_never_a_weight_of_nothing() -> None:
    assert amount_words(Amount(3, 0, 3), NUMBERS) == "3 not weighed"
    assert amount_words(kilos(14.2, 5, 2), NUMBERS) == "14.2 kg and 2 not weighed"
    assert amount_words(Amount(), NUMBERS) == "nothing"


@pytest.mark.parametrize(
    ("told", "judgement", "still", "days_left", "words"),
    [
        (cupels_of_2031(), Judgement.OPEN, 8_550_000_000, 292, "8.6 kg to go, 292 days left."),
        (cupels_of_2031(), Judgement.OPEN, 8_550_000_000, 1, "8.6 kg to go, 1 day left."),
        (cupels_of_2031(), Judgement.OPEN, 12_000_000_000, 0, "12.0 kg to go, today is the last"),
        (cupels_of_2030(), Judgement.MET, 0, 0, "100 % of what was kept on 1 January moved on"),
        (cupels_of_2031(), Judgement.NOT_MET, 1, 0, "12): not kept."),
        (slag_of_2031(), Judgement.NOT_SAID, 0, 9, "not to be said, with 3 items not weighed"),
    ],
)
def test_the_rule_is_told_with_its_place_and_source_and_how_it_stands(
    told: ClassYear, judgement: Judgement, still: int, days_left: int, words: str
) -> None:
    said = standing_words(YearOfRecord(told, judgement, still, days_left), record(), NUMBERS)
    assert words in said.replace("\u202f", " ")
    assert "75 % are to be moved on by 31 December (Vestland; waste rule of 2029, sec" in said
    assert said.endswith("Check the law where you are.")


def test_without_a_rule_nothing_is_judged_and_the_law_is_pointed_to() -> None:
    one = YearOfRecord(cupels_of_2031(), None, 0, 292)
    assert standing_words(one, record(None), NUMBERS) == (
        "14.7 % of what was kept on 1 January moved on. No rule for moving residues on is set. "
        "Check the law where you are."
    )


def test_with_nothing_kept_on_the_first_of_january_nothing_is_asked() -> None:
    empty = ClassYear("dust", 2031, TODAY, Amount(), kilos(1), Amount(), kilos(1))
    said = standing_words(YearOfRecord(empty, Judgement.MET, 0, 292), record(), NUMBERS)
    assert said.startswith("Nothing was kept on 1 January, so nothing has to be moved on.")


def test_a_share_short_of_the_rule_is_not_rounded_up_to_it() -> None:
    assert percent_words(Fraction(7496, 10000), NUMBERS) == "74.9 %"
    assert percent_words(Fraction(0), NUMBERS) == "0 %"


def test_what_went_otherwise_is_told_apart() -> None:
    assert otherwise_words(slag_of_2031(), NUMBERS) == (
        "Not moved on: 400.0 g went back to customers, 100.0 g was not found at a count and "
        "100.0 g less came out of blending and crushing than went in."
    )
    assert otherwise_words(cupels_of_2031(), NUMBERS) == ""


# --- the part of the screen -------------------------------------------------------------------


@pytest.fixture
def part(qtbot: QtBot, style: HouseStyle) -> RecordPart:
    made = RecordPart(style)
    qtbot.addWidget(made)
    made.resize(560, 160)
    made.show_record(record())
    made.show()
    return made


def test_the_class_that_weighs_most_and_the_newest_year_are_shown_first(part: RecordPart) -> None:
    assert (part.form.text(), part.year.text()) == ("spent cupels", "2031")
    assert part.told.text().startswith("on 1 Jan 14.2 kg")
    assert "The oldest on hand has been kept since 2 Nov 2030." in part.standing.text()


def test_another_class_and_another_year_are_chosen(part: RecordPart) -> None:
    pick(part.year, "2030")
    assert part.told.text().endswith("on 31 Dec 14.2 kg")
    # How old things are that are on hand today is no word about a year that is over.
    assert "kept since" not in part.standing.text()
    pick(part.form, "slag")
    assert part.year.text() == "2031"
    assert "Not moved on: 400.0 g went back" in part.standing.text()


def test_what_was_chosen_stays_when_the_book_goes_on(part: RecordPart) -> None:
    pick(part.form, "slag")
    part.show_record(record())
    assert part.form.text() == "slag"


def test_the_bar_is_filled_to_the_share_and_marked_at_the_rule(part: RecordPart) -> None:
    image = part.bar.grab().toImage()
    middle, width = image.height() // 2, image.width()
    assert QColor(image.pixel(round(0.10 * width), middle)) == LIGHT.soft_ink
    assert QColor(image.pixel(round(0.30 * width), middle)) == LIGHT.band
    assert LIGHT.attention in colours_across(image, 0)
    part.show_record(record(None))
    assert LIGHT.attention not in colours_across(part.bar.grab().toImage(), 0)


def colours_across(image: QImage, y: int) -> list[QColor]:
    return [QColor(image.pixel(x, y)) for x in range(image.width())]


def test_it_is_hidden_where_no_residue_was_ever_kept(part: RecordPart) -> None:
    part.show_record(YearlyRecord({}, {}, None, TODAY))
    assert part.isHidden()


def test_a_rule_that_was_not_kept_is_told_in_the_colour_of_attention(part: RecordPart) -> None:
    late = replace(
        record(),
        day=date(2032, 1, 9),
        classes={"spent cupel": (YearOfRecord(cupels_of_2031(), Judgement.NOT_MET, 1, 0),)},
    )
    part.show_record(late)
    assert part.standing.property("kind") == "attention"


def test_all_years_of_a_class_are_copied_as_text(part: RecordPart) -> None:
    actions = {one.text(): one for one in part.more.menu().actions()}
    actions["Copy as text"].trigger()
    lines = clipboard().split("\n")
    assert [line.split("\t")[:2] for line in lines] == [
        ["2030", "spent cupels"],
        ["2031", "spent cupels"],
    ]


def test_the_record_is_wanted_on_paper_and_as_a_file(qtbot: QtBot, part: RecordPart) -> None:
    actions = {one.text(): one for one in part.more.menu().actions()}
    with qtbot.waitSignal(part.paper_wanted):
        actions["Print the record …"].trigger()
    with qtbot.waitSignal(part.file_wanted):
        actions["Write the record out …"].trigger()


# --- in the window ----------------------------------------------------------------------------


def test_what_a_screen_wants_written_out_is_proposed(qtbot: QtBot, window_of: WindowOf) -> None:
    window = window_of(InventedShop())
    window.desk.open(Path("x.shop"))
    qtbot.waitUntil(lambda: window.shown == "safe")
    window.screen_named("safe").write_out_wanted.emit("turnover")
    dialog = window.findChild(WriteOutDialog)
    assert dialog.what.value == "turnover"
    dialog.reject()


def test_the_record_is_shown_before_it_is_printed(qtbot: QtBot, window_of: WindowOf) -> None:
    window = window_of(InventedShop())
    window.desk.open(Path("x.shop"))
    qtbot.waitUntil(lambda: window.shown == "safe")
    papers = window._parts.papers
    papers.residue_record("book")
    qtbot.waitUntil(lambda: papers._shown is not None)
    dialog = papers._shown
    assert dialog is not None
    assert dialog.windowTitle() == "Print the record of residues"
    dialog.reject()


# --- paper ------------------------------------------------------------------------------------


def test_the_paper_says_what_is_kept_since_when_and_each_year_by_class(qapp: QApplication) -> None:
    [page] = words_of(record_paper(residue_record(), NUMBERS))
    for words in (
        "Tidewater Melt Shop",
        "Record of residues",
        "14 Mar 2031, entry 412",
        "75 % are to be moved on by 31 December (Vestland; waste rule of 2029, section 12)",
        "no place noted crucibles 2 2 not weighed 20 Jan 2031",
        "drum C spent cupels 64 21.7 kg 2 Nov 2030",
        "2030 12.0 kg 14.2 kg 12.0 kg – – 14.2 kg 100 %",
        "2031 14.2 kg 9.6 kg 1.1 kg 1.0 kg – 21.7 kg 14.7 %",
        "This record is no legal advice. Check the law where you are.",
        "Lead. Holds litharge",
    ):
        assert words in page.replace("\u202f", " "), words
    assert page.replace(" ", "").count(HEAD) == 2


def test_the_paper_without_a_rule_says_that_none_is_set(qapp: QApplication) -> None:
    [page] = words_of(record_paper(residue_record(None), NUMBERS, "Letter"))
    assert "Rule none is set" in page
    assert "to go" not in page


def test_a_class_kept_for_thirty_years_goes_over_pages(qapp: QApplication) -> None:
    long = residue_record()
    cupels = long.years.classes["spent cupel"]
    years = tuple(
        replace(cupels[0], told=replace(cupels[0].told, year=year)) for year in range(1990, 2030)
    )
    told = replace(long, years=replace(long.years, classes={"spent cupel": (*years, *cupels)}))
    pages = words_of(record_paper(told, NUMBERS))
    assert len(pages) == 2
    assert all("On 1 Jan" in page for page in pages)


def test_a_shop_without_residues_has_a_paper_too(qapp: QApplication) -> None:
    empty = replace(
        residue_record(), containers=(), years=YearlyRecord({}, {}, None, TODAY), cautions=()
    )
    [page] = words_of(record_paper(empty, NUMBERS))
    assert "No residues are on hand." in page
