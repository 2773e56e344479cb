"""What the book refuses of tares, holds, scales, photos and seals."""

from __future__ import annotations

from dataclasses import dataclass, replace

import pytest

from builders import (
    assayed,
    counted,
    entry,
    moved,
    photographed,
    received,
    returned,
    scale_checked,
    sealed,
    sent,
    shop_of,
    sold,
    struck,
    thing,
    weighed,
    worked,
)
from vault.core.daybook import Act, Entry, Line, Role
from vault.core.errors import RuleBroken
from vault.core.masses import Mass
from vault.core.rules import faults_of, record

PICTURE = "5d" * 32
BOOK = (
    received(
        1,
        thing("R-1", "filings", "100", place="bench"),
        thing("R-2", "scrap", "50", place="drum C"),
        thing("R-3", "scrap", "50", place="tin"),
        thing("R-4", "scrap", "20", hold_until="2031-03-01"),
    ),
    moved(2, "tin", "drum C"),
    sealed(3, "drum C", "0417", witness="Ole"),
    sealed(4, "R-1", "0418"),
    photographed(5, "R-1", PICTURE, "as it came"),
    scale_checked(6, "bench scale", "200 g", "200.01 g"),
    received(7, thing("R-5", "scrap", "5", place="shelf"), lot="L-5"),
    struck(8, 7),
    received(9, thing("R-6", "scrap", "5", place="shelf"), lot="L-6"),
)
BAR = [thing("N", "bar", "1")]


@dataclass(frozen=True)
class Wrong:
    name: str
    entry: Entry
    line: int | None
    column: str
    sentence: str


def with_line(act: Act | str, **facts: object) -> Entry:
    return entry(60, act, Line(**facts))  # type: ignore[arg-type]  # facts are named by each case


