from __future__ import annotations

from dataclasses import dataclass, replace

import pytest

from builders import (
    assayed,
    counted,
    entry,
    moved,
    priced,
    received,
    returned,
    sent,
    settled,
    shop_of,
    sold,
    struck,
    thing,
    weighed,
    when,
    worked,
)
from vault.core.daybook import Entry, Line, Role, Said
from vault.core.errors import RuleBroken
from vault.core.fineness import Fineness
from vault.core.masses import Mass
from vault.core.money import Money
from vault.core.rules import ROLES, faults_of, record, replay
from vault.core.shop import Shop

# The shop in which each of the entries below would come next, as entry 20.
BOOK = (
    received(1, thing("R-1", "filings", "100", place="bench"), thing("R-2", "scrap", "50")),
    worked(2, "pour", used="R-2", made=[thing("B-1", "bar", "49"), thing("B-2", "bar")]),
    sent(3, "B-1"),
    received(4, thing("R-3", "scrap", "10"), lot="L-3", party="", terms="own"),
    struck(5, 4, "never came"),
    received(6, thing("R-4", "scrap", "10"), lot="L-4"),
    counted(7, missing="R-4"),
    moved(8, "bench", "back room"),
    assayed(9, "B-2", "Ag 900"),
)


def contents(*said: tuple[str, int, int | None]) -> tuple[Said, ...]:
    return tuple(
        Said(metal, Fineness(ppb), None if u is None else Fineness(u)) for metal, ppb, u in said
    )


@dataclass(frozen=True)
class Wrong:
    name: str
    entry: Entry
    line: int | None
    column: str
    words: str


def with_contents(*said: tuple[str, int, int | None], how: str = "declared") -> Entry:
    line = replace(thing("N-1", "bar", "10"), contents=contents(*said), how=how)
    return received(20, line, lot="L-20")


def with_line(act: str, **facts: object) -> Entry:
    return entry(20, act, Line(**facts))  # type: ignore[arg-type]  # facts are named by each case


