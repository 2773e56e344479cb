"""What is expected of a doubtful parcel, against a plain mean of 100 000 draws."""

from __future__ import annotations

import numpy as np
import pytest

from terms import charged, fees, pays, sheet
from vault.reckoning.expected_net import expected_under
from vault.reckoning.net_return import Parcel, net_of

TERMS = sheet(
    pays("Ag", 0.95, deduction=0.003, refining=0.03),
    pays("Au", 0.97, least_fine_g=3.0, refining=0.5),
    per_kg=4.0,
    least=120.0,
    charges=fees(assay=30.0, freight=80.0, freight_per_kg=0.4),
    penalties=[charged("Pb", 0.1, free=0.05, step=0.05)],
    days=45,
)
PRICES = {"Ag": 0.9, "Au": 75.0}


def test_the_expected_net_is_the_mean_of_the_nets() -> None:
    generator = np.random.default_rng(41)
    silver, gold = generator.normal(90.0, 60.0, 100_000), generator.normal(3.2, 1.0, 100_000)
    nets = net_of(
        Parcel(20_000.0, {"Ag": silver, "Au": gold}, shares={"Pb": 0.12}), TERMS, PRICES, 0.08
    ).net
    told = expected_under(
        TERMS,
        Parcel(20_000.0, {"Ag": 90.0, "Au": 3.2}, shares={"Pb": 0.12}),
        {"Ag": 60.0, "Au": 1.0},
        0.08,
    )
    slip = 4.0 * float(nets.std()) / np.sqrt(100_000)
    assert float(told.at(PRICES)) == pytest.approx(float(nets.mean()), abs=slip)
    at_the_mean = net_of(
        Parcel(20_000.0, {"Ag": 90.0, "Au": 3.2}, shares={"Pb": 0.12}), TERMS, PRICES, 0.08
    )
    assert abs(float(at_the_mean.net) - float(nets.mean())) > 10.0 * slip


def test_one_parcel_is_asked_for_many_prices_and_many_weights_at_once() -> None:
    weights = np.array([5_000.0, 20_000.0, 80_000.0])
    told = expected_under(
        TERMS,
        Parcel(weights, {"Ag": 0.005 * weights, "Au": 0.0002 * weights}),
        {"Ag": 0.001 * weights, "Au": 0.00005 * weights},
        0.0,
    )
    silver = np.array([0.5, 1.0])[:, None]
    table = told.at({"Ag": silver, "Au": 75.0})
    assert table.shape == (2, 3)
    for row in range(2):
        for column in range(3):
            alone = expected_under(
                TERMS,
                Parcel(
                    weights[column],
                    {"Ag": 0.005 * weights[column], "Au": 0.0002 * weights[column]},
                ),
                {"Ag": 0.001 * weights[column], "Au": 0.00005 * weights[column]},
                0.0,
            ).at({"Ag": float(silver[row, 0]), "Au": 75.0})
            assert table[row, column] == pytest.approx(float(alone))


def test_a_metal_without_a_price_is_not_counted() -> None:
    told = expected_under(
        TERMS, Parcel(20_000.0, {"Ag": 90.0, "Au": 3.2}), {"Ag": 0.0, "Au": 0.0}, 0.0
    )
    both = net_of(Parcel(20_000.0, {"Ag": 90.0, "Au": 3.2}), TERMS, {"Ag": 0.9})
    assert float(told.at({"Ag": 0.9})) == pytest.approx(float(both.net))