WRONG = [
    Wrong(
        "a tare without a weight",
        received(60, thing("N", "bar", tare="2"), lot="N"),
        0,
        "tare_g",
        "A tare is given without the weight; write what lay in it as gross.",
    ),
    Wrong(
        "a tare below zero",
        with_line("weigh", role=Role.OF, tag="R-6", gross=Mass(5), tare=Mass(-1)),
        0,
        "tare_g",
        "A tare cannot be below zero.",
    ),
    Wrong(
        "a scale without a weight",
        received(60, thing("N", "bar", scale="bench scale"), lot="N"),
        0,
        "scale",
        "The scale bench scale is named, but no weight is given.",
    ),
    Wrong(
        "a test weight in a weighing",
        with_line("weigh", role=Role.OF, tag="R-6", gross=Mass(5), nominal=Mass(5)),
        0,
        "nominal_g",
        "The mass of a test weight belongs to a scale check only; leave it out.",
    ),
    Wrong(
        "furnace facts of a move",
        with_line("move", role=Role.OF, tag="R-6", place="safe", furnace="965 °C"),
        0,
        "furnace",
        "Furnace facts belong to work only, not to “move”.",
    ),
    Wrong(
        "a strange word as scale",
        with_line("weigh", role=Role.OF, tag="R-6", gross=Mass(5), scale="=1+1"),
        0,
        "scale",
        "“=1+1” begins with “=”, which a spreadsheet would run as a formula; write it without.",
    ),
    Wrong(
        "a hold of what is made",
        worked(60, "crush", used="R-6", made=[thing("N", "dust", "1", hold_until="2031-04-01")]),
        1,
        "hold_until",
        "Only what is received can be held until a day; leave it empty.",
    ),
    Wrong(
        "a hold of long ago",
        received(60, thing("N", "bar", hold_until="0031-03-01"), lot="N"),
        0,
        "hold_until",
        "The year 31 lies outside 1900 to 2199.",
    ),
    Wrong(
        "a hold until before it came",
        received(60, thing("N", "bar", hold_until="2031-02-28"), lot="N"),
        0,
        "hold_until",
        "N was received on 2031-03-01 and cannot be held until 2031-02-28, before that; correct "
        "the day.",
    ),
    Wrong(
        "held and worked",
        worked(20, "crush", used="R-4", made=BAR),
        0,
        "tag",
        "R-4 is held until 2031-03-01 and cannot be worked before that day; wait, or return it to "
        "its customer.",
    ),
    Wrong(
        "held and sent",
        sent(20, "R-4"),
        0,
        "tag",
        "R-4 is held until 2031-03-01 and cannot be sent before that day; wait, or return it to "
        "its customer.",
    ),
    Wrong(
        "held and sold",
        sold(59, "R-4"),
        0,
        "tag",
        "R-4 is held until 2031-03-01 and cannot be sold before that day; wait, or return it to "
        "its customer.",
    ),
    Wrong(
        "a picture of nothing",
        photographed(60, "R-9", PICTURE),
        0,
        "tag",
        "No item with tag R-9 has been recorded up to here; check the tag.",
    ),
    Wrong(
        "a picture of what was struck",
        photographed(60, "R-5", PICTURE),
        0,
        "tag",
        "R-5 was struck from the book; nothing can happen to it.",
    ),
    Wrong(
        "a name that is no picture",
        photographed(60, "R-2", "bag.jpg"),
        0,
        "ref",
        "“bag.jpg” names no picture; it is the SHA-256 of its file, 64 digits from 0 to 9 and a "
        "to f.",
    ),
    Wrong(
        "a picture in capitals",
        photographed(60, "R-2", PICTURE.upper()),
        0,
        "ref",
        f"“{PICTURE.upper()[:39]}…” names no picture",
    ),
    Wrong(
        "the same picture again",
        photographed(60, "R-1", PICTURE),
        0,
        "ref",
        "This picture is with R-1 already.",
    ),
    Wrong(
        "one picture twice in an entry",
        entry(60, Act.PHOTO, *[Line(Role.OF, tag="R-2", ref=PICTURE)] * 2),
        1,
        "tag",
        "R-2 stands in this entry twice; name it once.",
    ),
    Wrong(
        "a seal without its number",
        sealed(60, "R-6", ""),
        0,
        "ref",
        "The column “ref” is empty; a line of “seal” needs the number on the seal.",
    ),
    Wrong(
        "a seal on nothing",
        sealed(60, "attic", "9"),
        0,
        "tag",
        "No item with tag attic has been recorded up to here; check the tag.",
    ),
    Wrong(
        "a seal on what is gone",
        sealed(60, "R-5", "9"),
        0,
        "tag",
        "R-5 was struck from the book; nothing can happen to it.",
    ),
    Wrong(
        "a second seal",
        sealed(60, "drum C", "0500"),
        0,
        "tag",
        "drum C carries seal 0417 already; record that one as broken first.",
    ),
    Wrong(
        "no seal to look at",
        sealed(60, "R-6", "0500", role=Role.CHECKED),
        0,
        "ref",
        "R-6 carries no seal in the book; record seal 0500 as applied first.",
    ),
    Wrong(
        "another seal than the one that is on",
        sealed(60, "R-1", "0500", role=Role.BROKEN),
        0,
        "ref",
        "R-1 carries seal 0418 in the book, not 0500; read the number once more. If another one "
        "is on it now, record 0418 as broken.",
    ),
    Wrong(
        "a sealed bag worked",
        worked(60, "crush", used="R-1", made=BAR),
        0,
        "tag",
        "R-1 is under seal 0418 and cannot be worked; record the seal as broken first.",
    ),
    Wrong(
        "out of a sealed drum to be worked",
        worked(60, "crush", used="R-2", made=BAR),
        0,
        "tag",
        "R-2 lies in drum C, which is under seal 0417; nothing can be taken out of it before that "
        "seal is recorded as broken.",
    ),
    Wrong(
        "out of a tin in a sealed drum",
        moved(60, "R-3", "safe"),
        0,
        "tag",
        "R-3 lies in drum C, which is under seal 0417; nothing can be taken out of it before that "
        "seal is recorded as broken.",
    ),
    Wrong(
        "from one place to another in a sealed drum",
        moved(60, "R-3", "drum C"),
        0,
        "tag",
        "R-3 lies in drum C, which is under seal 0417",
    ),
    Wrong(
        "a tin out of a sealed drum",
        moved(60, "tin", "safe"),
        0,
        "tag",
        "tin lies in drum C, which is under seal 0417",
    ),
    Wrong(
        "one of two that lie in a sealed drum is sold",
        sold(60, "R-2"),
        0,
        "tag",
        "R-2 lies in drum C, which is under seal 0417",
    ),
    Wrong(
        "into a sealed drum",
        moved(60, "R-6", "drum C"),
        0,
        "place",
        "drum C is under seal 0417; nothing can be put into it before that seal is recorded as "
        "broken.",
    ),
    Wrong(
        "a container into a sealed drum's tin",
        moved(60, "shelf", "tin"),
        0,
        "place",
        "drum C is under seal 0417; nothing can be put into it",
    ),
    Wrong(
        "made into a sealed drum",
        worked(60, "crush", used="R-6", made=[thing("N", "dust", "1", place="drum C")]),
        1,
        "place",
        "drum C is under seal 0417; nothing can be put into it",
    ),
    Wrong(
        "received into a sealed drum",
        received(60, thing("N", "dust", place="drum C"), lot="N"),
        0,
        "place",
        "drum C is under seal 0417; nothing can be put into it",
    ),
    Wrong(
        "a scale without a name",
        scale_checked(60, "", "200 g", "200 g"),
        0,
        "scale",
        "The column “scale” is empty; a line of “scale check” needs the name of the scale.",
    ),
    Wrong(
        "no test weight",
        with_line("scale check", role=Role.LINE, scale="x", gross=Mass(1)),
        0,
        "nominal_g",
        "This scale check does not say what the test weight weighs.",
    ),
    Wrong(
        "a test weight of nothing",
        with_line("scale check", role=Role.LINE, scale="x", gross=Mass(1), nominal=Mass(0)),
        0,
        "nominal_g",
        "The mass of a test weight must be more than nothing.",
    ),
    Wrong(
        "a check that shows nothing",
        with_line("scale check", role=Role.LINE, scale="x", nominal=Mass(1)),
        0,
        "gross_g",
        "This scale check does not say what the scale showed.",
    ),
    Wrong(
        "a check of an item",
        with_line(
            "scale check", role=Role.LINE, tag="R-1", scale="x", nominal=Mass(1), gross=Mass(1)
        ),
        0,
        "tag",
        "A scale check is no item's; leave the tag R-1 out.",
    ),
    Wrong(
        "the strike of a seal that was looked at",
        struck(60, 3),
        0,
        "ref",
        "Entry 3 cannot be struck while later entries lean on it: 10. Strike those first, the "
        "last one first.",
    ),
]


