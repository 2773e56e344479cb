"""Net returns against published contracts and schedules, step by step.

Each sheet is written as its source has it; currencies play no part in the arithmetic.
"""

from __future__ import annotations

import numpy as np
import pytest

from terms import LB_KG, OZT_G, SHORT_TON_KG, charged, fees, pays, sheet
from vault.reckoning.net_return import Parcel, net_of


def test_tin_concentrate_comes_to_the_textbook_s_52_pounds_80() -> None:
    """Wills, Mineral Processing Technology, tin contract (contract published; steps recomputed).

    Ore of 1 % Sn, 72 % recovered into concentrate of 42 %, tin at £8 500/t, one unit deducted,
    treatment £385/t, freight £20/t. The book's result, from memory: £52.80 for a tonne of ore.
    """
    concentrate_kg = 1000 * 0.01 * 0.72 / 0.42
    assert concentrate_kg == pytest.approx(17.14, abs=0.005)
    contract = sheet(
        pays("Sn", 1.0, deduction=0.01), per_kg=0.385, charges=fees(freight_per_kg=0.020)
    )
    tin_g = 1000 * concentrate_kg * 0.42
    found = net_of(Parcel(1000 * concentrate_kg, {"Sn": tin_g}), contract, {"Sn": 8.500 / 1000})
    (tin,) = found.metals
    assert float(tin.payable_g) == pytest.approx(1000 * concentrate_kg * 0.41)
    assert float(tin.paid) == pytest.approx(59.74, abs=0.005)
    assert float(found.treatment) == pytest.approx(6.60, abs=0.005)
    assert float(found.freight) == pytest.approx(0.34, abs=0.005)
    assert float(found.net) == pytest.approx(52.80, abs=0.005)


# A published price list for small lots of slag, crucibles and refining residues: $5.00 a pound
# received, $250.00 at least; 93 % of the gold returned, 80 % of the silver, and silver only where
# its yield is expected above two troy ounces; of platinum metals 90 % above 1 % assay, 85 % from
# 0.5 %, 80 % from 0.01 % (read in a stored copy of the list; the list names no day).
SMALL_LOTS = sheet(
    pays("Au", 0.93),
    pays("Ag", 0.80, least_fine_g=2 * OZT_G / 0.80),
    pays("Pt", 0.80, least_grade=0.0001, bands=[(0.005, 0.85), (0.01, 0.90)]),
    per_kg=round(5.00 / LB_KG, 6),
    least=250.0,
    metal_back=True,
)
SILVER = {"Ag": 30.0 / OZT_G}


def test_a_small_lot_is_charged_by_the_pound_and_at_least_so_much() -> None:
    """50 lb are just the minimum: $250; 100 lb cost $500 (by arithmetic from the list)."""
    for pounds, charge in ((10, 250.0), (50, 250.0), (100, 500.0)):
        found = net_of(Parcel(1000 * LB_KG * pounds, {"Ag": 1000.0}), SMALL_LOTS, SILVER)
        assert float(found.treatment) == pytest.approx(charge, abs=0.001)
        assert found.back_g["Ag"] == pytest.approx(800.0)


def test_on_silver_alone_slag_pays_from_about_14_kilograms_a_tonne() -> None:
    """$5/lb is $11.02/kg; 80 % of silver at $30/ozt is $0.7716/g: 14.3 g/kg (by arithmetic)."""
    even = (5.00 / LB_KG) / (0.80 * 30.0 / OZT_G)
    assert even == pytest.approx(14.3, abs=0.05)
    for grams_a_kg, pays_off in ((even * 0.999, False), (even * 1.001, True)):
        found = net_of(Parcel(100_000.0, {"Ag": 100 * grams_a_kg}), SMALL_LOTS, SILVER)
        assert (float(found.net) > 0) is pays_off


