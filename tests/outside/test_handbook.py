"""The handbook against its sources: published tables row by row, formulas by atomic weights.

BER = C. & J. J. Beringer, A Text-book of Assaying, 9th ed., Griffin, London 1904.
"""

from __future__ import annotations

import re

import numpy as np
import periodictable
import pytest

from vault.core.daybook import Process
from vault.core.knowledge import DECLARED, METHODS
from vault.reckoning.cupels import lead_wanted, silver_lost_mg, silver_share_kept
from vault.reckoning.guesses import DEFAULT, fineness_u, loss_of, weight_u
from vault.reckoning.handbook import MARKS, handbook
from vault.reckoning.oxides import left_of, oxide_factor, share_lost

FILES = ("assays", "losses", "residues", "cupels", "oxides", "closing", "melting", "sending")


def tables_of(table: dict[str, object]) -> list[dict[str, object]]:
    """Every innermost table that stands by itself, so that it owes a source."""
    inner = [one for one in table.values() if isinstance(one, dict)]
    if "source" in table or not inner:
        return [table]
    return [found for one in inner for found in tables_of(one)]


@pytest.mark.parametrize("name", FILES)
def test_every_table_of_the_handbook_says_where_it_is_from(name: str) -> None:
    tables = tables_of(handbook(name))
    assert tables
    for table in tables:
        assert table.get("source"), table
        assert table["mark"] in MARKS


@pytest.mark.parametrize("method", [*METHODS, DECLARED])
def test_every_method_has_a_spread_of_its_own(method: str) -> None:
    assert method in handbook("assays")["method"]


def test_the_spread_of_xrf_and_touchstone_is_the_published_one() -> None:
    """Fifteen published pairs of XRF against fire assay: u 4.1 ‰; touchstone 10-20 ‰."""
    assert fineness_u("XRF", "filings", 0.588) == pytest.approx(0.0041)
    assert 0.010 <= fineness_u("touchstone", "scrap", 0.750) <= 0.020


def test_every_process_has_a_loss() -> None:
    for process in Process:
        share, u = loss_of(process, "Ag")
        assert 0.0 <= share < 0.01
        assert u > 0.0


def test_the_melters_allowance_is_within_one_u_of_the_guess() -> None:
    """Coinage Act of 1873, s. 43: 1/1000 of the gold, 1.5/1000 of the silver handled."""
    assert loss_of(Process.SMELT, "Au")[0] == pytest.approx(1 / 1000)
    assert loss_of(Process.SMELT, "Ag")[0] == pytest.approx(1.5 / 1000)


@pytest.mark.parametrize(
    ("copper", "parts"),
    [(0.05, (6, 6)), (0.10, (8, 8)), (0.20, (10, 10)), (0.30, (12, 12)), (0.40, (14, 14))],
)
def test_lead_wanted_for_silver_alloys(copper: float, parts: tuple[int, int]) -> None:
    """BER p. 105, as published."""
    assert lead_wanted(copper) == pytest.approx(parts)


def test_lead_wanted_above_half_copper_is_a_range() -> None:
    """BER p. 105: 16-18 parts from 50 to 100 % copper."""
    assert lead_wanted(0.5) == pytest.approx((16, 18))
    assert lead_wanted(1.0) == pytest.approx((16, 18))


# BER pp. 102-103, means of three, bone ash: (silver mg, lead g, loss mg).
ROWS = [
    (400.0, 10.0, 6.5),
    (400.0, 20.0, 7.0),
    (400.0, 40.0, 12.0),
    (400.0, 60.0, 12.7),
    (12.5, 20.0, 0.7),
    (25.0, 20.0, 1.4),
    (50.0, 20.0, 1.6),
    (100.0, 20.0, 2.9),
    (200.0, 20.0, 5.6),
    (800.0, 20.0, 9.7),
]


@pytest.mark.parametrize(("silver_mg", "lead_g", "loss_mg"), ROWS)
def test_the_fit_of_silver_lost_keeps_to_the_published_rows(
    silver_mg: float, lead_g: float, loss_mg: float
) -> None:
    """BER pp. 102-103; the fit lies within −22 / +17 % of every row."""
    ratio = silver_lost_mg(silver_mg, lead_g) / loss_mg
    assert 0.775 <= ratio <= 1.175


def test_the_tables_of_silver_lost_are_the_published_ones() -> None:
    """BER pp. 102-103, row by row."""
    book = handbook("cupels")
    by_lead = book["silver_lost_with_lead"]
    by_silver = book["silver_lost_with_silver"]
    ours = {
        (by_lead["silver_mg"], lead, loss)
        for lead, loss in zip(by_lead["lead_g"], by_lead["loss_mg"], strict=True)
    } | {
        (silver, by_silver["lead_g"], loss)
        for silver, loss in zip(by_silver["silver_mg"], by_silver["loss_mg"], strict=True)
    }
    assert ours == set(ROWS)