@pytest.mark.parametrize("wrong", WRONG, ids=lambda wrong: wrong.name)
def test_what_cannot_be_true_at_the_bench_is_refused_in_a_sentence(wrong: Wrong) -> None:
    checked = sealed(10, "drum C", "0417", role=Role.CHECKED)
    shop = shop_of(*BOOK, checked)
    before = vars(shop.copy())
    told = [
        fault.sentence
        for fault in faults_of(wrong.entry, shop)
        if (fault.line, fault.column) == (wrong.line, wrong.column)
    ]
    assert len(told) == 1, told
    assert told[0].startswith(wrong.sentence)
    with pytest.raises(RuleBroken):
        record(shop, wrong.entry)
    assert vars(shop) == before


@pytest.mark.parametrize(
    "right",
    [
        worked(60, "crush", used="R-4", made=BAR),
        sold(60, "R-4"),
        replace(returned(20, "R-4")),
        moved(20, "R-4", "safe"),
        weighed(20, "R-4", "19.9"),
        assayed(20, "R-4", "Ag 900"),
        photographed(20, "R-4", PICTURE),
        moved(60, "drum C", "yard"),
        moved(60, "R-2", "drum C"),
        moved(60, "R-1", "safe"),
        sent(60, "R-2 R-3"),
        returned(60, "R-1"),
        counted(60, found=[thing("R-2"), thing("R-1")]),
        assayed(60, "R-2", "Ag 900"),
        sealed(60, "drum C", "0417", role=Role.BROKEN),
        sealed(60, "R-1", "0418", role=Role.CHECKED),
        received(60, thing("N", "bar", hold_until="2031-03-01"), lot="N"),
        entry(60, Act.PHOTO, *[Line(Role.OF, tag="R-2", ref=f"{one:064x}") for one in range(3)]),
        scale_checked(60, "bench scale", "200 g", "0.000001 g"),
        received(60, thing("N", "bar", "10", tare="0", scale="x"), lot="N"),
    ],
    ids=lambda one: one.leaf.hex()[:6],
)
def test_what_can_be_true_at_the_bench_is_taken(right: Entry) -> None:
    shop = shop_of(*BOOK)
    record(shop, right)
    assert shop.last_number == right.number