def test_bench_cupels_do_not_pay_on_such_terms() -> None:
    """Cupels of the bench hold 0.1 to 2.5 kg/t of silver (by arithmetic from Beringer's losses)."""
    cupels = Parcel(100_000.0, {"Ag": np.array([0.1, 2.5]) * 100})
    assert np.all(np.asarray(net_of(cupels, SMALL_LOTS, SILVER).net) < 0)


def test_silver_below_two_ounces_of_yield_is_not_returned_and_platinum_goes_by_its_bands() -> None:
    silver = {"Ag": np.array([77.7, 77.8])}
    back = net_of(Parcel(20_000.0, silver), SMALL_LOTS, SILVER).back_g["Ag"]
    assert back == pytest.approx([0.0, 0.80 * 77.8])
    shares = np.array([0.00005, 0.0001, 0.00499, 0.005, 0.00999, 0.01])
    platinum = net_of(Parcel(1000.0, {"Pt": 1000 * shares}), SMALL_LOTS, {"Pt": 40.0})
    parts = np.array([0.0, 0.80, 0.80, 0.85, 0.85, 0.90])
    assert platinum.back_g["Pt"] == pytest.approx(1000 * shares * parts)


def test_metal_locked_up_for_three_weeks_costs_about_six_cents_an_ounce() -> None:
    """T. K. Rose, The Metallurgy of Gold, p. 489: "about 6" cents (published; 5.95 recomputed).

    Gold at $20.67, 14 days on the way and half as much again in process, 5 % a year.
    """
    found = net_of(
        Parcel(100.0, {"Au": OZT_G}), sheet(pays("Au", 1.0), days=21), {"Au": 20.67 / OZT_G}, 0.05
    )
    assert float(found.waiting) == pytest.approx(0.0595, abs=0.00005)
    assert float(found.net) == pytest.approx(20.67 - 0.0595, abs=0.0001)


def test_a_smelter_schedule_of_the_thirties_comes_out_line_by_line() -> None:
    """The Geology and Ore Deposits of Sierra County, New Mexico, Bulletin 10, p. 57 (published).

    Typical for ores of the county: gold, 0.05 oz at least, 95 % at $19.00; silver, 1.0 oz at least,
    95 % at market price less 3 1/3 c; zinc above 5 % penalised at 30 c a unit; base smelting charge
    $5.00 a ton. The parcel is ours: 10 short tons with 0.4 oz of gold and 20 oz of silver a ton and
    7.5 % zinc, silver at 50 c. By hand: gold 0.38 oz × $19 = $7.22, silver 19 oz × 46 2/3 c =
    $8.8667, charge $5, zinc 2.5 units × 30 c = $0.75; $10.3367 a ton.
    """
    ton_g = 1000 * SHORT_TON_KG
    market = {"Au": 20.67 / OZT_G, "Ag": 0.50 / OZT_G}
    schedule = sheet(
        pays("Au", 0.95, least_grade=0.05 * OZT_G / ton_g, refining=(20.67 - 19.00) / OZT_G),
        pays("Ag", 0.95, least_grade=1.0 * OZT_G / ton_g, refining=0.10 / 3 / OZT_G),
        per_kg=round(5.00 / SHORT_TON_KG, 6),
        penalties=[charged("Zn", 0.30 / SHORT_TON_KG, free=0.05, step=0.01, whole_steps=False)],
    )
    contents = {"Au": 10 * 0.4 * OZT_G, "Ag": 10 * 20 * OZT_G}
    found = net_of(Parcel(10 * ton_g, contents, shares={"Zn": 0.075}), schedule, market)
    gold, silver = found.metals
    assert float(gold.payable_g) / OZT_G == pytest.approx(3.8)
    assert float(gold.paid) == pytest.approx(72.2, abs=0.01)
    assert float(silver.payable_g) / OZT_G == pytest.approx(190.0)
    assert float(silver.paid) == pytest.approx(88.67, abs=0.01)
    assert float(found.treatment) == pytest.approx(50.0, abs=0.01)
    assert [name for name, _ in found.penalties] == ["Zn"]
    assert float(found.penalties[0][1]) == pytest.approx(7.50, abs=0.01)
    assert float(found.net) == pytest.approx(103.37, abs=0.02)