WRONG = [
    Wrong("a number before", entry(9, "price"), None, "entry", "numbers must rise"),
    Wrong("a day before", sold(20, "B-2"), None, "when", "before 2031-01-09 of an entry above"),
    Wrong("a year long ago", sold(20, "B-2"), None, "when", "lies outside 1900 to 2199"),
    Wrong("no one", sold(20, "B-2"), None, "by", "does not say who"),
    Wrong("someone strange", sold(20, "B-2"), None, "by", "would run as a formula"),
    Wrong("no lines", entry(20, "receive"), None, "act", "has no lines"),
    Wrong("no strike", entry(20, "strike"), None, "act", "has no lines"),
    Wrong(
        "no process",
        replace(worked(20, "pour", used="R-1", made=[thing("N-1", "bar")]), process=None),
        None,
        "process",
        "names no process; one of sort, divide",
    ),
    Wrong(
        "a process elsewhere",
        entry(20, "sell", Line(Role.OUT, tag="B-2", party="Orrin"), process="pour"),
        None,
        "process",
        "belongs to work only",
    ),
    Wrong(
        "twice in an entry",
        worked(20, "pour", used="R-1 R-1", made=[thing("N-1", "bar")]),
        1,
        "tag",
        "stands in this entry twice",
    ),
    Wrong("a strange role", with_line("sell", role=Role.IN), 0, "role", "“out”, not “in”"),
    Wrong("a missing word", with_line("move", role=Role.OF, tag="R-1"), 0, "place", "is empty"),
    Wrong("a strange word", received(20, thing("N-1", "b\nar")), 0, "form", "U+000A"),
    Wrong("u without gross", weighed(20, "R-1", " ± 1"), 0, "gross_u_g", "without the weight"),
    Wrong(
        "nothing on the scale",
        with_line("weigh", role=Role.OF, tag="R-1", gross=Mass(0)),
        0,
        "gross_g",
        "A weight of 0 g is impossible",
    ),
    Wrong(
        "a negative doubt",
        with_line("weigh", role=Role.OF, tag="R-1", gross=Mass(1), gross_u=Mass(-1)),
        0,
        "gross_u_g",
        "cannot be below zero",
    ),
    Wrong("a strange method", with_contents(("Ag", 1, None), how="guess"), 0, "how", "no method"),
    Wrong("assay by word", assayed(20, "R-1", "Ag 1", how="declared"), 0, "how", "is no assay"),
    Wrong("no contents", with_contents(), 0, "how", "no content is given"),
    Wrong("a base metal", with_contents(("Cu", 1, None)), 0, "Cu", "no precious metal"),
    Wrong("a metal twice", with_contents(("Ag", 1, None), ("Ag", 2, None)), 0, "Ag", "given twice"),
    Wrong("below nothing", with_contents(("Ag", -1, None)), 0, "Ag", "is impossible"),
    Wrong("above pure", with_contents(("Ag", 10**9 + 1, None)), 0, "Ag", "is impossible"),
    Wrong("a doubt below zero", with_contents(("Ag", 1, -1)), 0, "Ag_u", "between 0 and 1000"),
    Wrong(
        "above pure together",
        with_contents(("Ag", 600_000_000, 1_000_000), ("Au", 406_000_000, None)),
        0,
        "Ag",
        "add up to 1006.0 ‰",
    ),
    Wrong("a tag again", received(20, thing("R-1", "bar"), lot="N"), 0, "tag", "was given before"),
    Wrong(
        "a struck tag again", received(20, thing("R-3", "bar"), lot="N"), 0, "tag", "after a strike"
    ),
    Wrong("an unknown tag", sold(20, "R-9"), 0, "tag", "No item with tag R-9"),
    Wrong("a struck tag", sold(20, "R-3"), 0, "tag", "was struck from the book"),
    Wrong("used up", sold(20, "R-2"), 0, "tag", "used up in entry 2"),
    Wrong("missing", sold(20, "R-4"), 0, "tag", "found missing in entry 7"),
    Wrong("away", returned(20, "B-1"), 0, "tag", "cannot be returned: it was sent in entry 3"),
    Wrong(
        "another form",
        entry(20, "sell", Line(Role.OUT, tag="B-2", form="slag", party="Orrin")),
        0,
        "form",
        "is “bar” in the book, not “slag”",
    ),
    Wrong("strange terms", received(20, thing("N", "bar"), terms="rent"), 0, "terms", "write toll"),
    Wrong("nobody's", received(20, thing("N", "bar"), lot="N", party=""), 0, "party", "customer"),
    Wrong(
        "two customers in an entry",
        entry(
            20,
            "receive",
            *(
                Line(Role.IN, tag=tag, form="bar", lot=lot, party=party, terms="toll")
                for tag, lot, party in (("N", "A", "x"), ("O", "B", "x"), ("P", "B", "y"))
            ),
        ),
        2,
        "party",
        "Lot B has two customers",
    ),
    Wrong(
        "another's lot",
        received(20, thing("N", "bar"), lot="L-1", party="Orrin"),
        0,
        "lot",
        "received before, from Pennant as toll",
    ),
    Wrong("uses none", worked(20, "pour", used="", made=[thing("N", "bar")]), None, "role", "uses"),
    Wrong("makes none", worked(20, "pour", used="R-1", made=[]), None, "role", "makes no item"),
    Wrong(
        "a tag on what is added",
        worked(20, "pour", used="R-1", added=[thing("Z", "lead")], made=[thing("N", "bar")]),
        1,
        "tag",
        "A thing added has no tag",
    ),
    Wrong(
        "too heavy from the fire",
        worked(
            20,
            "smelt",
            used="R-1",
            added=[thing("", "lead", "100")],
            made=[thing("N", "bar", "200"), thing("O", "slag", "178.2")],
        ),
        3,
        "gross_g",
        "(378.1 g at the very most)",
    ),
    Wrong(
        "too heavy cold",
        worked(20, "crush", used="R-1", made=[thing("N", "dust", "102.2")]),
        1,
        "gross_g",
        "(102.1 g at the very most)",
    ),
    Wrong("an unknown assay", assayed(20, "R-9", "Ag 1"), 0, "tag", "No item with tag R-9"),
    Wrong("an empty assay", assayed(20, "R-1", ""), 0, "Ag", "gives no content"),
    Wrong("an empty weighing", weighed(20, "R-1", ""), 0, "gross_g", "gives no weight"),
    Wrong("an unknown container", moved(20, "attic", "safe"), 0, "tag", "No item with tag attic"),
    Wrong("into itself", moved(20, "bench", "bench"), 0, "place", "cannot be put into itself"),
    Wrong("round about", moved(20, "back room", "bench"), 0, "place", "cannot be put into itself"),
    Wrong(
        "an unknown shipment",
        settled(20, thing(money="1 EUR"), ref="V-9"),
        0,
        "ref",
        "No shipment V-9 was sent",
    ),
    Wrong(
        "an unknown item of it",
        settled(20, thing("R-9", says="Ag 1", how="settlement")),
        0,
        "tag",
        "No item with tag R-9",
    ),
    Wrong(
        "an item not in it",
        settled(20, thing("R-1", says="Ag 1", how="settlement")),
        0,
        "tag",
        "was not in shipment V-1",
    ),
    Wrong("an empty settlement", settled(20, thing("B-1")), 0, "amount", "settles neither"),
    Wrong("half a cent", settled(20, thing(money="0.005 EUR")), 0, "amount", "two decimals"),
    Wrong("counted twice over", counted(20, extra=[thing("R-1", "bar")]), 0, "tag", "given before"),
    Wrong("counted far away", counted(20, found=[thing("B-1")]), 0, "tag", "cannot be counted"),
    Wrong("missing twice", counted(20, missing="R-4"), 0, "tag", "found missing in entry 7"),
    Wrong("a price of copper", priced(20, "Cu", "1 EUR"), 0, "ref", "no metal known here"),
    Wrong("a price of nothing", priced(20, "Ag", "0 EUR"), 0, "amount", "more than nothing"),
    Wrong("a price without", priced(20, "Ag", ""), 0, "amount", "needs its amount"),
    Wrong(
        "a price of an item",
        with_line("price", role=Role.LINE, tag="R-1", ref="Ag", money=Money(1, "EUR")),
        0,
        "tag",
        "A price is no item's",
    ),
    Wrong(
        "two strikes at once",
        entry(20, "strike", *(Line(Role.NONE, ref=ref, note="x") for ref in "89")),
        None,
        "act",
        "one strike for each",
    ),
    Wrong("no such entry", struck(20, 19), 0, "ref", "no entry 19 before"),
    Wrong("struck again", struck(20, 4), 0, "ref", "struck already, by entry 5"),
    Wrong("a strike struck", struck(20, 5), 0, "ref", "is itself a strike"),
    Wrong("leaned on", struck(20, 1), 0, "ref", "lean on it: 2. Strike those first"),
    Wrong(
        "a strike with a tag",
        with_line("strike", role=Role.NONE, tag="R-1", ref="9", note="x"),
        0,
        "tag",
        "strikes a whole entry",
    ),
    *(
        Wrong(
            f"a strike of {ref}",
            with_line("strike", role=Role.NONE, ref=ref, note="x"),
            0,
            "ref",
            f"no entry {ref} before",
        )
        for ref in ("nine", "\u0669", "9" * 10)
    ),
]
WRONG[1] = replace(WRONG[1], entry=replace(WRONG[1].entry, when=when("2031-01-08")))
WRONG[2] = replace(WRONG[2], entry=replace(WRONG[2].entry, when=when("0031-01-08")))
WRONG[3] = replace(WRONG[3], entry=replace(WRONG[3].entry, by=" "))
WRONG[4] = replace(WRONG[4], entry=replace(WRONG[4].entry, by="=me"))


