"""Each line of a net return is the sheet's own arithmetic, and what is not known is named."""

from __future__ import annotations

import numpy as np
import pytest

from terms import charged, fees, pays, sheet
from vault.core.terms_sheets import MetalTerms
from vault.reckoning.net_return import Parcel, net_of
from vault.reckoning.payable import payable_of, pieces_of

KILO = sheet(
    pays("Ag", 0.95, refining=0.02, deduction=0.0005),
    pays("Au", 0.97, refining=0.40),
    per_kg=4.0,
    least=120.0,
    charges=fees(
        assay=45.0,
        sampling=60.0,
        umpire=200.0,
        freight=80.0,
        freight_per_kg=0.5,
        drum=25.0,
        manifest=35.0,
    ),
    penalties=[charged("Pb", 0.10, free=0.05, step=0.05), charged("As", 1.0, free=0.0, step=0.001)],
    days=30,
)
PRICES = {"Ag": 1.0, "Au": 80.0}


def test_every_line_is_worked_out_by_hand() -> None:
    """40 kg with 400 g of silver, 5 g of gold and 12 % of lead.

    Silver 0.95 · (400 − 20) = 361 g at 0.98; gold 4.85 g at 79.60; treatment 160; two assays;
    two steps of lead begun, 0.10 · 2 · 40 = 8; one drum; 30 days at 7.3 %: 0.6 % of what is due.
    """
    found = net_of(
        Parcel(40_000.0, {"Ag": 400.0, "Au": 5.0}, shares={"Pb": 0.12}), KILO, PRICES, 0.073
    )
    assert [float(one.payable_g) for one in found.metals] == pytest.approx([361.0, 4.85])
    assert [float(one.paid) for one in found.metals] == pytest.approx([353.78, 386.06])
    assert float(found.treatment) == pytest.approx(160.0)
    assert (found.assays, found.sampling, found.manifest) == (90.0, 60.0, 35.0)
    assert float(found.freight) == pytest.approx(100.0)
    assert float(found.drums) == pytest.approx(25.0)
    assert {name: float(one) for name, one in found.penalties} == pytest.approx({"Pb": 8.0})
    due = 353.78 + 386.06 - 160.0 - 90.0 - 60.0 - 8.0
    assert float(found.waiting) == pytest.approx(due * 0.006)
    assert float(found.net) == pytest.approx(due * 0.994 - 100.0 - 25.0 - 35.0)


def test_what_is_not_known_is_named_and_not_counted() -> None:
    parcel = Parcel(40_000.0, {"Ag": 400.0, "Pd": 3.0}, not_known=("Au",), shares={"Pb": 0.01})
    found = net_of(parcel, KILO, {"Ag": 1.0, "Pd": 30.0})
    assert [one.metal for one in found.metals] == ["Ag"]
    assert found.not_known == ("Au",)
    assert found.unpaid == ("Pd",)
    assert found.not_told == ("As",)
    assert found.assays == 45.0
    assert [(name, float(amount)) for name, amount in found.penalties] == [("Pb", 0.0)]


def test_a_metal_without_a_price_is_named_and_not_counted() -> None:
    found = net_of(Parcel(40_000.0, {"Ag": 400.0, "Au": 5.0}), KILO, {"Ag": 1.0})
    assert found.unpriced == ("Au",)
    assert [one.metal for one in found.metals] == ["Ag"]


def test_a_sheet_by_dry_weight_takes_the_dry_weight_and_says_where_none_was_said() -> None:
    dry = sheet(pays("Ag", 1.0, deduction=0.001), per_kg=2.0, dry=True)
    told = net_of(Parcel(10_000.0, {"Ag": 100.0}, dry_g=8_000.0), dry, PRICES)
    assert float(told.treatment) == pytest.approx(16.0)
    assert float(told.metals[0].payable_g) == pytest.approx(92.0)
    assert not told.dry_not_told
    silent = net_of(Parcel(10_000.0, {"Ag": 100.0}), dry, PRICES)
    assert silent.dry_not_told
    assert float(silent.treatment) == pytest.approx(20.0)


def test_drums_are_whole_and_a_full_one_is_one() -> None:
    drums = sheet(charges=fees(drum=10.0))
    found = net_of(Parcel(np.array([1.0, 200_000.0, 200_001.0, 400_000.0]), {}), drums, {})
    assert found.drums == pytest.approx([10.0, 10.0, 20.0, 20.0])


def test_a_step_reached_exactly_is_not_yet_another() -> None:
    lead = sheet(penalties=[charged("Pb", 1.0, free=0.10, step=0.10)])
    shares = np.array([0.0, 0.10, 0.1001, 0.2, 0.3, 0.3001])
    found = net_of(Parcel(1000.0, {}, shares={"Pb": shares}), lead, {})
    assert found.penalties[0][1] == pytest.approx([0.0, 0.0, 1.0, 1.0, 2.0, 3.0])


def test_draws_give_what_single_numbers_give() -> None:
    contents, weights = np.array([100.0, 400.0, 0.0]), np.array([10_000.0, 90_000.0, 250_000.0])
    prices = np.array([0.8, 1.0, 1.2])
    together = net_of(Parcel(weights, {"Ag": contents}), KILO, {"Ag": prices}, 0.05)
    for at in range(3):
        alone = net_of(
            Parcel(weights[at], {"Ag": contents[at]}), KILO, {"Ag": float(prices[at])}, 0.05
        )
        assert float(alone.net) == pytest.approx(together.net[at])


def test_the_lesser_of_part_and_deduction_is_taken() -> None:
    """Deduct 1 g/kg or pay 90 %, whichever is less: they meet at 10 g/kg (by arithmetic)."""
    terms = pays("Ag", 0.90, deduction=0.001, lesser=True)
    found = payable_of(terms, np.array([0.5, 5.0, 10.0, 20.0]), 1000.0)
    assert found == pytest.approx([0.0, 4.0, 9.0, 18.0])


@pytest.mark.parametrize(
    "terms",
    [
        pays("Ag", 0.95),
        pays("Ag", 0.95, deduction=0.002),
        pays("Ag", 0.90, deduction=0.002, lesser=True),
        pays("Ag", 1.0, deduction=0.002, lesser=True),
        pays("Ag", 0.80, deduction=0.001, least_grade=0.004, bands=[(0.006, 0.85), (0.02, 0.9)]),
        pays("Ag", 0.80, deduction=0.001, lesser=True, least_fine_g=40.0, bands=[(0.02, 0.95)]),
    ],
)
def test_the_pieces_of_a_line_give_the_payable_metal_everywhere(terms: MetalTerms) -> None:
    weights = np.array([3_000.0, 10_000.0])
    pieces = pieces_of(terms, weights)
    assert np.all(np.diff(pieces.starts, axis=0) >= 0)
    for column, weight in enumerate(weights):
        contents = np.linspace(0.0013, 0.05 * weight, 997)
        at = np.searchsorted(pieces.starts[:, column], contents, side="right") - 1
        by_pieces = pieces.slopes[at, column] * contents + pieces.intercepts[at, column]
        assert by_pieces == pytest.approx(payable_of(terms, contents, weight))
