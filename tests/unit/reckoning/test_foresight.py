"""What a work would give, told before it is recorded, is what recording it gives."""

from __future__ import annotations

import numpy as np
import pytest

from builders import assayed, received, shop_of, thing, worked
from simulation.shops import SCENARIOS, Scenario, simulated
from vault.core.daybook import Act, Entry, Role
from vault.core.flow import flow_of
from vault.core.knowledge import How
from vault.core.shop import Shop
from vault.reckoning.contents import Content, Contents
from vault.reckoning.foresight import Foresight, foresee, known_of
from vault.reckoning.reckoner import reckon
from vault.reckoning.row_pile import RowKind

LOT = received(1, thing("R-1", "filings", "300 ± 0.01", "Ag 800 ± 8"))
BUTTON = worked(
    2,
    "smelt",
    used="R-1",
    added=[thing("", "borax", "50")],
    made=[thing("K-1", "button", "260"), thing("S-1", "slag", "60")],
)


def used_in(entry: Entry) -> list[str]:
    return [line.tag for line in entry.lines if line.role is Role.USED]


def foreseen(before: tuple[Entry, ...], *works: Entry, reckoned: int | None = None) -> Foresight:
    """Foresee works after some entries, with figures of all of them or of the first so many."""
    shop = shop_of(*before)
    told = before if reckoned is None else before[:reckoned]
    contents = reckon(flow_of(shop_of(*told)))
    tags = [tag for work in works for tag in used_in(work) if tag in shop.items]
    known = known_of(contents, tags, told[-1].number if told else 0)
    return foresee(known, [shop.items[tag] for tag in dict.fromkeys(tags)], works)


def recorded(*entries: Entry) -> Contents:
    return reckon(flow_of(shop_of(*entries)))


def agree(told: Content, real: Content, *, u: float = 0.1, doubt: float = 0.05) -> None:
    assert told.how is real.how
    assert told.fine_g == pytest.approx(real.fine_g, abs=u * real.u_g)
    assert told.u_g == pytest.approx(real.u_g, rel=doubt)


CUPEL = worked(
    3,
    "cupel",
    used="K-1",
    added=[thing("", "lead", "120"), thing("", "magnesia cupel", "386")],
    made=[thing("B-1", "bead", "236", "Ag 992 ± 3"), thing("C-1", "spent cupel", "520")],
)


def test_a_cupellation_is_told_as_it_will_be_worked_out() -> None:
    silver = foreseen((LOT, BUTTON), CUPEL).metals["Ag"]
    real = recorded(LOT, BUTTON, CUPEL)
    for tag in ("B-1", "C-1"):
        agree(silver.made[tag], real.of(tag)["Ag"])
    agree(silver.after["K-1"], real.of("K-1")["Ag"])
    loss = real.loss(3, "Ag")
    assert loss is not None
    assert silver.loss is not None
    assert silver.loss.fine_g == pytest.approx(loss.fine_g, abs=0.1 * loss.u_g)
    assert silver.loss.u_g == pytest.approx(loss.u_g, rel=0.05)


def test_a_bead_of_known_fineness_teaches_what_the_button_held() -> None:
    silver = foreseen((LOT, BUTTON), CUPEL).metals["Ag"]
    before = recorded(LOT, BUTTON).of("K-1")["Ag"]
    assert silver.before["K-1"].fine_g == pytest.approx(before.fine_g)
    assert silver.before["K-1"].u_g == pytest.approx(before.u_g)
    assert silver.after["K-1"].u_g < 0.6 * before.u_g
    assert silver.fed.fine_g == pytest.approx(before.fine_g)
    assert silver.fed.u_g == pytest.approx(before.u_g)


def test_a_bead_that_holds_more_than_went_in_pulls_hard() -> None:
    heavy = worked(3, "remelt", used="K-1", made=[thing("B-1", "bead", "320 ± 0.1", "Ag 999 ± 1")])
    light = worked(3, "remelt", used="K-1", made=[thing("B-1", "bead", "240 ± 0.1", "Ag 990 ± 5")])
    assert foreseen((LOT, BUTTON), heavy).metals["Ag"].pull > 5.0
    assert foreseen((LOT, BUTTON), heavy).metals["Ag"].pulling in set(RowKind)
    assert foreseen((LOT, BUTTON), light).metals["Ag"].pull < 3.0


def test_a_part_of_an_item_is_foreseen_through_its_divide() -> None:
    divide = worked(
        2,
        "divide",
        used="R-1",
        made=[thing("R-2", "filings", "100"), thing("R-3", "filings", "200")],
    )
    melt = worked(3, "remelt", used="R-2", made=[thing("B-1", "button", "99")])
    silver = foreseen((LOT,), divide, melt).metals["Ag"]
    real = recorded(LOT, divide, melt)
    agree(silver.made["B-1"], real.of("B-1")["Ag"])
    agree(
        Content(silver.fed.fine_g, silver.fed.u_g, How.WORKED_OUT),
        recorded(LOT, divide).of("R-2")["Ag"],
    )
    assert list(silver.made) == ["B-1"]
    assert list(silver.before) == ["R-1"]


def test_metal_that_is_added_goes_in() -> None:
    inquart = worked(
        2,
        "remelt",
        used="G-1",
        added=[thing("", "silver", "25", "Ag 999 ± 1")],
        made=[thing("B-1", "button", "34.9")],
    )
    gold = received(1, thing("G-1", "filings", "10", "Au 900 ± 2, Ag 60 ± 5"))
    told = foreseen((gold,), inquart).metals
    real = recorded(gold, inquart)
    agree(told["Ag"].made["B-1"], real.of("B-1")["Ag"])
    agree(told["Au"].made["B-1"], real.of("B-1")["Au"])
    assert told["Ag"].fed.fine_g == pytest.approx(0.6 + 24.975)