def test_a_broken_seal_lets_everything_in_and_out_again() -> None:
    shop = shop_of(*BOOK, sealed(10, "drum C", "0417", role=Role.BROKEN))
    record(shop, moved(11, "R-6", "drum C"))
    record(shop, worked(12, "crush", used="R-2", made=BAR))


def test_what_went_missing_may_be_found_again_in_a_sealed_drum() -> None:
    shop = shop_of(*BOOK, counted(10, missing="R-6"))
    record(shop, counted(11, found=[thing("R-6", place="drum C")]))
    assert shop.items["R-6"].place == "drum C"


def test_an_item_that_is_gone_is_not_told_to_be_held_as_well() -> None:
    shop = shop_of(*BOOK, returned(10, "R-4"))
    faults = faults_of(sold(11, "R-4"), shop)
    assert [fault.sentence for fault in faults] == [
        "R-4 cannot be sold: it was returned in entry 10 before this."
    ]


# What a strike takes back --------------------------------------------------------------------


def test_seals_photos_and_checks_are_taken_back_by_a_strike() -> None:
    shop = shop_of(*BOOK[:6])
    before = vars(shop.copy())
    after = (
        photographed(10, "R-2", PICTURE),
        sealed(12, "R-2", "9"),
        sealed(14, "tin", "10"),
        scale_checked(16, "bench scale", "20 g", "20 g"),
    )
    for one in after:
        record(shop, one)
        record(shop, struck(one.number + 1, one.number))
    kept = {name: value for name, value in vars(shop).items() if name in _OF_THE_BENCH}
    assert kept == {name: before[name] for name in _OF_THE_BENCH} | {
        "seals": before["seals"] | {"tin": []}
    }


_OF_THE_BENCH = ("items", "seals", "scale_checks", "places", "lots", "containers")


def leaning(*entries: Entry, number: int) -> list[int]:
    return shop_of(*BOOK[:1], *entries).leaning_on(number)


def test_a_seal_is_leaned_on_by_what_was_said_of_it_until_it_broke() -> None:
    story = (
        sealed(10, "R-1", "1"),
        sealed(11, "R-1", "1", role=Role.CHECKED),
        sealed(12, "R-1", "1", role=Role.BROKEN),
        sealed(13, "R-1", "2"),
        sealed(14, "R-1", "2", role=Role.BROKEN),
        worked(15, "crush", used="R-1", made=BAR),
    )
    found = {one.number: leaning(*story, number=one.number) for one in story[:-1]}
    assert found == {10: [11, 12], 11: [], 12: [13, 15], 13: [14], 14: [15]}


def test_the_same_of_a_container() -> None:
    story = (
        sealed(10, "tin", "1"),
        sealed(11, "tin", "1", role=Role.BROKEN),
        sealed(12, "tin", "2"),
    )
    found = {one.number: leaning(*story, number=one.number) for one in story}
    assert found == {10: [11], 11: [12], 12: []}


def test_what_went_in_and_out_leans_on_the_broken_seal_of_a_container() -> None:
    story = (
        moved(10, "tin", "drum C"),
        sealed(11, "drum C", "1"),
        moved(12, "R-1", "bench"),
        sealed(13, "drum C", "1", role=Role.BROKEN),
        moved(14, "R-1", "tin"),
        moved(15, "R-1", "safe"),
        moved(16, "R-4", "safe"),
        worked(17, "crush", used="R-2", made=[thing("N-1", "dust", "1", place="tin")]),
        moved(18, "tin", "shelf"),
        moved(19, "tin", "drum C"),
        sold(20, "N-1"),
        moved(61, "drum C", "yard"),
        sold(62, "R-1"),
    )
    assert leaning(*story, number=13) == [14, 15, 17, 18, 19, 20]


def test_a_photo_leans_on_the_making_of_its_item() -> None:
    assert leaning(photographed(10, "R-1", PICTURE), number=1) == [10]
