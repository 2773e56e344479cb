"""The worked example of one lot, solved to sixty digits elsewhere, from daybook entries to figures.

An example made for this project: lot A of 500 g, 800 ± 4 ‰, split 300 / 200, one bag smelted and
cupelled. Its own losses and keeps are put in place of the handbook's; its feeds are given.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from builders import assayed, received, sent, settled, thing, worked
from unit.reckoning.grounds import ground, solved
from vault.core.daybook import Entry, Process
from vault.reckoning.facts import KINDS, Facts, Floats
from vault.reckoning.guesses import Guesses, OwnKeep
from vault.reckoning.row_pile import Ground
from vault.reckoning.rows import rows_of

LOT = (
    received(1, thing("A", "sweeps", "500 ± 0.01", "Ag 800 ± 4", how="fire assay")),
    worked(
        2,
        "divide",
        used="A",
        made=[thing("A1", "sweeps", "300 ± 0.000001"), thing("A2", "sweeps", "200 ± 0.000001")],
    ),
    worked(3, "smelt", used="A1", made=[thing("K", "button", "250"), thing("S", "slag", "50")]),
    worked(
        4,
        "cupel",
        used="K",
        added=[thing("", "new cupel", "1000")],
        made=[thing("B", "bead", "231.1 ± 0.005"), thing("C", "spent cupel", "1000 ± 0.01")],
    ),
    assayed(5, "B", "Ag 995.5 ± 1.5"),
)
OWN = Guesses(
    own={
        ("slag of smelting", "Ag"): OwnKeep(0.015, 0.005 / 0.015, 0.005 / 0.015),
        ("spent cupel", "Ag"): OwnKeep(0.020, 0.006 / 0.020, 0.005 / 0.020),
    }
)
LOSSES = {
    Process.DIVIDE: (0.0, 0.0),
    Process.SMELT: (0.001, 0.001),
    Process.CUPEL: (0.004, 0.002),
}

BEFORE = {
    "A": (399.95473, 1.93871),
    "A1": (239.68315, 2.22914),
    "A2": (160.27159, 2.70332),
    "K": (235.79191, 1.79941),
    "S": (3.65045, 1.60744),
    "B": (230.06241, 0.34574),
    "C": (4.78199, 1.72309),
}
AFTER = {
    "A": (400.05382, 1.92741),
    "A1": (240.37673, 1.68147),
    "A2": (159.67709, 2.39466),
    "K": (236.59765, 0.58950),
    "S": (3.54002, 1.59046),
    "B": (230.05792, 0.34561),
    "C": (5.59725, 0.09983),
}


def loss_of(process: Process, metal: str) -> tuple[float, float]:
    assert metal == "Ag"
    return LOSSES.get(process, (0.0, 0.001))


def constant_keeps(facts: Facts, *rest: Any) -> Floats:  # noqa: ANN401  # the scale is given
    keeps, residues = rest[-2:]
    found: Floats = keeps[facts.kind[residues]]
    return found


@pytest.fixture
def losses_of_the_example(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("vault.reckoning.rows.loss_of", loss_of)
    monkeypatch.setattr("vault.reckoning.rows.batch_keeps", constant_keeps)


def figures(*entries: Entry) -> tuple[Ground, np.ndarray, np.ndarray]:
    found = ground(*entries, guesses=OWN)
    given = {name: getattr(found, name) for name in Ground.__slots__}
    rows = rows_of(Ground(**{**given, "feeds": np.array([400.0, 240.0, 235.0])}))
    x, cov = solved(rows)
    return found, x, cov


@pytest.mark.parametrize("tag", BEFORE)
def test_every_item_of_the_example_has_its_figure(tag: str, losses_of_the_example: None) -> None:
    found, x, cov = figures(*LOT)
    at = found.facts.tags.index(tag)
    assert (x[at], np.sqrt(cov[at, at])) == pytest.approx(BEFORE[tag], abs=2e-5)


@pytest.mark.parametrize("tag", AFTER)
def test_a_settled_cupel_moves_every_item_of_the_example(
    tag: str, losses_of_the_example: None
) -> None:
    """The refinery settles the cupel at 5.60 ± 0.10 g."""
    settles = settled(7, thing("C", says="Ag 5.6 ± 0.1", how="settlement"))
    found, x, cov = figures(*LOT, sent(6, "C"), settles)
    at = found.facts.tags.index(tag)
    assert (x[at], np.sqrt(cov[at, at])) == pytest.approx(AFTER[tag], abs=3e-5)


def test_the_two_residues_together_are_surer_than_their_doubts_alone_say(
    losses_of_the_example: None,
) -> None:
    """8.43244 ± 2.17912 g; the root of the sum of squares would say 2.35646."""
    found, x, cov = figures(*LOT)
    c = np.array([tag in {"S", "C"} for tag in found.facts.tags], dtype=float)
    c = np.concatenate([c, np.zeros(len(x) - len(c))])
    assert c @ x == pytest.approx(8.43244, abs=2e-5)
    assert np.sqrt(c @ cov @ c) == pytest.approx(2.17912, abs=2e-5)
    assert np.sqrt(c @ np.diag(cov)) == pytest.approx(2.35646, abs=2e-5)


def test_the_house_factor_learns_from_the_settled_cupel(losses_of_the_example: None) -> None:
    """δk of cupels: +0.00217 ± 0.00385 after, from 0.020 ± 0.006 before."""
    settles = settled(7, thing("C", says="Ag 5.6 ± 0.1", how="settlement"))
    found, x, cov = figures(*LOT, sent(6, "C"), settles)
    del found
    # Factors come after the unknowns, by residue kind.
    at = len(x) - len(KINDS) + KINDS.index("spent cupel")
    assert 0.020 * x[at] == pytest.approx(0.00217, abs=1e-5)
    assert 0.020 * np.sqrt(cov[at, at]) == pytest.approx(0.00385, abs=1e-5)
