"""The demonstration shop is reckoned honestly: its truth is held, its mistakes are named."""

from __future__ import annotations

import json
from datetime import UTC
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from vault.application.exchange.daybook_csv import read_daybook
from vault.core.findings import Finding, FindingKind
from vault.core.flow import Flow, flow_of
from vault.reckoning.contents import Contents
from vault.reckoning.reckoner import reckon

ROOT = Path(__file__).resolve().parents[2]


@cache
def truth() -> dict[str, Any]:
    found: dict[str, Any] = json.loads((ROOT / "demo_db" / "truth.json").read_text("utf-8"))
    return found


@cache
def flow_in(path: str) -> Flow:
    reading = read_daybook(ROOT / path, zone=UTC)
    assert reading.faults == ()
    assert reading.shop is not None
    return flow_of(reading.shop)


@cache
def demo() -> Contents:
    return reckon(flow_in("demo_db/daybook.csv"))


def mistake(kind: str) -> dict[str, Any]:
    (found,) = (one for one in truth()["mistakes"] if one["kind"] == kind)
    return dict(found)


def of_kind(kind: FindingKind) -> list[Finding]:
    return [one for one in demo().findings if one.kind is kind]


@pytest.mark.parametrize("metal", ["Ag", "Au"])
def test_stated_ranges_hold_the_truth_of_the_demonstration(metal: str) -> None:
    """Its two open mistakes and all that they touch counted in."""
    held = seen = 0
    for tag, true in truth()["items"].items():
        content = demo().of(tag).get(metal) if tag in demo().place_of else None
        if content is not None and content.determinable:
            seen += 1
            held += abs(content.fine_g - true.get(metal, 0) / 1e6) <= 1.96 * content.u_g
    assert seen > 500
    assert 0.92 <= held / seen <= 0.995


def test_the_wrongly_typed_assay_is_named_with_what_it_should_read() -> None:
    wrong = mistake("assay typed wrong")
    (entry,) = wrong["entries"]
    suspects = [one for found in of_kind(FindingKind.CONTRADICTION) for one in found.suspects]
    (named,) = [one for one in suspects if one.entry == entry and one.proposed]
    value, _, rest = named.proposed.partition(" ± ")
    right = float(wrong["right"].split()[0])
    assert named.reads == f"{float(wrong['wrong'].split()[0]):.1f} ‰"
    assert abs(float(value) - right) <= 3.0 * float(rest.split()[0])


def test_the_swapped_bags_are_named_first_of_all_pairs() -> None:
    swapped = mistake("bags swapped")
    found = of_kind(FindingKind.SWAPPED)
    assert set(found[0].tags) == set(swapped["tags"])
    assert set(found[0].entries) == set(swapped["entries"])


def test_little_else_of_the_demonstration_is_called_in_question() -> None:
    assert len(demo().findings) <= 8


def test_the_example_daybook_is_reckoned_without_a_finding() -> None:
    contents = reckon(flow_in("resources/examples/example-daybook.csv"))
    assert contents.findings == ()
    assert contents.of("A-0001")["Ag"].fine_g == pytest.approx(2.18, abs=0.01)
    assert contents.of("B-0001")["Au"].determinable
