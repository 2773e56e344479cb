"""A change in what residues keep is found, told as it is, and not seen where there is none."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from builders import assayed, day, thing, worked
from simulation.learning import CUPEL, SLAG, LearningShop, shop_that_learns
from vault.core.findings import FindingKind, Severity
from vault.core.flow import Flow
from vault.reckoning.contents import Contents
from vault.reckoning.dense_families import EXACT, VAGUE_SIZES
from vault.reckoning.drift import Drift, drifts_of
from vault.reckoning.facts import KINDS, Floats
from vault.reckoning.guesses import DEFAULT, Guesses, OwnKeep
from vault.reckoning.reckoner import Reckoner, reckon
from vault.reckoning.row_pile import RowKind
from vault.reckoning.solved_metal import SolvedMetal

LOTS, CHANGE = 24, 12


def steady(_lot: int) -> float:
    return 1.0


def doubled(lot: int) -> float:
    return 2.0 if lot >= CHANGE else 1.0


def drawn(seed: int = 5, *, cupels: object = doubled, lots: int = LOTS) -> LearningShop:
    factors = {SLAG: steady, CUPEL: cupels}
    return shop_that_learns(np.random.default_rng(seed), lots, factors)  # type: ignore[arg-type]  # a plain function of the lot


def silver(contents: Contents) -> SolvedMetal:
    balance = contents.balances["Ag"]
    assert isinstance(balance, SolvedMetal)
    return balance


def the_drift(flow: Flow) -> Drift:
    (found,) = drifts_of(silver(reckon(flow)))
    return found


def solved_anew(balance: SolvedMetal, kind: str, since: int) -> tuple[Floats, Floats]:
    """Solve everything in one matrix, the measured residues with a δ of their own on each side."""
    code, count = KINDS.index(kind), len(KINDS)
    families = [family for _, family in balance.in_order]
    width = sum(len(one.system.size) for one in families)
    blocks, first = [np.hstack([np.zeros((count, width)), np.eye(count), np.zeros((count, 3))])], 0
    for family in families:
        system = family.system
        size = len(system.size)
        rows = np.zeros((len(system.y) + size, width + count + 3))
        rows[: len(system.y), first : first + size] = system.dense() * system.size
        rows[: len(system.y), width + system.kinds] = system.leaning()
        keeps = system.rows.kind[system.row_ids] == RowKind.KEEP
        mine = np.flatnonzero(keeps & (system.rows.factor[system.row_ids] == code))
        ids = system.row_ids[mine]
        late = system.ground.facts.works.number[system.rows.subject[ids]] >= since
        rows[mine, width + count + late.astype(int)] = system.rows.factor_g[ids]
        rows[: len(system.y), -1] = system.y
        length = np.linalg.norm(rows[: len(system.y), first : first + size], axis=1)
        rows[: len(system.y)] /= np.where(system.u > 0, system.u, EXACT * length)[:, None]
        rows[len(system.y) :, first : first + size] = np.eye(size) / VAGUE_SIZES
        blocks.append(rows)
        first += size
    triangle: Floats = np.linalg.qr(np.vstack(blocks), mode="r")  # type: ignore[assignment]  # the stubs know no mode
    inverse = np.linalg.inv(triangle[:-1, :-1])
    x = inverse @ triangle[:-1, -1]
    unit = DEFAULT.keep(kind, "Ag").house
    picks = np.zeros((2, width + count + 2))
    picks[:, width + code] = unit
    picks[0, width + count] = picks[1, width + count + 1] = 1.0
    return picks @ x, np.linalg.norm(picks @ inverse, axis=1)


def test_what_is_told_is_what_solving_everything_anew_with_two_factors_gives() -> None:
    balance = silver(reckon(drawn().flow))
    (found,) = drifts_of(balance)
    levels, u = solved_anew(balance, CUPEL, found.since)
    share = next(one.guess for one in balance.factors() if one.kind == CUPEL)
    # Batches scatter a little more here than they are taken to; both doubts are told by as much.
    scale = found.before_u / (share * u[0])
    assert scale >= 1.0 - 1e-6
    assert [found.before, found.after] == pytest.approx(list(share * (1.0 + levels)), rel=1e-4)
    assert found.after_u == pytest.approx(scale * share * u[1], rel=1e-4)


def test_a_doubled_keep_is_found_with_its_kind_its_work_and_its_size() -> None:
    shop = drawn()
    found = the_drift(shop.flow)
    assert (found.kind, found.metal, found.measured) == (CUPEL, "Ag", LOTS)
    at = shop.works[CUPEL].index(found.since)
    assert abs(at - CHANGE) <= 2
    assert found.after / found.before == pytest.approx(2.0, rel=0.35)
    assert found.chance < 0.01


def test_nothing_is_told_where_nothing_changed() -> None:
    told = [drifts_of(silver(reckon(drawn(seed, cupels=steady).flow))) for seed in range(12)]
    assert sum(len(one) for one in told) <= 1


def test_a_wrong_first_guess_is_no_drift() -> None:
    """Cupels keep a fifth of the guess, all along: the factor is learnt, and nothing changed."""
    shop = drawn(7, cupels=lambda _lot: 0.2)
    assert drifts_of(silver(reckon(shop.flow))) == []


def test_too_few_measured_residues_tell_nothing() -> None:
    shop = drawn(lots=4, cupels=lambda lot: 9.0 if lot >= 2 else 1.0)
    assert drifts_of(silver(reckon(shop.flow))) == []


def test_a_factor_that_is_not_learned_cannot_drift() -> None:
    reckoner = Reckoner(Guesses(learned=False))
    assert drifts_of(silver(reckoner.begin(drawn().flow))) == []


def test_batches_that_scatter_far_more_than_guessed_are_not_taken_for_a_change() -> None:
    """With a tenth of the scatter taken for granted, plain scatter would look like any change."""
    keep = DEFAULT.keep(CUPEL, "Ag")
    narrow = Guesses(own={(CUPEL, "Ag"): OwnKeep(keep.share, keep.house, keep.batch / 10)})
    told = [
        one
        for seed in range(8)
        for one in drifts_of(silver(Reckoner(narrow).begin(drawn(seed, cupels=steady).flow)))
        if one.kind == CUPEL
    ]
    assert len(told) <= 1


def test_cupels_blended_and_assayed_together_count_as_measured() -> None:
    """Two drums, one of early and one of late cupels, each blended and assayed: a change shows."""
    shop = drawn(3, lots=30, cupels=lambda lot: 3.0 if lot >= 15 else 1.0)
    kept = {
        line.tag: line.contents[0].fineness.share
        for one in shop.entries
        for line in one.lines
        if one.act.value == "assay" and line.tag.startswith("C-")
    }
    entries = [
        one for one in shop.entries if not (one.lines[0].tag in kept and one.act.value == "assay")
    ]
    entries = [replace(one, number=at, when=day(at)) for at, one in enumerate(entries, start=1)]
    weights = {
        line.tag: line.gross.grams
        for one in entries
        for line in one.lines
        if line.gross is not None and line.tag in kept
    }
    for at in range(0, 30, 3):
        tags = [f"C-{lot:04d}" for lot in range(at, at + 3)]
        whole = sum(weights[tag] for tag in tags)
        fine = sum(weights[tag] * kept[tag] for tag in tags)
        number = len(entries) + 1
        drum = thing(f"D-{at:02d}", "spent cupel", f"{whole:.2f}")
        entries.append(worked(number, "blend", used=tags, made=[drum]))
        share = 1000 * fine / whole
        says = f"Ag {share:.6f} ± {0.03 * share:.6f}"
        entries.append(assayed(number + 1, f"D-{at:02d}", says, how="ICP"))
    shop.entries = entries
    found = the_drift(shop.flow)
    assert found.measured == 30
    assert found.after / found.before == pytest.approx(3.0, rel=0.4)


def test_a_drift_is_a_finding_that_says_what_to_look_at() -> None:
    shop = drawn()
    (finding,) = [one for one in reckon(shop.flow).findings if one.kind is FindingKind.DRIFT]
    drift = the_drift(shop.flow)
    assert finding.severity is Severity.LOOK
    assert finding.entries == (drift.since,)
    assert finding.metal == "Ag"
    assert finding.sentence.startswith(
        f"From entry {drift.since} on more of the Ag fed stays in the spent cupel: "
    )
    assert "look at what changed" in finding.sentence
