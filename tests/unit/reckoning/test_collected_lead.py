"""Lead put into a smelt counts in the cupel that its button goes to."""

from __future__ import annotations

import numpy as np
import pytest

from builders import received, shop_of, thing, worked
from unit.reckoning.grounds import facts
from vault.core.daybook import Entry
from vault.core.flow import flow_of
from vault.reckoning.collected_lead import lead_of_works
from vault.reckoning.cupels import silver_share_kept
from vault.reckoning.handbook import handbook
from vault.reckoning.reckoner import reckon
from vault.reckoning.weights import weights_of

STAYS = handbook("cupels")["collected_lead"]["share"]


def lead(*entries: Entry) -> list[float]:
    found = facts(*entries)
    grams: list[float] = lead_of_works(found, weights_of(found)).tolist()
    return grams


def smelted(lead_g: str = "200 g", button_g: str = "230 g") -> list[Entry]:
    added = [thing("", "lead", lead_g)] if lead_g else []
    made = [thing("K", "button", button_g), thing("S", "slag", "900 g")]
    return [
        received(1, thing("R", "sweeps", "1000 g", "Ag 30")),
        worked(2, "smelt", used="R", made=made, added=added),
    ]


def cupelled(
    number: int, used: str, lead_g: str = "", tag: str = "B", bead_g: str = "20 g"
) -> Entry:
    added = [thing("", "lead", lead_g)] if lead_g else []
    made = [thing(tag, "bead", bead_g), thing(f"C-{tag}", "spent cupel", "5 g")]
    return worked(number, "cupel", used=used, made=made, added=added)


def test_lead_of_the_smelt_and_lead_added_to_the_cupel_count_together() -> None:
    assert lead(*smelted(), cupelled(3, "K", "50 g")) == pytest.approx([200, 50 + STAYS * 200])


def test_a_button_holds_no_more_lead_than_it_weighs() -> None:
    assert lead(*smelted("2000 g"), cupelled(3, "K")) == pytest.approx([2000, 230])


def test_parts_of_a_button_take_their_share_of_its_lead_by_weight() -> None:
    parts = [thing("K1", "button", "57.5 g"), thing("K2", "button", "172.5 g")]
    entries = [
        *smelted(),
        worked(3, "divide", used="K", made=parts),
        cupelled(4, "K1", tag="B1"),
        cupelled(5, "K2", tag="B2"),
    ]
    assert lead(*entries)[2:] == pytest.approx([STAYS * 50, STAYS * 150])


def test_lead_that_a_cupel_has_taken_goes_no_further() -> None:
    entries = [*smelted(), cupelled(3, "K"), cupelled(4, "B", "10 g", tag="B2", bead_g="15 g")]
    assert lead(*entries)[2:] == pytest.approx([10])


def test_buttons_of_several_smelts_bring_their_lead_together() -> None:
    again = worked(
        4,
        "smelt",
        used="R2",
        made=[thing("K2", "button", "150 g"), thing("S2", "slag", "300 g")],
        added=[thing("", "litharge", "100 g")],
    )
    more = received(3, thing("R2", "sweeps", "400 g", "Ag 20"))
    entries = [*smelted(), more, again, cupelled(5, "K K2")]
    assert lead(*entries)[2] == pytest.approx(STAYS * 300)


def test_the_first_guess_of_a_cupel_rises_with_the_lead_of_the_smelt_before_it() -> None:
    """By the fit's own power: the silver fed is the same but for what the guess itself moves."""
    kept = []
    for grams in ("100 g", "200 g"):
        entries = [*smelted(grams), cupelled(3, "K")]
        found = reckon(flow_of(shop_of(*entries)))
        kept.append(found.of("C-B")["Ag"].fine_g)
    assert kept[1] / kept[0] == pytest.approx(
        2.0 ** handbook("cupels")["silver_fit"]["lead_power"], rel=0.02
    )
    silver, brought = np.array([29.5]), np.array([STAYS * 200])
    expected = float(silver_share_kept(silver, brought, np.array([230.0]))[0] * silver[0])
    assert kept[1] == pytest.approx(expected, rel=0.1)
