"""What is said of a choice about residues: every verdict and everything that is not known."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import pytest

from terms_samples import SHEET
from vault.application.queries.send_out_words import (
    heading_of,
    not_known_of,
    reasons_of,
    rows_of,
    turns_of,
    verdict_of,
)
from vault.reckoning.choices import (
    BestTime,
    Choice,
    Hinge,
    NotCounted,
    Option,
    Residues,
    Turn,
    Way,
    WorkedHere,
)
from vault.reckoning.parcels import Parcelled
from vault.screens.numbers import Numbers

NUMBERS = Numbers()
KILO = replace(SHEET, name="by the kilo")
FLAT = replace(SHEET, name="flat lot fee")


def option(way: Way, net: float, u: float = 50.0, **more: object) -> Option:
    made = Option(way, None, 0, net, net - 1.645 * u, net + 1.645 * u, u, 0.04)
    return replace(made, **more)  # type: ignore[arg-type]  # attributes by name


SEND = option(Way.SEND, 310, 90, sheet=KILO, pays_from_g=11_300.0)
OTHER = option(Way.SEND, 175, 80, sheet=FLAT)
WAIT = option(Way.WAIT, 395, 115, sheet=KILO, weeks=7)
WORK = option(Way.WORK, 140, 160, worked=WorkedHere({"Ag": 200.0}, {"Ag": 41.0}, 80, 60, 90))
SAMPLE = option(Way.SAMPLE, 320, 60, costs=120.0)
KEEP = option(Way.KEEP, 0, 0)
LATER = BestTime(119, KILO, 395.0, (), 178, KILO, 900.0, None, 0.2)
NOTHING_LEFT_OUT = NotCounted((), (), (), (), (), dry=False)


def choice(*options: Option, turns: tuple[Turn, ...] = (), doubt: float = 0.0) -> Choice:
    order = sorted(options, key=lambda one: -one.net)
    best, second = order[0], order[min(1, len(order) - 1)]
    time = BestTime(7, KILO, 395.0, (), 26, KILO, 900.0, None, 4.2)
    return Choice(
        options=options,
        best=best,
        runner_up=second,
        margin=best.net - second.net,
        margin_u=40.0,
        margin_surely=0.83,
        best_known=best,
        turns=turns,
        time=time,
        doubt_costs=doubt,
        all_doubt_costs=doubt,
        not_counted=NOTHING_LEFT_OUT,
    )


def parcel(
    part: Mapping[str, tuple[str, ...]] | None = None, not_weighed: tuple[str, ...] = ()
) -> Parcelled:
    return Parcelled(
        Residues(("Ag",), (312.0,), ((289.0,),), 21_700.0), 64, part or {}, not_weighed
    )


@pytest.mark.parametrize(
    ("best", "heading"),
    [
        (SEND, "Send it now, “by the kilo”"),
        (WAIT, "Wait 7 weeks"),
        (replace(WAIT, weeks=1), "Wait a week"),
        (replace(WAIT, weeks=30), "Wait about 30 weeks"),
        (replace(WAIT, weeks=119), "Wait about 27 months"),
        (SAMPLE, "Blend and sample it first"),
        (WORK, "Crush and smelt it here"),
        (KEEP, "Keep it: nothing else pays now"),
    ],
)
def test_the_verdict_stands_in_a_few_words(best: Option, heading: str) -> None:
    assert heading_of(best) == heading


def test_the_verdict_is_one_sentence_with_what_it_brings_and_how_sure_that_is() -> None:
    told = verdict_of(choice(SEND, OTHER, WAIT, WORK, KEEP), NUMBERS, "EUR")
    assert told == (
        "Waiting 7 weeks and sending it “by the kilo” brings about 400 ± 120 EUR, 80 ± 40 more "
        "than sending it now; it is the better of the two in 83 of 100 cases that could be."
    )


def test_where_nothing_pays_the_best_of_the_rest_is_named() -> None:
    told = verdict_of(choice(replace(SEND, net=-120.0), KEEP), NUMBERS, "EUR")
    assert told == (
        "The best of the rest, sending it now “by the kilo”, would bring −120 ± 90 EUR, and so "
        "cost more than it brings."
    )


def test_where_nothing_can_be_done_that_is_said() -> None:
    assert "nothing that could be done" in verdict_of(choice(KEEP), NUMBERS, "EUR")


def test_why_is_told_from_where_it_pays_what_waiting_costs_and_what_doubt_costs() -> None:
    told = list(reasons_of(choice(SEND, WAIT, KEEP, doubt=12.0), NUMBERS, "EUR"))
    assert told == [
        "At its grade it pays on its own from 11.3 kg on, “by the kilo”.",
        (
            "Waiting spreads the charges that do not grow with the weight over more of it; every "
            "week of it costs about 4 EUR in money not working and in space."
        ),
        "With what the shop makes of it, sending pays best about every 26 weeks.",
        (
            "Not knowing better what it holds costs about 12 EUR on average; an assay that costs "
            "more than that cannot pay for itself here."
        ),
    ]


def test_a_small_cost_is_told_as_small_and_never_as_none() -> None:
    told = list(reasons_of(replace(choice(WAIT, KEEP), time=LATER), NUMBERS, "EUR"))
    assert "every week of it costs less than 1 EUR" in told[0]
    assert told[1:] == [
        "With what the shop makes of it, sending pays best about every 41 months.",
        "Knowing better what it holds would change next to nothing: no assay pays for itself.",
    ]


def test_what_the_verdict_hangs_on_is_told_nearest_first_and_at_most_twice() -> None:
    turns = (
        Turn(Hinge.PRICE, "Ag", 0.95, 0.81, Way.KEEP, None),
        Turn(Hinge.CONTENT, "Ag", 312.0, 330.0, Way.SEND, KILO),
        Turn(Hinge.PRICE, "Au", 80.0, 200.0, Way.WORK, None),
    )
    told = list(turns_of(choice(SEND, KEEP, turns=turns), NUMBERS, "EUR"))
    assert told == [
        (
            "It changes if it holds more than 330 g of silver (312 g is believed): then "
            "sending it now “by the kilo” is better."
        ),
        (
            "It changes if silver falls below 0.810 EUR a gram (0.950 today): then keeping it is "
            "better."
        ),
    ]


@pytest.mark.parametrize(
    ("counted", "told"),
    [
        (
            NotCounted(("D-1",), (), (), (), (), dry=False),
            "Nothing is known of D-1; neither metal nor weight is counted.",
        ),
        (
            NotCounted((), ("Pd",), (), (), (), dry=False),
            "Nothing is known of the palladium in it, and none is counted.",
        ),
        (
            NotCounted((), (), ("Pt", "Pd"), (), (), dry=False),
            "No price is set for platinum, palladium, which counts as nothing here.",
        ),
        (
            NotCounted((), (), (), ("Pb", "Cd"), (), dry=False),
            (
                "Nobody said how much Pb, Cd is in it (the settings ask for it): what a sheet "
                "charges for that is not counted."
            ),
        ),
        (
            NotCounted((), (), (), (), ("by the pound",), dry=False),
            "In another currency, and left out: by the pound.",
        ),
        (
            NotCounted((), (), (), (), (), dry=True),
            (
                "Nobody said how dry it is (the settings ask for it): charges by dry weight are "
                "reckoned on all of the weight."
            ),
        ),
    ],
)
def test_whatever_nobody_knows_is_said_and_never_counts_as_nothing_in_silence(
    counted: NotCounted, told: str
) -> None:
    assert list(not_known_of(counted, parcel())) == [told]


def test_what_is_not_known_of_some_items_only_is_said_of_them() -> None:
    told = list(not_known_of(NOTHING_LEFT_OUT, parcel({"Au": ("C-1", "C-2")}, ("C-9",))))
    assert told == [
        "Of 2 items (C-1, C-2) the gold is not known and not counted.",
        "C-9 is without a weight, which is not counted.",
    ]


def test_each_row_says_its_range_and_its_chance_and_the_best_is_marked() -> None:
    rows = list(rows_of(choice(SEND, WAIT, WORK, SAMPLE, KEEP), NUMBERS, "EUR"))
    assert [one.words for one in rows] == [
        "Send it now, “by the kilo”",
        "Wait 7 weeks, then “by the kilo”",
        "Crush and smelt it here",
        "Blend and sample it first",
        "Keep it",
    ]
    assert [one.is_best for one in rows] == [False, True, False, False, False]
    assert [one.is_sheet for one in rows] == [True, False, False, False, False]
    assert (
        rows[0].more
        == "In 90 of 100 cases 162 to 458 EUR. In 4 of 100 it brings less than keeping."
    )
    assert (
        "In the new slag and cupel stays about Ag 41 g; it is counted as nothing." in rows[2].more
    )
    assert [(one.words, one.amount) for one in rows[2].lines] == [
        ("flux", -80),
        ("energy", -60),
        ("work", -90),
    ]
    assert [(one.words, one.amount) for one in rows[3].lines] == [
        ("blending, sampling and assays", -120.0)
    ]