def test_silver_that_nobody_named_in_gold_is_bounded_by_what_the_gold_leaves() -> None:
    """990 ‰ of gold leave 10 ‰, known to 2 ‰: 0 ± 12 ‰/√3 of 10 g (decision 14)."""
    gold = received(1, thing("G-1", "filings", "10", "Au 990 ± 2"))
    silver = [thing("", "silver", "25", "Ag 999 ± 1")]
    inquart = worked(2, "remelt", used="G-1", added=silver, made=[thing("B-1", "button", "34.9")])
    told = foreseen((gold,), inquart).metals["Ag"]
    assert told.before["G-1"].fine_g == 0.0
    assert told.before["G-1"].u_g == pytest.approx(0.12 / np.sqrt(3.0))
    agree(told.after["G-1"], recorded(gold, inquart).of("G-1")["Ag"])


def test_an_item_that_the_figures_do_not_know_yet_counts_with_what_was_declared() -> None:
    second = received(2, thing("R-2", "filings", "100", "Ag 925 ± 5"), lot="L-2")
    melt = worked(3, "remelt", used="R-1 R-2", made=[thing("B-1", "bar", "399")])
    told = foreseen((LOT, second), melt, reckoned=1).metals["Ag"]
    real = recorded(LOT, second, melt)
    agree(told.made["B-1"], real.of("B-1")["Ag"])
    agree(told.before["R-2"], recorded(LOT, second).of("R-2")["Ag"])


def test_an_assay_that_came_after_the_figures_counts() -> None:
    entries = (LOT, assayed(2, "R-1", "Ag 790 ± 1"))
    melt = worked(3, "remelt", used="R-1", made=[thing("B-1", "bar", "299")])
    told = foreseen(entries, melt, reckoned=1).metals["Ag"]
    agree(told.made["B-1"], recorded(*entries, melt).of("B-1")["Ag"])


def test_with_no_figures_at_all_words_and_assays_are_what_is_known() -> None:
    melt = worked(2, "remelt", used="R-1", made=[thing("B-1", "bar", "299")])
    told = foreseen((LOT,), melt, reckoned=0).metals["Ag"]
    agree(told.made["B-1"], recorded(LOT, melt).of("B-1")["Ag"])


def test_what_nobody_said_anything_of_stays_not_known() -> None:
    entries = (LOT, received(2, thing("X-1", "sweeps", "500"), lot="L-2"))
    melt = worked(3, "smelt", used="R-1 X-1", made=[thing("B-1", "button", "299")])
    told = foreseen(entries, melt).metals["Ag"]
    assert told.before["X-1"].how is How.NOT_KNOWN
    assert told.made["B-1"].how is How.NOT_KNOWN
    assert told.fed.how is How.NOT_KNOWN
    assert recorded(*entries, melt).of("B-1")["Ag"].how is How.NOT_KNOWN


def test_gold_that_nobody_named_in_spoken_of_silver_is_no_part_of_it() -> None:
    gold = received(2, thing("G-1", "filings", "10", "Au 750 ± 5"), lot="L-2")
    melt = worked(3, "remelt", used="R-1 G-1", made=[thing("B-1", "button", "309")])
    told = foreseen((LOT, gold), melt).metals
    real = recorded(LOT, gold, melt)
    for metal in ("Ag", "Au"):
        agree(told[metal].made["B-1"], real.of("B-1")[metal])
    assert list(told["Au"].before) == ["G-1"]


def test_a_work_of_which_nothing_came_out_yet_tells_what_goes_in() -> None:
    silver = foreseen((LOT, BUTTON), worked(3, "cupel", used="K-1", made=[])).metals["Ag"]
    assert silver.loss is None
    assert silver.made == {}
    assert silver.after == silver.before
    assert silver.fed.fine_g == pytest.approx(recorded(LOT, BUTTON).of("K-1")["Ag"].fine_g)


def test_a_thing_not_weighed_is_worked_out() -> None:
    told = foreseen(
        (LOT,),
        worked(2, "smelt", used="R-1", made=[thing("K-1", "button", "260"), thing("S-1", "slag")]),
    )
    grams, u = told.gross["S-1"]
    assert 10.0 < grams < 60.0
    assert u > 5.0


@pytest.mark.parametrize("scenario", SCENARIOS, ids=lambda one: one.name)
def test_works_of_random_shops_are_foreseen_as_they_are_worked_out(scenario: Scenario) -> None:
    """Estimates within 0.1 u, doubts within 5 %: what is left is the scale of earlier doubts."""
    off, wide = [], []
    entries = simulated(scenario, 7).entries
    works = [at for at, entry in enumerate(entries) if entry.act is Act.WORK]
    for at in np.random.default_rng(7).choice(works, 6, replace=False).tolist():
        shop = Shop()
        for entry in entries[:at]:
            shop.take(entry)
        tags = used_in(entries[at])
        known = known_of(reckon(flow_of(shop)), tags, entries[at - 1].number)
        told = foresee(known, [shop.items[tag] for tag in tags], [entries[at]])
        shop.take(entries[at])
        real = reckon(flow_of(shop))
        for metal, one in told.metals.items():
            for tag, content in {**one.after, **one.made}.items():
                now = real.of(tag)[metal]
                assert content.how is now.how
                if now.determinable:
                    off.append(abs(content.fine_g - now.fine_g) / now.u_g)
                    wide.append(abs(content.u_g / now.u_g - 1.0))
    assert len(off) > 15
    assert np.max(off) < 0.1
    assert np.max(wide) < 0.05
