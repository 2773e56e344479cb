"""Gross weights of worked cases close, with factors from outside.

BER = C. & J. J. Beringer, A Text-book of Assaying, 9th ed., Griffin, London 1904. Oxide and flux
factors follow from IUPAC atomic weights, here by way of `periodictable`.
"""

from __future__ import annotations

import periodictable
import pytest

from vault.core.daybook import Process
from vault.reckoning.closure import Closure, Part, Verdict, Weighed, closure_of
from vault.reckoning.spans import Span


def mass_of(formula: str) -> float:
    return float(periodictable.formula(formula).mass)


def oxide(metal: str, formula: str, atoms: int = 1) -> float:
    return mass_of(formula) / (atoms * mass_of(metal))


PBO = oxide("Pb", "PbO")
CU2O = oxide("Cu", "Cu2O", 2)
CUO = oxide("Cu", "CuO")


def span_of(found: Closure, part: Part) -> Span:
    return dict(found.lines)[part]


def cupelled(*, cupel_after: float, bead: float = 150.85) -> Closure:
    """A button of 236.40 g with 120 g of lead on a magnesia cupel of 386.20 g."""
    return closure_of(
        Process.CUPEL,
        used=[Weighed("K-1", "button", 236.40)],
        added=[Weighed("lead", "lead", 120.0), Weighed("cupel", "magnesia cupel", 386.20)],
        made=[Weighed("K-2", "bead", bead), Weighed("C-1", "spent cupel", cupel_after)],
    )


def test_a_cupellation_gains_the_oxygen_of_litharge_and_of_copper() -> None:
    """85.55 g of base metal become Cu2O at the least and CuO at the most, the lead PbO."""
    found = cupelled(cupel_after=602.40)
    oxides = span_of(found, Part.AS_OXIDES)
    left = span_of(found, Part.LEFT_THE_METAL)
    assert (left.low, left.high) == pytest.approx((205.55, 205.55))
    assert oxides.low == pytest.approx(120 * PBO + 85.55 * CU2O, rel=1e-4)
    assert oxides.high == pytest.approx(120 * PBO + 85.55 * CUO, rel=1e-4)
    assert found.missing is not None
    assert found.missing.low == pytest.approx(oxides.low - 216.20)
    assert found.missing.high == pytest.approx(oxides.high - 216.20)
    assert found.verdict is Verdict.CLOSES


def test_all_of_it_as_the_lowest_oxides_closes_to_nothing() -> None:
    gained = 120 * PBO + 85.55 * CU2O
    found = cupelled(cupel_after=386.20 + gained)
    assert found.missing is not None
    assert found.missing.low == pytest.approx(0.0, abs=0.01)
    assert found.verdict is Verdict.CLOSES


def test_a_cupel_cannot_gain_more_than_the_highest_oxides_weigh() -> None:
    most = 120 * PBO + 85.55 * CUO
    assert cupelled(cupel_after=386.20 + most - 1.0).verdict is Verdict.CLOSES
    assert cupelled(cupel_after=386.20 + most + 2.0).verdict is Verdict.TOO_MUCH


def test_a_fifth_of_the_oxides_gone_is_more_than_usual() -> None:
    assert cupelled(cupel_after=386.20 + 0.8 * 226.0).verdict is Verdict.TOO_LITTLE


def test_silver_of_the_bead_left_out_is_noticed() -> None:
    """A bead read as 50.85 g leaves 100 g that no cupel gained."""
    assert cupelled(cupel_after=602.40, bead=50.85).verdict is Verdict.TOO_LITTLE


