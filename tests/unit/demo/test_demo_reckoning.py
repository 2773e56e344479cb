"""What the program makes of the demonstration's daybook, against the truth kept apart."""

from __future__ import annotations

import pytest

from demo_db.simulator.notebook import Mistake, Notebook
from vault.core.findings import FindingKind
from vault.core.flow import Flow, flow_of
from vault.core.items import State
from vault.reckoning.contents import Contents
from vault.reckoning.reckoner import reckon


@pytest.fixture(scope="module")
def flow(told: Notebook) -> Flow:
    return flow_of(told.shop)


@pytest.fixture(scope="module")
def contents(flow: Flow) -> Contents:
    return reckon(flow)


def planted(told: Notebook, kind: str) -> Mistake:
    return next(one for one in told.mistakes if one.kind == kind)


@pytest.fixture(scope="module")
def near_a_mistake(told: Notebook, flow: Flow) -> set[str]:
    """Tags whose figures a planted mistake spoils at first hand."""
    tags: set[str] = set()
    for kind in ("assay typed wrong", "bags swapped"):
        tags |= set(planted(told, kind).tags)
    for tag in list(tags):
        tags |= flow.descendants_of(tag)
    for tag in list(tags):
        for work in (flow.maker_of(tag), flow.user_of(tag)):
            if work is not None:
                tags |= {*work.used, *work.made}
    return tags


@pytest.mark.parametrize("metal", ["Ag", "Au", "Pd", "Pt"])
def test_stated_ranges_hold_the_truth_away_from_the_planted_mistakes(
    metal: str, told: Notebook, flow: Flow, contents: Contents, near_a_mistake: set[str]
) -> None:
    """95 % within 1.96 u; one book of correlated figures scatters by some per cent about that."""
    held = []
    for tag in flow.items:
        content = contents.of(tag).get(metal)
        if content is None or not content.determinable or tag in near_a_mistake:
            continue
        error = content.fine_g - told.things[tag].stuff[metal] / 1e6
        held.append(abs(error) <= 1.96 * content.u_g)
    assert len(held) > 250
    assert sum(held) / len(held) >= 0.92


@pytest.mark.parametrize("metal", ["Ag", "Au", "Pd", "Pt"])
def test_the_metal_locked_up_is_told_within_its_doubt(
    metal: str, told: Notebook, flow: Flow, contents: Contents
) -> None:
    """Even with the planted mistakes left in: within 3 u of the truth of what is counted."""
    residues = [
        tag
        for tag, item in flow.items.items()
        if item.is_residue and item.state is State.ON_HAND and metal in contents.of(tag)
    ]
    found = contents.total(residues, metal)
    known = set(residues) - set(found.not_known)
    truth = sum(told.things[tag].stuff[metal] for tag in known) / 1e6
    assert abs(found.fine_g - truth) <= 3 * found.u_g


def test_the_doubt_about_the_silver_locked_up_is_small_enough_to_decide_by(
    flow: Flow, contents: Contents
) -> None:
    residues = [
        tag for tag, item in flow.items.items() if item.is_residue and item.state is State.ON_HAND
    ]
    found = contents.total(residues, "Ag")
    assert found.fine_g > 150
    assert found.u_g < 0.25 * found.fine_g


def test_the_wrong_assay_is_named_with_what_it_should_be(
    told: Notebook, contents: Contents
) -> None:
    wrong = planted(told, "assay typed wrong")
    (finding,) = (
        one
        for one in contents.findings
        if one.kind is FindingKind.CONTRADICTION and wrong.entries[0] in one.entries
    )
    suspect = finding.suspects[0]
    assert suspect.entry == wrong.entries[0]
    assert suspect.tag == wrong.tags[0]
    proposed, u = (float(part) for part in suspect.proposed.removesuffix("‰").split("±"))
    assert abs(proposed - float(wrong.right.split()[0])) < 3 * u


def test_the_swapped_bags_are_named_first_of_all_swaps(told: Notebook, contents: Contents) -> None:
    bags = planted(told, "bags swapped")
    first = next(one for one in contents.findings if one.kind is FindingKind.SWAPPED)
    assert set(first.tags) == set(bags.tags)
    assert set(first.entries) == set(bags.entries)


def test_nothing_is_found_that_no_planted_mistake_explains(
    contents: Contents, near_a_mistake: set[str]
) -> None:
    for finding in contents.findings:
        assert set(finding.tags) & near_a_mistake, finding.sentence


@pytest.mark.parametrize("metal", ["Ag", "Au", "Pd", "Pt"])
def test_the_shares_of_a_doubt_add_up_to_one(metal: str, flow: Flow, contents: Contents) -> None:
    residues = [
        tag for tag, item in flow.items.items() if item.is_residue and item.state is State.ON_HAND
    ]
    shares = [line.share for line in contents.budget(residues, metal)]
    assert sum(shares) == pytest.approx(1.0, abs=0.01)
    assert all(-1e-9 <= share <= 1.0 for share in shares)
