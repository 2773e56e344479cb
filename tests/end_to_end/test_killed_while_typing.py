"""The real window killed in the middle of typing: what was begun comes back, but for one field.

This proves the death of a process, as SIGKILL brings it; not the loss of power.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

from builders import mass, thing
from end_to_end.real_window import Hand, HandScanner, draft_of, needs_a_screen, program, wait_for
from vault.application.book import Book
from vault.application.operations import acts
from vault.core.daybook import Entry, Line, Process, Role, Terms
from vault.core.masses import Mass
from vault.core.tags import payload_of
from vault.store.entries import last_number, load_entry
from vault.store.integrity import prove

pytestmark = needs_a_screen

Draft = Mapping[str, Any]


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """Give a book with two bags of filings in it."""
    made = tmp_path / "tidewater.shop"
    with Book.create(made, zone="Europe/Oslo", operator="Imke") as book:
        bags = [
            thing(tag, "filings", "100", "Ag 900", place="bench") for tag in ("R-0001", "R-0002")
        ]
        acts.receive_lot(book, bags, lot="L-0001", terms=Terms.OWN, key="first")
    return made


class Typist:
    """Somebody who types at a window that dies time and again."""

    def __init__(self, hand: Hand, scanner: HandScanner, display: str, path: Path) -> None:
        self.hand = hand
        self.scanner = scanner
        self._display = display
        self._path = path
        self._home = path.parent / "home"

    @contextmanager
    def window(self) -> Iterator[Callable[[], None]]:
        """Open the book in a window of its own; gives what kills it."""
        with program(self._display, str(self._path)) as running:
            self.hand.go_to("tidewater")

            def die() -> None:
                running.kill()
                running.wait(timeout=20)

            yield die

    def draft(self, form: str) -> Draft:
        return draft_of(self._home, form)

    def wait_until(self, form: str, told: str, holds: Callable[[Draft], bool]) -> None:
        """Wait until something stands in a form, as far as the disk knows."""

        def is_so() -> bool:
            draft = self.draft(form)
            return bool(draft) and holds(draft)

        wait_for(is_so, f"{told}; there is", lambda: self.draft(form))

    def record_what_came_back(self) -> Entry:
        """Have recorded what came back: an empty form records nothing, however often it is told."""
        before = self._entries()
        keys = tuple(str(draft["key"]) for one in _FORMS if (draft := self.draft(one)))

        def is_recorded() -> bool:
            self.hand.keys("ctrl+Return")
            end = time.monotonic() + 1
            while time.monotonic() < end and self._entries() == before:
                time.sleep(0.05)
            return self._entries() > before

        wait_for(is_recorded, "the record of what came back")
        with Book.open(self._path, writing=False) as book:
            assert prove(book.file).broken == ()
            with book.file.reading() as connection:
                assert last_number(connection) == before + 1
                recorded = load_entry(connection, before + 1)
        assert recorded is not None
        # Under the key of its draft: had it been recorded before, it would not be again.
        assert recorded.key.startswith(keys)
        return recorded.entry

    def print_nothing(self, *windows: str) -> None:
        for name in windows:
            self.hand.go_to(name)
            self.hand.keys("Escape")
            wait_for(lambda name=name: self.hand.is_gone(name), f"the end of “{name}”")
        self.hand.go_to("tidewater")

    def _entries(self) -> int:
        with Book.open(self._path, writing=False) as book, book.file.reading() as connection:
            return last_number(connection)


_FORMS = ("receive", "work")


@pytest.fixture
def typist(hand: Hand, scanner: HandScanner, display: str, path: Path) -> Typist:
    return Typist(hand, scanner, display, path)


def lines(entry: Entry, role: Role) -> list[Line]:
    return [one for one in entry.lines if one.role is role]


def grams(*weights: str) -> set[Mass | None]:
    return {mass(one) for one in weights}


# --- a receipt ------------------------------------------------------------------------------------


def begin_receipt(hand: Hand, party: str) -> None:
    hand.enter(party)
    hand.enter()  # the customer's metal
    hand.enter("trays")
    hand.enter("fil")
    hand.enter("182.4")


def die_in_a_tare(typist: Typist, die: Callable[[], None]) -> None:
    typist.hand.keys("ctrl+r")
    begin_receipt(typist.hand, "Skerry")
    typist.hand.type("2")
    typist.wait_until("receive", "the tare begun", lambda draft: draft["bags"][0]["tare"] == "2")
    typist.hand.type("4")
    die()
    draft = typist.draft("receive")
    assert (draft["party"], draft["terms"], draft["origin"]) == ("Skerry", "toll", "trays")
    (bag,) = draft["bags"]
    assert (bag["form"], bag["gross"]) == ("filings", "182.40 g")
    assert bag["tare"] in {"2", "24"}


def receipt_came_back(entry: Entry) -> None:
    (bag,) = entry.lines
    assert (bag.party, bag.terms, bag.form) == ("Skerry", "toll", "filings")
    assert bag.gross in grams("180.4", "158.4")


def die_in_a_note(typist: Typist, die: Callable[[], None]) -> None:
    hand = typist.hand
    hand.enter()  # another lot
    begin_receipt(hand, "Orrin")
    for text in ("2.4", "925", "", "shelf 2"):
        hand.enter(text)
    hand.type("from")
    typist.wait_until("receive", "the note begun", lambda draft: "f" in draft["bags"][0]["note"])
    hand.type(" the lathe")
    die()
    (bag,) = typist.draft("receive")["bags"]
    assert (bag["tare"], bag["contents"], bag["place"]) == ("2.40 g", [["Ag", "925"]], "shelf 2")
    assert "from the lathe".startswith(bag["note"])


def second_receipt_came_back(entry: Entry) -> None:
    (bag,) = entry.lines
    assert (bag.party, bag.gross, bag.tare) == ("Orrin", mass("180"), mass("2.4"))
    assert ([one.metal for one in bag.contents], bag.place) == (["Ag"], "shelf 2")


# --- a work ---------------------------------------------------------------------------------------


def put_in(typist: Typist, tag: str, process: str, letter: str) -> None:
    def holds(draft: Draft) -> bool:
        forms = [one["form"] for one in draft["made"]]
        is_in = [one["tag"] for one in draft["used"]] == [tag]
        return is_in and draft["process"] == process and bool(forms) and "" not in forms

    typist.scanner.scan(payload_of(tag))
    typist.wait_until("work", tag, lambda draft: [one["tag"] for one in draft["used"]] == [tag])
    typist.hand.keys(f"alt+{letter}")
    typist.wait_until("work", f"{process} of {tag}", holds)
    typist.hand.enter()


def die_at_the_lead(typist: Typist, die: Callable[[], None]) -> None:
    typist.hand.keys("ctrl+shift+w")
    put_in(typist, "R-0001", "cupel", "c")
    typist.hand.enter("330")
    typist.hand.type("1")
    typist.wait_until(
        "work", "the lead begun", lambda draft: draft["added"][1]["weight"]["text"] == "1"
    )
    typist.hand.type("20")
    die()
    draft = typist.draft("work")
    assert [one["tag"] for one in draft["used"]] == ["R-0001"]
    cupel, lead = draft["added"]
    assert (cupel["name"], cupel["weight"]["text"]) == ("new cupel, magnesia", "330.00 g")
    assert lead["weight"]["text"] in {"1", "12", "120"}


def cupelling_came_back(entry: Entry) -> None:
    assert entry.process is Process.CUPEL
    assert [one.tag for one in lines(entry, Role.USED)] == ["R-0001"]
    cupel, lead = lines(entry, Role.ADDED)
    assert cupel.gross == mass("330")
    assert lead.gross in grams("1", "12", "120")
    assert [one.form for one in lines(entry, Role.MADE)] == ["bead", "spent cupel"]


def die_at_the_slag(typist: Typist, die: Callable[[], None]) -> None:
    put_in(typist, "R-0002", "smelt", "m")
    typist.hand.enter("88.2")
    typist.hand.type("1")
    typist.wait_until(
        "work", "the slag begun", lambda draft: draft["made"][1]["weight"]["text"] == "1"
    )
    typist.hand.type("3")
    die()
    button, slag = typist.draft("work")["made"]
    assert (button["form"], button["weight"]["text"]) == ("button", "88.20 g")
    assert slag["weight"]["text"] in {"1", "13"}


def smelting_came_back(entry: Entry) -> None:
    button, slag = lines(entry, Role.MADE)
    assert (entry.process, button.gross) == (Process.SMELT, mass("88.2"))
    assert slag.gross in grams("1", "13")


def test_killed_while_typing_all_but_the_last_field_comes_back_and_is_recorded_once(
    typist: Typist,
) -> None:
    with typist.window() as die:
        die_in_a_tare(typist, die)
    with typist.window() as die:
        typist.hand.keys("ctrl+r")
        receipt_came_back(typist.record_what_came_back())
        typist.print_nothing("Print tags", "Print the receipt")
        die_in_a_note(typist, die)
    with typist.window() as die:
        typist.hand.keys("ctrl+r")
        second_receipt_came_back(typist.record_what_came_back())
        typist.print_nothing("Print tags", "Print the receipt")
        die_at_the_lead(typist, die)
    with typist.window() as die:
        typist.hand.keys("ctrl+shift+w")
        cupelling_came_back(typist.record_what_came_back())
        typist.print_nothing("Print tags")
        die_at_the_slag(typist, die)
    with typist.window():
        typist.hand.keys("ctrl+shift+w")
        smelting_came_back(typist.record_what_came_back())