def test_fluxes_lose_their_carbonic_acid_and_water() -> None:
    """Soda ash, borax with ten waters, bicarbonate and nitre, each by its formula."""
    soda = mass_of("Na2O") / mass_of("Na2CO3")
    borax = mass_of("Na2B4O7") / (mass_of("Na2B4O7") + 10 * mass_of("H2O"))
    bicarbonate = mass_of("Na2O") / (2 * mass_of("NaHCO3"))
    nitre = mass_of("K2O") / (2 * mass_of("KNO3"))
    left = 100 * soda + 200 * borax + 50 * bicarbonate + 20 * nitre
    found = closure_of(
        Process.SMELT,
        used=[Weighed("R-1", "filings", 300.0)],
        added=[
            Weighed("soda ash", "soda ash", 100.0),
            Weighed("borax", "borax", 200.0),
            Weighed("bicarbonate", "bicarbonate", 50.0),
            Weighed("nitre", "nitre", 20.0),
        ],
        made=[Weighed("K-1", "button", 280.0), Weighed("S-1", "slag", left + 22.0)],
    )
    assert span_of(found, Part.FLUX_LEFT).low == pytest.approx(left, abs=0.02)
    assert span_of(found, Part.FLUX_GAS).low == pytest.approx(370.0 - left, abs=0.02)
    assert found.missing is not None
    assert found.missing.low == pytest.approx(20 * CU2O - 22.0, abs=0.03)
    assert found.missing.high == pytest.approx(20 * CUO - 22.0, abs=0.03)
    assert found.verdict is Verdict.CLOSES


def test_lead_smelted_with_ore_goes_to_litharge_only_where_it_did_not_stay_metal() -> None:
    """Nothing left the metal but a gram of the lead: 1.077 g of PbO, and no copper at all."""
    found = closure_of(
        Process.SMELT,
        used=[Weighed("K-1", "button", 100.0)],
        added=[Weighed("lead", "lead", 50.0)],
        made=[Weighed("K-2", "button", 149.0), Weighed("S-1", "slag", 1.08)],
    )
    slag = span_of(found, Part.AS_SLAG)
    assert (slag.low, slag.high) == pytest.approx((PBO, PBO), rel=1e-4)


def test_a_melt_closes_without_the_water_of_its_borax() -> None:
    """BER's borax loses 47.24 %: 20 g leave 10.55 g behind, and 9.45 g of water are no loss."""
    borax = mass_of("Na2B4O7") / (mass_of("Na2B4O7") + 10 * mass_of("H2O"))
    found = closure_of(
        Process.REMELT,
        used=[Weighed("K-1", "bead", 200.0), Weighed("K-2", "bead", 100.0)],
        added=[Weighed("borax", "borax", 20.0)],
        made=[Weighed("B-1", "bar", 299.5), Weighed("S-1", "slag", 11.0)],
    )
    assert found.missing is not None
    assert found.missing.low == pytest.approx(300 + 20 * borax - 310.5, abs=0.01)
    assert found.verdict is Verdict.CLOSES


def test_melts_and_cold_work_that_lose_several_per_cent_do_not_close() -> None:
    used = [Weighed("K-1", "bead", 300.0)]
    melt = closure_of(Process.POUR, used=used, made=[Weighed("B-1", "bar", 288.0)])
    sort = closure_of(Process.SORT, used=used, made=[Weighed("R-2", "scrap", 295.0)])
    gain = closure_of(Process.SORT, used=used, made=[Weighed("R-2", "scrap", 305.0)])
    assert melt.verdict is Verdict.TOO_LITTLE
    assert sort.verdict is Verdict.TOO_LITTLE
    assert gain.verdict is Verdict.TOO_MUCH


def test_burning_off_takes_what_burns_and_adds_nothing() -> None:
    used = [Weighed("R-1", "sweeps", 1000.0)]

    def left(grams: float) -> Verdict:
        made = [Weighed("A-1", "ash", grams)]
        return closure_of(Process.BURN_OFF, used=used, made=made).verdict

    assert left(600.0) is Verdict.CLOSES
    assert left(1010.0) is Verdict.TOO_MUCH
    assert left(50.0) is Verdict.TOO_LITTLE


def test_what_is_not_weighed_is_named_and_nothing_is_concluded() -> None:
    found = closure_of(
        Process.SMELT,
        used=[Weighed("R-1", "sweeps", 1000.0)],
        added=[Weighed("borax", "borax", None)],
        made=[Weighed("K-1", "button", 120.0), Weighed("S-1", "slag", None)],
    )
    assert found.verdict is Verdict.NOT_WEIGHED
    assert found.lacking == ("borax", "S-1")
    assert found.missing is None


@pytest.mark.parametrize("process", list(Process))
def test_a_work_in_which_nothing_changed_closes(process: Process) -> None:
    found = closure_of(
        process,
        used=[Weighed("K-1", "button", 100.0)],
        made=[Weighed("K-2", "button", 100.0)],
    )
    assert found.verdict is Verdict.CLOSES
