"""A lot is received over a real book, with real keys and clicks."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from builders import mass, said
from conftest import Clock
from screens.holding import press, texts
from screens.receiving import Counter
from vault.application.book import Book
from vault.application.holds import Hold, set_hold
from vault.application.operations.receipt_draft import BagDraft, ReceiptDraft
from vault.application.operations.receipts import receive
from vault.application.queries.tags import propose_tags
from vault.core.daybook import Act, Process, Terms
from vault.core.errors import VaultError
from vault.screens.background import Background
from vault.screens.house_style import HouseStyle
from vault.screens.receive.summary import FindingView

SCHOOL = "Pennant Bench School"
EARLIER = ReceiptDraft(
    "L-0124",
    SCHOOL,
    Terms.TOLL,
    bags=(BagDraft("R-0001", "filings", mass("10"), place="shelf 2"),),
)

CounterOf = Callable[[], Counter]


@pytest.fixture
def book(tmp_path: Path, clock: Clock) -> Iterator[Book]:
    with Book.create(
        tmp_path / "shop.shop", zone="Europe/Oslo", operator="Imke", clock=clock
    ) as made:
        receive(made, EARLIER, "before")
        yield made


@pytest.fixture
def counter_of(
    qtbot: QtBot, background: Background, style: HouseStyle, tmp_path: Path, book: Book
) -> Iterator[CounterOf]:
    made: list[Counter] = []

    def build() -> Counter:
        made.append(Counter(qtbot, background, style, tmp_path, book))
        return made[-1]

    yield build
    for one in made:
        one.close()


@pytest.fixture
def counter(counter_of: CounterOf) -> Counter:
    return counter_of()


def findings(counter: Counter) -> list[str]:
    return [one.finding.sentence for one in counter.screen.summary.findChildren(FindingView)]


def fill_in(counter: Counter, *, party: str = SCHOOL) -> None:
    """Fill the form in, by keyboard, as far as it can be recorded."""
    counter.types(party)
    counter.enter()  # the customer's metal
    counter.types("trays of three benches")
    counter.types("filings")
    counter.types("112.5")
    counter.types("12.5")
    counter.types("925")
    counter.enter()
    counter.settle()


# --- by keyboard alone --------------------------------------------------------------------------


def test_a_lot_of_three_bags_is_received_by_keyboard_alone(counter: Counter) -> None:
    assert counter.screen.form.lot.party.line.hasFocus()
    counter.types(SCHOOL)
    counter.enter()  # the customer's metal
    counter.types("benches")
    before = counter.keys
    for form, gross in (("fil", "112.5"), ("fil", "98.24"), ("swe", "1404.2")):
        counter.types(form)
        counter.types(gross)
        for _ in range(5):  # no tare, nothing declared, the place as proposed, no note
            counter.enter()
        counter.settle()
    a_bag = (counter.keys - before) / 3
    counter.enter()  # no more bags
    assert counter.focused() is counter.screen.summary.button
    counter.settle()
    counter.enter()
    counter.qtbot.waitUntil(counter.is_done)
    received = counter.entries()[-1]
    assert [(one.tag, one.form, one.gross) for one in received.lines] == [
        ("R-0002", "filings", mass("112.5")),
        ("R-0003", "filings", mass("98.24")),
        ("R-0004", "sweeps", mass("1404.2")),
    ]
    assert {(one.lot, one.party, one.place) for one in received.lines} == {
        ("L-0125", SCHOOL, "shelf 2")
    }
    # With the weight from a scale a bag takes nine; here its digits are typed as well.
    weight_digits = len("112.5" + "98.24" + "1404.2") / 3
    assert a_bag - weight_digits <= 10


def test_what_is_recorded_is_all_that_was_typed(counter: Counter) -> None:
    fill_in(counter)
    card = counter.screen.form.bags.cards[0]
    assert card.net.text() == "100.00 g"
    assert card.place.name() == "shelf 2"  # where filings were put last
    counter.key(Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
    counter.qtbot.waitUntil(counter.is_done)
    (line,) = counter.entries()[-1].lines
    assert (line.tag, line.form, line.lot) == ("R-0002", "filings", "L-0125")
    assert (line.gross, line.tare) == (mass("100"), mass("12.5"))
    assert (line.contents, line.how) == (said("Ag 925"), "declared")
    assert (line.party, line.terms) == (SCHOOL, "toll")
    assert (line.place, line.note) == ("shelf 2", "trays of three benches")


def test_the_papers_come_by_themselves_and_once_more_when_wanted(
    counter: Counter, qtbot: QtBot
) -> None:
    fill_in(counter)
    counter.click(counter.screen.summary.button)
    qtbot.waitUntil(counter.is_done)
    assert counter.paper.receipts == [2]
    assert counter.paper.tag_sheets == [("R-0002",)]
    counter.click(counter.screen.done.receipt)
    counter.click(counter.screen.done.tags)
    assert counter.paper.receipts == [2] * 2
    assert counter.paper.tag_sheets == [("R-0002",)] * 2


def test_afterwards_a_sentence_says_what_was_recorded(counter: Counter, qtbot: QtBot) -> None:
    fill_in(counter)
    counter.click(counter.screen.summary.button)
    qtbot.waitUntil(counter.is_done)
    told = texts(counter.screen.done)
    assert "Lot L-0125 is in the book" in told
    assert "1 bag from Pennant Bench School, 100.00 g, is recorded as entry 2." in told
    assert counter.screen.leave_button.text() == "Back"


@pytest.mark.parametrize(
    ("words", "process"),
    [
        ("Sort it", Process.SORT),
        ("Burn it off", Process.BURN_OFF),
        ("Smelt it", Process.SMELT),
        ("Cupel it", Process.CUPEL),
    ],
)
def test_a_work_begins_with_what_was_received(
    counter: Counter, qtbot: QtBot, words: str, process: Process
) -> None:
    wanted: list[tuple[object, object]] = []
    counter.screen.work_wanted.connect(lambda *what: wanted.append(what))
    fill_in(counter)
    counter.click(counter.screen.summary.button)
    qtbot.waitUntil(counter.is_done)
    press(qtbot, counter.screen.done, words)
    assert wanted == [(process, ("R-0002",))]


def test_alt_and_the_letter_of_a_process_begin_it_with_what_was_received(
    counter: Counter, qtbot: QtBot
) -> None:
    wanted: list[tuple[object, object]] = []
    counter.screen.work_wanted.connect(lambda *what: wanted.append(what))
    fill_in(counter)
    counter.click(counter.screen.summary.button)
    qtbot.waitUntil(counter.is_done)
    counter.key(Qt.Key.Key_S, Qt.KeyboardModifier.AltModifier)
    assert wanted == [(Process.SORT, ("R-0002",))]


def test_the_buttons_that_lead_on_stand_in_one_line(counter: Counter, qtbot: QtBot) -> None:
    fill_in(counter)
    counter.click(counter.screen.summary.button)
    qtbot.waitUntil(counter.is_done)
    done = counter.screen.done
    assert len({one.height() for one in (done.another, done.receipt, done.tags, done.lot)}) == 1


def test_the_lot_is_shown_among_the_lots(counter: Counter, qtbot: QtBot) -> None:
    wanted: list[tuple[str, str]] = []
    counter.screen.place_wanted.connect(lambda *what: wanted.append(what))
    fill_in(counter)
    counter.click(counter.screen.summary.button)
    qtbot.waitUntil(counter.is_done)
    press(qtbot, counter.screen.done, "Show the lot")
    assert wanted == [("lots", "L-0125")]


def test_another_lot_begins_with_an_empty_form_and_the_next_number(
    counter: Counter, qtbot: QtBot
) -> None:
    fill_in(counter)
    counter.click(counter.screen.summary.button)
    qtbot.waitUntil(counter.is_done)
    press(qtbot, counter.screen.done, "Receive another lot")
    qtbot.waitUntil(lambda: counter.screen.form.lot.lot.name() == "L-0126")
    counter.settle()
    assert counter.screen.form.is_blank
    assert counter.focused() is counter.screen.form.lot.party.line
    fill_in(counter)
    assert counter.screen.form.bags.cards[0].tag.text == "R-0003"


# --- bags ---------------------------------------------------------------------------------------


def add_bag(counter: Counter, form: str = "filings") -> None:
    """Add a bag, and say what is in it."""
    counter.click(counter.screen.form.bags.add_button)
    counter.types(form)
    counter.settle()


def test_bags_are_added_and_removed_and_keep_their_tags(counter: Counter) -> None:
    bags = counter.screen.form.bags
    assert bags.cards[0].remove.isHidden()
    fill_in(counter)
    add_bag(counter)
    add_bag(counter)
    assert [card.tag.text for card in bags.cards] == ["R-0002", "R-0003", "R-0004"]
    assert bags.cards[2].gross.line.hasFocus()
    counter.click(bags.cards[1].remove)
    counter.settle()
    assert [card.tag.text for card in bags.cards] == ["R-0002", "R-0004"]
    counter.qtbot.waitUntil(lambda: counter.background.is_idle)
    add_bag(counter)
    # The tag that came free is given to the next bag.
    assert bags.cards[2].tag.text == "R-0003"


def test_a_bag_left_blank_takes_no_number(counter: Counter, qtbot: QtBot) -> None:
    bags = counter.screen.form.bags
    assert bags.cards[0].tag.text == ""
    fill_in(counter)
    for _ in range(2):
        counter.click(bags.add_button)
    counter.settle()
    assert [card.tag.text for card in bags.cards] == ["R-0002", "", ""]
    counter.click(counter.screen.summary.button)
    qtbot.waitUntil(counter.is_done)
    assert [one.tag for one in counter.entries()[-1].lines] == ["R-0002"]
    # What the bench makes next, with this screen in the background, is numbered on.
    assert propose_tags(counter.book, "work", ["filings", "sweeps"]) == ("R-0003", "R-0004")


def test_the_columns_of_all_bags_lie_below_each_other(counter: Counter, qtbot: QtBot) -> None:
    fill_in(counter)
    wide = counter.screen.form.bags.cards[0].height()
    # The first one has stood in four rows before, as it does until the window has its size.
    counter.holder.resize(960, 700)
    qtbot.waitUntil(lambda: counter.screen.form.bags.cards[0].height() > 1.5 * wide)
    counter.holder.resize(1440, 900)
    add_bag(counter, "mixed sweeps of the month")
    first, second = counter.screen.form.bags.cards
    for name in ("tag", "form", "gross", "tare", "contents", "place", "note"):
        one, two = getattr(first, name), getattr(second, name)
        assert one.mapTo(first, one.rect().topLeft()).x() == (
            two.mapTo(second, two.rect().topLeft()).x()
        ), name
        assert one.width() == two.width(), name


def test_a_bag_stands_in_two_rows_where_there_is_room_and_in_four_where_not(
    counter: Counter, qtbot: QtBot
) -> None:
    card = counter.screen.form.bags.cards[0]
    wide = card.height()
    counter.holder.resize(960, 700)
    qtbot.waitUntil(lambda: card.height() > 1.5 * wide)
    counter.holder.resize(1440, 900)
    qtbot.waitUntil(lambda: card.height() == wide)


def test_a_tag_printed_before_is_scanned_onto_the_bag_in_hand(counter: Counter) -> None:
    bags = counter.screen.form.bags
    fill_in(counter)
    add_bag(counter)
    bags.cards[0].gross.line.setFocus()
    assert counter.screen.scanned("R-0900")
    assert [card.tag.text for card in bags.cards] == ["R-0900", "R-0003"]
    assert counter.focused() is bags.cards[0].gross.line
    counter.screen.form.lot.party.line.setFocus()
    assert counter.screen.scanned("R-0901")
    assert [card.tag.text for card in bags.cards] == ["R-0900", "R-0901"]
    assert bags.cards[1].form.line.hasFocus()
    counter.settle()


def test_a_new_bag_comes_into_sight_with_the_hand_in_it(counter: Counter, qtbot: QtBot) -> None:
    fill_in(counter)
    form = counter.screen.form
    card = form.bags.cards[0]
    # All of the first bag is just seen, so that nothing was scrolled for it.
    bottom = card.mapTo(form.viewport(), card.rect().bottomLeft()).y()
    counter.holder.resize(1440, counter.holder.height() - form.viewport().height() + bottom + 4)
    qtbot.waitUntil(lambda: form.viewport().height() == bottom + 4)
    for _ in range(2):  # the place is as proposed, no note
        counter.enter()
    line = form.bags.cards[1].form.line
    assert counter.focused() is line
    # It is laid out only after the hand went there.
    qtbot.waitUntil(lambda: form.verticalScrollBar().maximum() > 100)
    qtbot.waitUntil(lambda: is_in_sight(line, form.viewport()))
    counter.settle()


def test_a_last_bag_that_is_blank_does_not_count(counter: Counter) -> None:
    fill_in(counter)
    counter.click(counter.screen.form.bags.add_button)
    counter.settle()
    assert counter.screen.summary.button.text() == "Receive it and print 1 tag and the receipt"
    assert findings(counter) == []


# --- photos -------------------------------------------------------------------------------------


def test_a_photo_is_added_to_a_bag_and_recorded_with_it(
    counter: Counter, qtbot: QtBot, tmp_path: Path
) -> None:
    counter.picture = tmp_path / "a long name of a bag.png"
    counter.picture.write_bytes(b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR")
    fill_in(counter)
    link = counter.screen.form.bags.cards[0].photo
    counter.click(link)
    assert (link.text(), link.file) == ("…f a bag.png ×", counter.picture)
    counter.settle()
    counter.click(counter.screen.summary.button)
    qtbot.waitUntil(counter.is_done)
    received, shown = counter.entries()[-2:]
    assert (received.act, shown.act) == (Act.RECEIVE, Act.PHOTO)
    assert shown.lines[0].tag == received.lines[0].tag
    assert counter.paper.receipts == [received.number]


def test_a_photo_is_taken_off_again(counter: Counter, tmp_path: Path) -> None:
    link = counter.screen.form.bags.cards[0].photo
    counter.click(link)
    assert link.text() == "Add a photo"  # none was chosen
    counter.picture = tmp_path / "bag.png"
    counter.click(link)
    assert link.file == counter.picture
    counter.click(link)
    assert link.text() == "Add a photo"
    assert counter.screen.form.bags.drafts()[0].photo is None


# --- what is said of it -------------------------------------------------------------------------


def test_an_empty_form_says_what_it_wants(counter: Counter) -> None:
    assert findings(counter) == [
        "Choose whose metal it is: the customer's, bought, or own.",
        "Say which customer brought it.",
        "Say what is in bag 1: filings, sweeps, scrap …",
    ]
    told = texts(counter.screen.summary)
    assert "not weighed yet" in told
    assert (
        "No hold is set. Ask what your local law wants: rules for dealers in second-hand goods "
        "differ by place."
    ) in told


def test_the_button_of_an_unfinished_form_leads_to_what_is_wanted(
    counter: Counter, qtbot: QtBot
) -> None:
    counter.click(counter.screen.summary.button)
    qtbot.waitUntil(lambda: counter.screen.form.lot.terms.buttons.button(0).hasFocus())
    counter.enter()
    counter.settle()
    counter.click(counter.screen.summary.button)
    qtbot.waitUntil(counter.screen.form.lot.party.line.hasFocus)
    assert len(counter.entries()) == 1


def test_a_finding_leads_to_its_field(counter: Counter, qtbot: QtBot) -> None:
    view = counter.screen.summary.findChildren(FindingView)[2]
    counter.click(view)
    assert counter.screen.form.bags.cards[0].form.line.hasFocus()
    view = counter.screen.summary.findChildren(FindingView)[1]
    qtbot.keyClick(view, Qt.Key.Key_Return)
    assert counter.screen.form.lot.party.line.hasFocus()


def test_what_is_declared_stands_beside_the_form_with_its_doubt(counter: Counter) -> None:
    fill_in(counter)
    told = texts(counter.screen.summary)
    assert "100.00 g" in told
    assert "net, in 1 bag" in told
    assert "Ag silver, declared" in told
    # Nothing was said of the doubt of that word: a tenth is taken for it.
    assert "92 ± 9 g" in told


def test_nothing_is_recorded_while_a_number_could_mean_two_things(
    counter: Counter, qtbot: QtBot
) -> None:
    fill_in(counter)
    card = counter.screen.form.bags.cards[0]
    gold = card.contents.fields[1]
    gold.line.setFocus()
    counter.types("18")
    counter.settle()
    counter.click(counter.screen.summary.button)
    qtbot.waitUntil(lambda: gold.line.hasFocus() and not counter.screen._ask_preview.is_waiting)
    assert gold.said_of_it.text == "Is 18 meant as 18 ‰ or 18 % or 18 kt?"
    assert len(counter.entries()) == 1


def test_nothing_is_recorded_of_an_impossible_tare(counter: Counter, qtbot: QtBot) -> None:
    fill_in(counter)
    tare = counter.screen.form.bags.cards[0].tare
    tare.line.setFocus()
    counter.types("200")
    counter.settle()
    assert any("cannot weigh as much as bag and contents" in one for one in findings(counter))
    counter.click(counter.screen.summary.button)
    qtbot.waitUntil(tare.line.hasFocus)
    assert len(counter.entries()) == 1


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("heavy", "is no weight; type a number and a unit, such as 12.5 g."),
        ("0", "A weight is more than nothing; leave it empty instead."),
        ("3 stone", "is no unit of mass known here"),
    ],
)
def test_what_is_no_weight_is_refused_under_its_field(
    counter: Counter, text: str, words: str
) -> None:
    gross = counter.screen.form.bags.cards[0].gross
    gross.line.setFocus()
    counter.types(text)
    assert words in gross.said_of_it.text
    assert gross.line.hasFocus()


def test_a_weight_in_another_unit_is_told_in_the_readers(counter: Counter) -> None:
    gross = counter.screen.form.bags.cards[0].gross
    gross.line.setFocus()
    counter.types("2 ozt")
    assert gross.said_of_it.text == "62.206954 g"


def test_the_same_customer_with_other_capitals_is_asked_about(
    counter: Counter, qtbot: QtBot
) -> None:
    counter.types("PENNANT bench school")
    party = counter.screen.form.lot.party
    assert party.said_of_it.text == f"“{SCHOOL}” is known already. Is it the same?"
    assert party.line.hasFocus()
    counter.click(counter.screen.summary.button)
    counter.settle()
    assert party.trouble() == party.said_of_it.text
    press(qtbot, party, "Yes, the same")
    assert (party.name(), party.trouble()) == (SCHOOL, "")


def test_a_new_customer_is_remarked_on(counter: Counter) -> None:
    counter.types("Brightwater Guild")
    assert counter.screen.form.lot.party.said_of_it.text == "A new customer."


def test_own_metal_has_no_customer(counter: Counter, qtbot: QtBot) -> None:
    press(qtbot, counter.screen, "Our own")
    counter.settle()
    assert not counter.screen.form.lot.party.isEnabled()
    assert "Say which customer brought it." not in findings(counter)
    press(qtbot, counter.screen, "Bought")
    counter.settle()
    assert counter.screen.form.lot.party.isEnabled()
    assert "Say which customer brought it." in findings(counter)


def test_words_of_danger_bring_their_caution(counter: Counter) -> None:
    counter.screen.form.lot.origin.line.setFocus()
    counter.types("old dental residues")
    counter.settle()
    told = " ".join(texts(counter.screen.summary))
    assert "can hold mercury: never heat them untested" in told


def test_a_tag_that_was_given_is_refused_beside_the_form(counter: Counter) -> None:
    fill_in(counter)
    counter.screen.form.bags.cards[0].tag.line.setFocus()
    counter.types("R-0001")
    counter.settle()
    assert findings(counter) == [
        "Tag R-0001 was given before; a tag is never given twice, even after a strike."
    ]


def test_more_of_a_lot_is_told_and_taken(counter: Counter) -> None:
    fill_in(counter)
    counter.screen.form.lot.lot.line.setFocus()
    counter.types("L-0124")
    counter.settle()
    assert "Lot L-0124 was received on 1 Mar 2031 with 1 item." in texts(counter.screen.summary)
    assert findings(counter) == []


# --- the hold -----------------------------------------------------------------------------------


def test_the_set_hold_is_proposed_and_recorded(
    counter_of: CounterOf, book: Book, qtbot: QtBot
) -> None:
    set_hold(book, Hold(14, "Fjordvik", "licence"))
    counter = counter_of()
    fill_in(counter)
    hold = counter.screen.form.lot.hold
    assert (hold.text, hold.said_of_it.text) == (
        "15 Mar 2031",
        "Sat 15 Mar 2031, in 14 days",
    )
    counter.click(counter.screen.summary.button)
    qtbot.waitUntil(counter.is_done)
    assert counter.entries()[-1].lines[0].hold_until == date(2031, 3, 15)
    told = texts(counter.screen.done)
    assert "It is held: the book takes no work on it before that day." in told
    assert not counter.screen.done.works[0].isVisible()


def test_a_longer_hold_is_taken_as_it_is(counter_of: CounterOf, book: Book, qtbot: QtBot) -> None:
    set_hold(book, Hold(14, "Fjordvik", "licence"))
    counter = counter_of()
    fill_in(counter)
    counter.screen.form.lot.hold.line.setFocus()
    counter.types("in 30 days")
    counter.settle()
    counter.click(counter.screen.summary.button)
    qtbot.waitUntil(counter.is_done)
    (line,) = counter.entries()[-1].lines
    assert (line.hold_until, line.note) == (date(2031, 3, 31), "trays of three benches")


def test_a_shorter_hold_is_asked_about_and_told_in_the_note(
    counter_of: CounterOf, book: Book, qtbot: QtBot
) -> None:
    set_hold(book, Hold(14, "Fjordvik", "licence"))
    counter = counter_of()
    fill_in(counter)
    hold = counter.screen.form.lot.hold
    hold.line.setFocus()
    counter.types("10 Mar")
    counter.settle()
    assert "Record a hold until 10 Mar 2031 instead?" in hold.said_of_it.text
    counter.click(counter.screen.summary.button)
    qtbot.waitUntil(lambda: hold.line.hasFocus() and not counter.screen._ask_preview.is_waiting)
    assert len(counter.entries()) == 1
    press(qtbot, hold, "Yes, sooner")
    counter.settle()
    counter.click(counter.screen.summary.button)
    qtbot.waitUntil(counter.is_done)
    (line,) = counter.entries()[-1].lines
    assert line.hold_until == date(2031, 3, 10)
    assert "Held shorter than set: the setting said until 15 Mar 2031." in line.note


def test_the_set_day_comes_back_when_it_is_kept(
    counter_of: CounterOf, book: Book, qtbot: QtBot
) -> None:
    set_hold(book, Hold(14, "Fjordvik", "licence"))
    counter = counter_of()
    fill_in(counter)
    hold = counter.screen.form.lot.hold
    hold.line.setFocus()
    counter.types("10 Mar")
    counter.settle()
    press(qtbot, hold, "Keep the set day")
    counter.settle()
    assert hold.text == "15 Mar 2031"
    assert hold.trouble() == ""


# --- trouble, and what is kept ------------------------------------------------------------------


def test_a_refused_receipt_stays_in_the_form_and_can_be_recorded_again(
    counter: Counter, background: Background, qtbot: QtBot
) -> None:
    told: list[object] = []
    background.failed.connect(told.append)
    fill_in(counter)
    counter.writer.trouble = VaultError("The disk is full.")
    counter.click(counter.screen.summary.button)
    qtbot.waitUntil(lambda: told == [counter.writer.trouble])
    assert not counter.is_done()
    assert counter.screen.form.lot.party.name() == SCHOOL
    counter.writer.trouble = None
    assert counter.screen.summary.button.isEnabled()
    counter.click(counter.screen.summary.button)
    qtbot.waitUntil(counter.is_done)
    assert len(counter.entries()) == 2


def test_what_is_typed_comes_back_in_another_session(counter_of: CounterOf, qtbot: QtBot) -> None:
    counter = counter_of()
    fill_in(counter)
    counter.drafts.close()
    again = counter_of()
    qtbot.waitUntil(lambda: again.screen.form.lot.party.name() == SCHOOL)
    again.settle()
    assert "is back." in again.screen.came_back.text()
    card = again.screen.form.bags.cards[0]
    assert (card.form.name(), card.net.text()) == ("filings", "100.00 g")
    assert card.draft().contents == said("Ag 925")
    assert again.screen.form.lot.terms.terms is Terms.TOLL
    assert again.screen._key == counter.screen._key
    press(qtbot, again.screen, "Begin anew")
    again.settle()
    assert again.screen.form.is_blank
    third = counter_of()
    third.settle()
    assert third.screen.form.is_blank


def test_a_recorded_receipt_does_not_come_back(counter_of: CounterOf, qtbot: QtBot) -> None:
    counter = counter_of()
    fill_in(counter)
    counter.click(counter.screen.summary.button)
    qtbot.waitUntil(counter.is_done)
    counter.drafts.close()
    again = counter_of()
    again.settle()
    assert again.screen.form.is_blank


def test_the_field_with_the_hand_in_it_is_in_sight(counter: Counter, qtbot: QtBot) -> None:
    for _ in range(6):
        counter.click(counter.screen.form.bags.add_button)
    counter.settle()
    last = counter.screen.form.bags.cards[-1].note.line

    def leads_there() -> bool:
        # A hand is only in a window that is active, and without a real screen one may not stay so.
        counter.focused()
        last.setFocus()
        return is_in_sight(last, counter.screen.form.viewport())

    qtbot.waitUntil(leads_there)


def is_in_sight(widget: QWidget, area: QWidget) -> bool:
    top = widget.mapTo(area, widget.rect().topLeft()).y()
    return 0 <= top <= area.height() - widget.height()