@pytest.mark.parametrize("wrong", WRONG, ids=lambda wrong: wrong.name)
def test_what_cannot_be_true_is_refused_in_a_sentence(wrong: Wrong) -> None:
    shop = shop_of(*BOOK)
    before = vars(shop.copy())
    faults = faults_of(wrong.entry, shop)
    told = [fault for fault in faults if (fault.line, fault.column) == (wrong.line, wrong.column)]
    assert any(wrong.words in fault.sentence for fault in told), faults
    with pytest.raises(RuleBroken):
        record(shop, wrong.entry)
    assert vars(shop) == before


@pytest.mark.parametrize(
    "right",
    [
        received(20, thing("N-1", "bar"), lot="L-1"),
        received(20, thing("N-1", "bar"), lot="L-3", party="Orrin"),
        with_contents(("Ag", 600_000_000, 10_000_000), ("Au", 405_000_000, None)),
        worked(20, "smelt", used="R-1", made=[thing("N", "ash", "189.1")]),
        worked(20, "crush", used="R-1", made=[thing("N", "dust", "102.1")]),
        worked(20, "crush", used="R-1 B-2", made=[thing("N", "dust", "9999")]),
        worked(20, "pour", used="R-1", added=[thing("", "lead")], made=[thing("N", "bar", "9999")]),
        assayed(20, "B-1", "Ag 900"),
        counted(20, found=[thing("R-4"), thing("R-1", "filings", "99")], missing="B-2"),
        counted(20, extra=[thing("X-1", "dust")]),
        settled(20, thing("B-1", says="Ag 900", how="settlement"), thing(money="-30.00 EUR")),
        moved(20, "bench", "safe"),
        priced(20, "Os", "0.000001 EUR"),
        struck(20, 9),
        replace(sold(20, "B-2"), when=when("2031-01-09 05:00")),
    ],
    ids=lambda one: one.leaf.hex()[:6],
)
def test_what_can_be_true_is_taken(right: Entry) -> None:
    shop = shop_of(*BOOK)
    record(shop, right)
    assert shop.last_number == 20


