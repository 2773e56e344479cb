"""Where a metal is followed, and which items hang together in it."""

from __future__ import annotations

from builders import assayed, received, thing, worked
from unit.reckoning.grounds import facts
from vault.core.daybook import Entry
from vault.reckoning.facts import METAL_CODE, NOBODY
from vault.reckoning.regions import families_of, region_of


def region(metal: str, *entries: Entry) -> set[str]:
    found = facts(*entries)
    inside = region_of(found, METAL_CODE[metal])
    return {tag for tag, one in zip(found.tags, inside, strict=True) if one}


TWO_LOTS_IN_ONE_BAR = (
    received(1, thing("A", "filings", "100", "Ag 600"), lot="L-1"),
    received(2, thing("B", "filings", "100", "Au 585"), lot="L-2"),
    worked(3, "remelt", used="A B", made=[thing("C", "bar", "199")]),
)


def test_a_metal_is_followed_to_all_that_its_item_became() -> None:
    assert region("Au", *TWO_LOTS_IN_ONE_BAR) == {"B", "C"}


def test_a_thing_of_which_other_metals_were_said_is_taken_to_bring_none() -> None:
    assert "A" not in region("Au", *TWO_LOTS_IN_ONE_BAR)


def test_gold_of_which_no_silver_was_named_may_still_bring_some() -> None:
    assert region("Ag", *TWO_LOTS_IN_ONE_BAR) == {"A", "B", "C"}


def test_an_assay_of_what_was_made_opens_the_question_for_all_it_came_from() -> None:
    entries = (*TWO_LOTS_IN_ONE_BAR, assayed(4, "C", "Au 300"))
    assert region("Au", *entries) == {"A", "B", "C"}


def test_a_thing_of_which_nobody_said_anything_may_bring_any_metal() -> None:
    entries = (
        received(1, thing("A", "sweeps", "100"), lot="L-1"),
        received(2, thing("B", "filings", "100", "Au 585"), lot="L-2"),
        worked(3, "divide", used="A", made=[thing("A1", "sweeps", "50"), thing("A2", "sweeps")]),
        worked(4, "remelt", used="A1 B", made=[thing("C", "bar", "149")]),
    )
    assert region("Au", *entries) == {"A", "A1", "A2", "B", "C"}


def test_a_metal_that_nobody_speaks_of_is_nowhere() -> None:
    assert region("Pt", *TWO_LOTS_IN_ONE_BAR) == set()


def test_silver_added_makes_a_region_of_what_it_was_added_to() -> None:
    entries = (
        received(1, thing("A", "filings", "100", "Au 585")),
        worked(
            2,
            "remelt",
            used="A",
            added=[thing("", "silver", "200", "Ag 999")],
            made=[thing("B", "grain", "299")],
        ),
    )
    assert region("Ag", *entries) == {"A", "B"}, "gold often holds silver that nobody named"


def test_lots_that_never_met_are_families_of_their_own() -> None:
    found = facts(
        received(1, thing("A", "filings", "100", "Ag 600"), lot="L-1"),
        received(2, thing("B", "filings", "100", "Ag 585"), lot="L-2"),
        received(3, thing("C", "filings", "100", "Ag 585"), lot="L-3"),
        worked(4, "remelt", used="C A", made=[thing("D", "bar", "199")]),
    )
    items, works = families_of(found, region_of(found, METAL_CODE["Ag"]))
    assert list(items) == [0, 1, 0, 0]
    assert list(works) == [0]


def test_outside_the_region_there_is_no_family() -> None:
    found = facts(*TWO_LOTS_IN_ONE_BAR)
    items, _ = families_of(found, region_of(found, METAL_CODE["Au"]))
    assert list(items) == [NOBODY, 0, 0]
