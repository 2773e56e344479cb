from __future__ import annotations

import hashlib
import json
from datetime import UTC, date, datetime, timedelta, timezone

import pytest

from builders import assayed, entry, priced, received, scale_checked, struck, thing, when, worked
from vault.core.daybook import (
    EMPTY_HEAD,
    Recorded,
    When,
    leaf_of,
    next_seal,
    node_of,
    seal_text,
)


def test_the_canonical_text_says_the_facts_and_nothing_empty() -> None:
    one = received(
        2, thing("R-1", "filings", "512.40 ± 0.02", "Ag 600 ± 60, Au 3"), on="2031-03-01 08:10"
    )
    assert one.canonical_text() == (
        '{"act":"receive","by":"Imke","lines":[{"contents_ppb":{"Ag":[600000000,60000000],'
        '"Au":[3000000,null]},"form":"filings","gross_u_ug":20000,"gross_ug":512400000,'
        '"how":"declared","lot":"L-1","party":"Pennant","role":"in","tag":"R-1","terms":"toll"}],'
        '"number":2,"when":"2031-03-01 2031-03-01T08:10:00Z"}'
    )


def test_the_facts_of_the_bench_stand_in_the_canonical_text() -> None:
    one = received(
        1,
        thing(
            "R-1",
            "filings",
            "5",
            tare="2.5",
            scale="bench scale",
            witness="Ole",
            hold_until="2031-03-01",
        ),
    )
    line = json.loads(one.canonical_text())["lines"][0]
    assert {name: line[name] for name in ("tare_ug", "scale", "witness", "hold_until")} == {
        "tare_ug": 2_500_000,
        "scale": "bench scale",
        "witness": "Ole",
        "hold_until": "2031-03-01",
    }
    check = json.loads(scale_checked(2, "bench scale", "200 g", "200.01 g").canonical_text())
    assert check["act"] == "scale check"
    assert check["lines"] == [
        {
            "gross_ug": 200_010_000,
            "nominal_ug": 200_000_000,
            "role": "line",
            "scale": "bench scale",
        }
    ]
    work = worked(3, "smelt", used="R-1", made=[thing("K-1", "button", furnace="965 °C")])
    assert json.loads(work.canonical_text())["lines"][1]["furnace"] == "965 °C"


def test_the_canonical_text_of_a_work_names_its_process() -> None:
    one = worked(3, "burn off", used="R-1", made=[thing("R-2", "ash")])
    assert json.loads(one.canonical_text())["process"] == "burn off"


def test_money_stands_in_the_canonical_text_in_millionths() -> None:
    line = json.loads(priced(1, "Ag", "0.95 EUR").canonical_text())["lines"][0]
    assert line["money_millionths"] == [950_000, "EUR"]


def test_letters_of_every_script_stand_as_they_are() -> None:
    assert "陳記" in received(1, thing("R-1", "bar"), party="陳記").canonical_text()


def test_a_leaf_is_the_hash_of_the_canonical_text() -> None:
    one = assayed(1, "R-1", "Ag 600")
    assert one.leaf == hashlib.sha256(b"\0" + one.canonical_text().encode()).digest()


def test_a_strike_knows_what_it_strikes() -> None:
    assert struck(4, 12).struck_number() == 12


def test_leaves_and_nodes_cannot_be_taken_for_each_other() -> None:
    left, right = leaf_of("a"), leaf_of("b")
    assert node_of(left, right) == hashlib.sha256(b"\1" + left + right).digest()
    assert node_of(left, right) != node_of(right, left)
    assert leaf_of((left + right).decode("latin-1")) != node_of(left, right)


def test_the_seal_covers_when_and_under_which_key_an_entry_was_recorded() -> None:
    at = datetime(2031, 3, 1, 8, 0, tzinfo=UTC)
    seal = next_seal(EMPTY_HEAD, leaf_of("head"), at, "key-1")
    assert seal != next_seal(EMPTY_HEAD, leaf_of("head"), at, "key-2")
    assert seal != next_seal(EMPTY_HEAD, leaf_of("head"), at + timedelta(seconds=1), "key-1")
    assert seal_text(at, "key-1") == "2031-03-01T08:00:00+00:00 key-1"
    elsewhere = at.astimezone(timezone(timedelta(hours=9)))
    assert seal_text(elsewhere, "key-1") == seal_text(at, "key-1")


def test_a_recorded_entry_is_not_struck_unless_said_so() -> None:
    one = assayed(1, "R-1", "Ag 600")
    at = datetime(2031, 3, 1, tzinfo=UTC)
    assert Recorded(one, at, "key", one.leaf, one.leaf).struck_by is None


@pytest.mark.parametrize(
    ("one", "other", "is_before"),
    [
        ("2031-03-01", "2031-03-02", True),
        ("2031-03-02", "2031-03-01", False),
        ("2031-03-01", "2031-03-01", False),
        ("2031-03-01", "2031-03-01 09:00", False),
        ("2031-03-01 09:00", "2031-03-01", False),
        ("2031-03-01 09:00", "2031-03-01 09:01", True),
        ("2031-03-01 09:01", "2031-03-01 09:00", False),
    ],
)
def test_a_bare_day_is_never_out_of_order(one: str, other: str, *, is_before: bool) -> None:
    assert when(one).is_before(when(other)) is is_before


def test_a_moment_is_written_in_utc_beside_the_day_of_the_shop() -> None:
    at = datetime(2031, 3, 1, 0, 30, tzinfo=timezone(timedelta(hours=1)))
    assert When(date(2031, 3, 1), at).to_text() == "2031-03-01 2031-02-28T23:30:00Z"
    assert When(date(2031, 3, 1)).to_text() == "2031-03-01"


def test_equal_facts_are_equal_entries() -> None:
    assert entry(1, "price", on="2031-01-01") == entry(1, "price")
