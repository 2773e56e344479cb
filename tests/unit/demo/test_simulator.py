"""The parts of the simulator by themselves: chance, stuff, instruments, fire."""

from __future__ import annotations

import pytest

from demo_db.simulator import furnace
from demo_db.simulator.dice import Dice, power
from demo_db.simulator.instruments import assay, doubt_permille, said, weigh
from demo_db.simulator.stuff import NOTHING, PRECIOUS, Stuff, burnt, portions, stuff, total


def test_the_same_name_gives_the_same_chance_and_another_name_another() -> None:
    first = [Dice("a").between(0, 1), Dice("a").between(0, 1), Dice("b").between(0, 1)]
    assert first[0] == first[1] != first[2]


def test_normal_draws_have_mean_nought_and_deviation_one() -> None:
    dice = Dice("normal")
    drawn = [dice.normal() for _ in range(4000)]
    mean = sum(drawn) / len(drawn)
    assert mean == pytest.approx(0.0, abs=0.06)
    assert sum((one - mean) ** 2 for one in drawn) / len(drawn) == pytest.approx(1.0, abs=0.08)


@pytest.mark.parametrize(("base", "exponent"), [(400.0, "0.637"), (0.3, "0.422"), (5e5, "0.637")])
def test_powers_agree_with_the_machines_own(base: float, exponent: str) -> None:
    assert power(base, exponent) == pytest.approx(base ** float(exponent), rel=1e-13)


def test_stuff_never_falls_below_nothing() -> None:
    with pytest.raises(ValueError, match="below nothing"):
        stuff(Ag=1) - stuff(Ag=2)


def test_an_unknown_part_is_refused() -> None:
    with pytest.raises(ValueError, match="Unobtainium"):
        stuff(Unobtainium=1)


def test_portions_add_up_to_the_whole_and_weigh_what_was_asked() -> None:
    whole = stuff(Ag=300, Au=12, Cu=80, grit=8)
    parts = portions(whole, [2_000_000, 150_000_000], 0.02, Dice("portions"))
    assert total(parts) == whole
    assert parts[0].mass_ug == pytest.approx(2_000_000, abs=len(whole.ug))
    assert parts[1].mass_ug == pytest.approx(150_000_000, abs=len(whole.ug))


def test_small_samples_scatter_as_their_sampling_constant_says() -> None:
    """u² = C (1/m − 1/G), Gy's formula from memory, for a metal that is a small share."""
    whole, dice = stuff(Au=1, grit=999), Dice("sampling")
    shares = [portions(whole, [10_000_000], 0.05, dice)[0].share("Au") for _ in range(800)]
    mean = sum(shares) / len(shares)
    spread = (sum((one - mean) ** 2 for one in shares) / len(shares)) ** 0.5 / mean
    assert spread == pytest.approx((0.05 * (1 / 10 - 1 / 1000)) ** 0.5, rel=0.08)


@pytest.mark.parametrize("grams", [2.2, 340.0, 1850.0, 9400.0])
def test_readings_scatter_as_the_scale_states(grams: float) -> None:
    dice = Dice("scale")
    errors = []
    for _ in range(600):
        reading = weigh(round(grams * 1e6), dice)
        errors.append((reading.gross.micrograms - grams * 1e6) / reading.u.micrograms)
    assert sum(errors) / len(errors) == pytest.approx(0.0, abs=0.15)
    assert sum(one * one for one in errors) / len(errors) == pytest.approx(1.0, abs=0.2)


@pytest.mark.parametrize(
    ("method", "permille"), [("fire assay", 958.0), ("XRF", 800.0), ("ICP", 4)]
)
def test_assays_scatter_as_their_method_states(method: str, permille: float) -> None:
    dice = Dice("assay")
    errors = []
    for _ in range(600):
        one = said("Ag", permille / 1000, doubt_permille(method, permille), dice)
        assert one is not None
        assert one.u is not None
        errors.append(float(one.fineness.permille) - permille)
        errors[-1] /= float(one.u.permille)
    assert sum(errors) / len(errors) == pytest.approx(0.0, abs=0.15)
    assert sum(one * one for one in errors) / len(errors) == pytest.approx(1.0, abs=0.2)


def test_what_lies_below_detection_is_not_named() -> None:
    found = assay(stuff(Ag=925, Au=0.01, Cu=75), "XRF", Dice("detection"))
    assert [one.metal for one in found] == ["Ag"]


def test_readings_never_add_up_to_more_than_pure_metal() -> None:
    dice, bead = Dice("pure"), stuff(Ag=300, Au=699.9, Cu=0.1)
    for _ in range(200):
        whole = sum(one.fineness.ppb for one in assay(bead, "XRF", dice))
        assert whole <= 1_000_000_000


FEED = stuff(Ag=300, Au=5, Pd=1, Pt=0.5, Cu=60, Zn=9, Fe=3, Sn=1, grit=30, burnable=8, PbO=2)


def fired(name: str) -> tuple[furnace.Fired, Stuff]:
    dice = Dice(name)
    lead = stuff(Pb=500, Ag=0.009)
    return {
        "burn off": lambda: (furnace.burn_off(FEED, dice), NOTHING),
        "smelt": lambda: (furnace.smelt(FEED, {"borax": 30, "soda ash": 30}, dice), NOTHING),
        "smelt again": lambda: (furnace.smelt(FEED, {"silica": 30}, dice, poor=True), NOTHING),
        "cupel": lambda: (furnace.cupel(FEED, lead, [400.0, 390.0], dice), lead),
        "first pass": lambda: (furnace.cupel(FEED, lead, [900.0], dice, rough=True), lead),
        "remelt": lambda: (furnace.remelt(FEED, 20, dice), NOTHING),
        "pour": lambda: (furnace.pour(FEED, dice), NOTHING),
        "crush": lambda: (furnace.handled(FEED, "crush", dice), NOTHING),
    }[name]()


@pytest.mark.parametrize(
    "name",
    ["burn off", "smelt", "smelt again", "cupel", "first pass", "remelt", "pour", "crush"],
)
def test_fire_conserves_precious_metal_to_the_microgram(name: str) -> None:
    out, added = fired(name)
    whole = total([out.metal, *out.residues, out.lost])
    for metal in PRECIOUS:
        assert whole[metal] == FEED[metal] + added[metal]
    assert out.lost.mass_ug > 0


def test_lead_becomes_litharge() -> None:
    """Pb → PbO is 1.07722 by IUPAC atomic weights."""
    assert burnt(stuff(Pb=100), {"Pb": 1.0})["PbO"] == 107_722_000


def test_chance_gives_the_very_bits_that_it_gave_when_it_was_written() -> None:
    """Another Python or machine must not build another shop."""
    dice = Dice("bits")
    drawn = [dice.normal().hex(), dice.between(1, 3).hex(), dice.parts(3)[0].hex()]
    assert drawn == ["0x1.4b4b2567e3398p-1", "0x1.4bb49cbe47ab1p+0", "0x1.9af458260b122p-2"]