def test_a_long_list_of_leaning_entries_is_cut() -> None:
    book = [
        received(1, thing("R-1", "bar")),
        *(moved(number, "R-1", "safe") for number in range(2, 15)),
    ]
    fault = faults_of(struck(20, 1), shop_of(*book))[0]
    assert "2, 3, 4, 5, 6, 7, 8, 9, 10, 11 and 3 more" in fault.sentence


def test_a_moment_out_of_order_is_told_with_its_time() -> None:
    shop = shop_of(replace(received(1, thing("R-1", "bar")), when=when("2031-01-01 09:00")))
    fault = faults_of(replace(sold(2, "R-1"), when=when("2031-01-01 08:00")), shop)[0]
    assert "2031-01-01 08:00 UTC, before 2031-01-01 09:00 UTC" in fault.sentence


def test_every_fault_of_an_entry_is_listed() -> None:
    entry_of_many = received(20, thing("R-1", "bar"), thing("R-2", "bar"), lot="L-1", party="x")
    assert len(faults_of(entry_of_many, shop_of(*BOOK))) == 4


def test_a_line_that_is_not_what_it_should_be_hides_no_other() -> None:
    one = entry(
        20,
        "sell",
        Line(Role.OUT, tag="R-1"),
        Line(Role.OUT, tag="R-2", party="Orrin"),
        Line(Role.USED, tag="R-9"),
    )
    assert [(fault.line, fault.column) for fault in faults_of(one, shop_of(*BOOK))] == [
        (0, "party"),
        (2, "role"),
        (1, "tag"),
    ]


def test_a_work_without_its_items_is_not_told_twice() -> None:
    one = entry(20, "work", Line(Role.OUT, tag="R-1"), Line(Role.MADE, tag="N", form="bar"))
    found = [(fault.line, fault.column) for fault in faults_of(one, shop_of(*BOOK))]
    assert found == [(None, "process"), (0, "role")]


def test_a_work_of_no_process_may_weigh_as_much_as_fire_could_make_it() -> None:
    one = worked(20, "pour", used="R-1", made=[thing("N", "ash", "189")])
    found = faults_of(replace(one, process=None), shop_of(*BOOK))
    assert [fault.column for fault in found] == ["process"]


def test_a_replay_stops_at_the_first_entry_that_cannot_be_true() -> None:
    with pytest.raises(RuleBroken, match="No item with tag R-9"):
        replay([*BOOK, sold(20, "R-9")])
    assert replay([]).items == Shop().items


def test_every_act_has_its_roles() -> None:
    assert all(ROLES.values())
    assert Role.USED not in ROLES[BOOK[0].act]