def test_the_share_a_cupel_keeps_falls_as_the_bead_grows() -> None:
    """BER: weight lost goes nearly with the bead's surface."""
    silver = np.array([0.0125, 0.1, 0.4, 0.8, 10.0])
    shares = silver_share_kept(silver, np.full(5, 20.0), silver)
    assert list(shares) == sorted(shares, reverse=True)
    assert shares[2] == pytest.approx(silver_lost_mg(400.0, 20.0) / 400.0)


def test_the_gold_a_cupel_keeps_lies_among_the_published_values() -> None:
    """BER: 0.159 % alone, 0.157, 0.107, 0.057 % with one, two and three parts of silver."""
    table = handbook("cupels")["gold_lost"]
    keep = DEFAULT.keep("spent cupel", "Au")
    assert table["percent_with_silver"] == [0.157, 0.107, 0.057]
    assert min(table["percent_with_silver"]) <= 100 * keep.share <= table["percent"]


def test_the_first_guess_of_silver_in_slag_is_one_per_cent_give_or_take_one() -> None:
    """Common practice, no source: 1 % of the silver fed ± 1 %."""
    keep = DEFAULT.keep("slag of smelting", "Ag")
    assert keep.share == pytest.approx(0.01)
    assert (keep.house**2 + keep.batch**2) ** 0.5 == pytest.approx(1.0)


def test_a_cupel_that_nobody_assayed_is_known_to_a_factor_of_two() -> None:
    """Bench scale, by the note to the fit: a factor of two either way."""
    keep = DEFAULT.keep("spent cupel", "Ag")
    assert 0.5 <= (keep.house**2 + keep.batch**2) ** 0.5 <= 0.7


@pytest.mark.parametrize("compound", list(handbook("oxides")["burnt"])[2:])
def test_oxide_factors_follow_from_atomic_weights(compound: str) -> None:
    """Against the atomic weights of the package periodictable (IUPAC)."""
    metal = handbook("oxides")["burnt"][compound]["metal"]
    formula = periodictable.formula(compound)
    atoms = formula.atoms[getattr(periodictable, metal)]
    expected = formula.mass / (atoms * getattr(periodictable, metal).mass)
    assert oxide_factor(compound) == pytest.approx(expected, abs=6e-5)


@pytest.mark.parametrize("flux", list(handbook("oxides")["flux"])[2:])
def test_flux_losses_follow_from_atomic_weights(flux: str) -> None:
    """Against the atomic weights of the package periodictable (IUPAC)."""
    entry = handbook("oxides")["flux"][flux]
    before, after = (periodictable.formula(entry[name]) for name in ("formula", "left"))
    anchor = next(element for element in before.atoms if element.symbol in {"Na", "K", "Si", "Ca"})
    units = before.atoms[anchor] / after.atoms[anchor]
    expected = 1.0 - units * after.mass / before.mass
    assert share_lost(flux) == pytest.approx(expected, abs=6e-5)


def test_fifty_grams_of_quartz_take_the_published_soda_ash() -> None:
    """BER: 88.5 g; by formula (one Na2CO3 to one SiO2) 88.2 g."""
    soda, quartz = periodictable.formula("Na2CO3"), periodictable.formula("SiO2")
    by_formula = 50.0 * soda.mass / quartz.mass
    assert by_formula == pytest.approx(88.2, abs=0.05)
    assert by_formula == pytest.approx(88.5, rel=0.004)


def test_silver_chloride_holds_the_published_silver() -> None:
    """BER: 75.27 % of silver chloride is silver."""
    expected = periodictable.Ag.mass / periodictable.formula("AgCl").mass
    assert handbook("oxides")["silver_in_chloride"]["share"] == pytest.approx(expected, abs=1e-4)


def test_lead_leaves_as_litharge_and_soda_ash_gives_off_gas() -> None:
    assert left_of("lead") == oxide_factor("PbO")
    assert left_of("soda ash") == pytest.approx(1 - 0.4152)
    assert left_of("a pinch of something") == 1.0


@pytest.mark.parametrize(("grams", "step"), [(100.0, 0.01), (5000.0, 0.1), (50_000.0, 1.0)])
def test_a_weight_without_its_doubt_gets_that_of_a_scale_in_service(
    grams: float, step: float
) -> None:
    """JCGM 100:2008 F.2.2.1 (0.29 of a step) and OIML R 76 class II (± 1 step, a/√3)."""
    expected = step * (0.2887**2 + (1 / 3**0.5) ** 2) ** 0.5
    assert weight_u(grams) == pytest.approx(expected, rel=0.01)


def test_sources_are_words_and_name_no_address() -> None:
    for name in FILES:
        for table in tables_of(handbook(name)):
            assert not re.search(r"https?:|www\.", str(table.get("source", "")))