def test_too_poor_for_the_schedule_means_that_nothing_is_paid_for_the_metal() -> None:
    """The same schedule: gold from 0.05 oz and silver from 1.0 oz a ton."""
    ton_g = 1000 * SHORT_TON_KG
    schedule = sheet(pays("Au", 0.95, least_grade=0.05 * OZT_G / ton_g))
    ounces = np.array([0.04, 0.0499, 0.0501, 0.2])
    found = net_of(Parcel(ton_g, {"Au": ounces * OZT_G}), schedule, {"Au": 19.0 / OZT_G})
    assert found.net == pytest.approx([0.0, 0.0, 0.95 * 0.0501 * 19.0, 0.95 * 0.2 * 19.0])


def test_lead_and_silver_of_a_district_sold_to_a_smelter_in_1903() -> None:
    """W. R. Ingalls, Sources of lead production in the United States, 28 November 1903.

    Cœur d'Alene (contract and parcel published, in Lead Smelting and Refining, 1906): 90 % of the
    lead and 95 % of the silver, less $8 a ton smelting and $8 a ton freight on ore below $50; lead
    in ore at 3.5 c, silver at 50 c, a ton of 50 % lead and 30 oz of silver. By arithmetic (the
    table that follows was not in the copy read): 900 lb $31.50, 28.5 oz $14.25, less $16: $29.75.
    """
    rate = round(8.0 / SHORT_TON_KG, 6)
    contract = sheet(
        pays("Pb", 0.90), pays("Ag", 0.95), per_kg=rate, charges=fees(freight_per_kg=rate)
    )
    ton_g = 1000 * SHORT_TON_KG
    found = net_of(
        Parcel(ton_g, {"Pb": 0.50 * ton_g, "Ag": 30 * OZT_G}),
        contract,
        {"Pb": 0.035 / (1000 * LB_KG), "Ag": 0.50 / OZT_G},
    )
    lead, silver = found.metals
    assert float(lead.payable_g) / (1000 * LB_KG) == pytest.approx(900.0)
    assert float(lead.paid) == pytest.approx(31.50, abs=0.001)
    assert float(silver.paid) == pytest.approx(14.25, abs=0.001)
    assert float(found.treatment) == pytest.approx(8.0, abs=0.001)
    assert float(found.freight) == pytest.approx(8.0, abs=0.001)
    assert float(found.net) == pytest.approx(29.75, abs=0.002)


def test_lead_concentrate_breaks_even_at_the_textbook_s_2_40_cents() -> None:
    """H. C. Hoover, Principles of Mining, 1909, on the cost of production (published throughout).

    Ore of 20 % lead, concentrated to 70 % with 75 % recovered: 4.66 tons to one of concentrate, at
    $4 a ton $18.64. The smelter pays 95 % of the metal less $15 a ton: $33.64 for 70 % of a ton, or
    2.40 c a pound, to be compared with the market price less 5 %.
    """
    ore_tons = 0.70 / (0.20 * 0.75)
    assert ore_tons == pytest.approx(4.66, abs=0.01)
    contract = sheet(pays("Pb", 0.95), per_kg=round(15.0 / SHORT_TON_KG, 6))
    ton_g = 1000 * SHORT_TON_KG
    concentrate = Parcel(ton_g, {"Pb": 0.70 * ton_g})
    cents = 2.40 / 0.95
    for market, pays_off in ((cents * 1.005, True), (cents * 0.995, False)):
        net = net_of(concentrate, contract, {"Pb": market / 100 / (1000 * LB_KG)}).net
        assert (float(net) > 4.66 * 4.0) is pays_off
