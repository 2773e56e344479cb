"""The owner's circumstances: the handbook's until they are set, kept with the book, refused."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builders import priced, struck
from conftest import Clock
from vault.application.book import Book
from vault.application.circumstances import (
    SETTING,
    circumstances,
    circumstances_from_text,
    circumstances_to_text,
    interest,
    makeup_of_residues,
    offered_rule,
    own_circumstances,
    set_circumstances,
    settlement_limit,
    sources,
    turnover_rule,
    usual_values,
    value_of,
)
from vault.application.operations.recording import import_entries
from vault.core.circumstances import (
    ASKED,
    CircumstancesNotClear,
    OwnCircumstances,
    Unit,
    Value,
)
from vault.core.makeup import makeup_from_text
from vault.core.turnover import TurnoverRule
from vault.reckoning.circumstances import usual

RULE = TurnoverRule(Fraction(3, 4), "Fjordvik", "the county's paper of 2030")


@pytest.fixture
def book(tmp_path: Path, clock: Clock) -> Iterator[Book]:
    with Book.create(tmp_path / "shop.shop", zone="UTC", clock=clock) as made:
        import_entries(
            made,
            [
                priced(1, "Ag", "0.90 EUR"),
                priced(2, "Pd", "33 USD"),
                priced(3, "Au", "60 EUR"),
                priced(4, "Au", "90 EUR"),
                struck(5, 4, "slip"),
            ],
        )
        yield made


def test_what_was_never_set_is_the_handbook_s(book: Book) -> None:
    assert own_circumstances(book) == OwnCircumstances()
    assert circumstances(book) == usual("EUR", {"Ag": 0.9, "Au": 60.0})
    assert interest(book) == usual_values()["interest"].amount
    assert settlement_limit(book) == 2.0
    assert turnover_rule(book) is None


def test_what_residues_are_made_of_travels_with_the_book(book: Book) -> None:
    made = {"spent cupel": makeup_from_text("dry 98 %, Pb 55 %"), "slag": makeup_from_text("")}
    set_circumstances(book, OwnCircumstances(makeup=made))
    path = book.path
    book.close()
    with Book.open(path) as again:
        assert makeup_of_residues(again) == made


def test_a_book_of_before_says_nothing_of_what_residues_are_made_of() -> None:
    kept = json.loads(circumstances_to_text(OwnCircumstances(turnover=RULE)))
    del kept["makeup"]
    assert circumstances_from_text(json.dumps(kept)) == OwnCircumstances(turnover=RULE)


@pytest.mark.parametrize("makeup", [[], {"slag": "a lot of lead"}, 3])
def test_a_makeup_that_makes_no_sense_leaves_the_handbook_s(makeup: object) -> None:
    kept = json.loads(circumstances_to_text(OwnCircumstances(turnover=RULE)))
    assert circumstances_from_text(json.dumps({**kept, "makeup": makeup})) == OwnCircumstances()


def test_every_value_that_is_asked_has_one_in_the_handbook_and_a_source() -> None:
    assert set(usual_values()) == {one.path for one in ASKED}
    assert set(sources()) == {one.group for one in ASKED}
    assert all(sources().values())
    for one in ASKED:
        assert one.has_doubt == (usual_values()[one.path].u is not None)


def test_what_is_set_travels_with_the_book_and_reaches_the_choice(book: Book) -> None:
    own = OwnCircumstances(
        values={
            "price_spread.Ag": Value(0.4),
            "interest": Value(0.05),
            "space": Value(0.02),
            "wage": Value(42.0),
            "recovery.Ag": Value(0.9, 0.03),
            "flux_per_kg": Value(0.5),
            "sampling.assay": Value(60.0),
            "settlement_limit": Value(3.0),
        },
        turnover=RULE,
    )
    assert set_circumstances(book, own).settings
    path = book.path
    book.close()
    with Book.open(path) as again:
        assert own_circumstances(again) == own
        found, base = circumstances(again), usual("EUR", {"Ag": 0.9, "Au": 60.0})
        assert (interest(again), settlement_limit(again)) == (0.05, 3.0)
        assert turnover_rule(again) == RULE
    assert found.price_spread == {"Ag": 0.4, "Au": base.price_spread["Au"]}
    assert (found.interest, found.space_per_kg_week, found.wage_per_hour) == (0.05, 0.02, 42.0)
    assert found.working is not None
    assert base.working is not None
    assert found.working.recovery["Ag"] == (0.9, 0.03)
    assert found.working.recovery["Au"] == base.working.recovery["Au"]
    assert (found.working.flux_per_kg, found.working.days) == (0.5, base.working.days)
    assert found.sampling is not None
    assert found.sampling.assay == 60.0


def test_what_is_got_out_does_not_stay_behind(book: Book) -> None:
    set_circumstances(book, OwnCircumstances(values={"recovery.Ag": Value(0.999)}))
    working = circumstances(book).working
    assert working is not None
    assert working.recovery["Ag"][0] + working.kept["Ag"] <= 1.0


def test_a_recovery_without_its_doubt_keeps_that_of_the_handbook(book: Book) -> None:
    set_circumstances(book, OwnCircumstances(values={"recovery.Ag": Value(0.9)}))
    working, base = circumstances(book).working, usual_values()["recovery.Ag"]
    assert working is not None
    assert working.recovery["Ag"] == (0.9, base.u)


def test_what_is_not_done_here_is_none(book: Book) -> None:
    set_circumstances(book, OwnCircumstances(works=False, samples=False))
    found = circumstances(book)
    assert (found.working, found.sampling) == (None, None)


def test_a_value_of_one_s_own_stands_in_place_of_the_handbook_s() -> None:
    own = OwnCircumstances(values={"wage": Value(0.0)})
    assert value_of(own, "wage") == Value(0.0)
    assert value_of(OwnCircumstances(), "wage") == usual_values()["wage"]


def values() -> st.SearchStrategy[dict[str, Value]]:
    pairs = st.sampled_from(ASKED).flatmap(
        lambda one: st.tuples(
            st.just(one.path),
            st.builds(
                Value,
                st.floats(1e-6, one.most),
                st.floats(0, one.most) if one.has_doubt else st.none(),
            ),
        )
    )
    return st.lists(pairs, max_size=6).map(dict)


def rules() -> st.SearchStrategy[TurnoverRule | None]:
    shares = st.fractions(0, 1).filter(bool)
    return st.none() | shares.map(lambda share: replace(RULE, share=share))


@given(st.builds(OwnCircumstances, values(), st.booleans(), st.booleans(), rules()))
def test_circumstances_read_back_as_they_were_written(own: OwnCircumstances) -> None:
    assert circumstances_from_text(circumstances_to_text(own)) == own


@pytest.mark.parametrize(
    "text",
    [
        "spoilt",
        "[]",
        "{}",
        '{"values": {"wage": [-1]}, "works": true, "samples": true, "turnover": null}',
        '{"values": {"wage": []}, "works": true, "samples": true, "turnover": null}',
        '{"values": {}, "works": true, "samples": true, "turnover": {"share": "1/0"}}',
    ],
)
def test_a_text_that_makes_no_sense_gives_the_handbook_s(book: Book, text: str) -> None:
    book.file.change_setting(SETTING, text)
    assert own_circumstances(book) == OwnCircumstances()


def test_a_value_that_a_later_version_asks_is_left_out() -> None:
    text = (
        '{"values": {"moon": [1], "wage": [9]}, "works": true, "samples": true, "turnover": null}'
    )
    assert circumstances_from_text(text) == OwnCircumstances(values={"wage": Value(9.0)})


@pytest.mark.parametrize(
    ("path", "value", "words"),
    [
        ("wage", Value(-1.0), "an hour of work: it is at least nothing."),
        ("wage", Value(2e6), "an hour of work: it is at most 1\u202f000\u202f000."),
        ("wage", Value(float("nan")), "an hour of work: this is no number."),
        ("interest", Value(1.5), "cost of money, a year: it is at most 100 %."),
        ("price_spread.Ag", Value(3.1), "it is at most 300 %."),
        ("recovery.Ag", Value(1.01), "silver got out: it is at most 100 %."),
        ("recovery.Ag", Value(0.9, -0.1), "its ± lies between nothing and 100 %."),
        ("recovery.Ag", Value(0.9, 1.1), "its ± lies between nothing and 100 %."),
        ("recovery.Ag", Value(0.9, float("inf")), "this is no number."),
        ("sampling.sample_g", Value(0.0), "weight of the sample: it is more than nothing."),
        ("settlement_limit", Value(0.0), "it is more than nothing."),
        ("days", Value(4000.0), "until it is sold: it is at most 3\u202f650."),
    ],
)
def test_a_value_that_cannot_be_is_refused_with_its_place(
    book: Book, path: str, value: Value, words: str
) -> None:
    with pytest.raises(CircumstancesNotClear) as refused:
        set_circumstances(book, OwnCircumstances(values={path: value}))
    assert refused.value.path == path
    assert words in str(refused.value)
    assert own_circumstances(book) == OwnCircumstances()


@pytest.mark.parametrize(
    ("rule", "path", "words"),
    [
        (replace(RULE, share=Fraction(0)), "turnover.share", "above nothing and up to 100 %"),
        (replace(RULE, share=Fraction(5, 4)), "turnover.share", "above nothing and up to 100 %"),
        (replace(RULE, place=" "), "turnover.place", "names no place"),
        (replace(RULE, source=""), "turnover.source", "names no source"),
        (replace(RULE, source="a\u202eb"), "turnover.source", "cannot be seen"),
    ],
)
def test_a_rule_of_law_without_place_or_source_is_refused(
    book: Book, rule: TurnoverRule, path: str, words: str
) -> None:
    with pytest.raises(CircumstancesNotClear) as refused:
        set_circumstances(book, OwnCircumstances(turnover=rule))
    assert refused.value.path == path
    assert words in str(refused.value)
    assert turnover_rule(book) is None


def test_the_rule_that_is_offered_can_be_kept_as_it_is(book: Book) -> None:
    """US 40 CFR 266.70(c) and 261.1(c)(8), read in copies of states: 75 % in a calendar year."""
    rule = offered_rule()
    assert rule.share == Fraction(3, 4)
    assert "40 CFR" in rule.source
    set_circumstances(book, OwnCircumstances(turnover=rule))
    assert turnover_rule(book) == rule


def test_every_unit_is_asked_of_something() -> None:
    assert {one.unit for one in ASKED} == set(Unit)
