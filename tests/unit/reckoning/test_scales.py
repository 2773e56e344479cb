"""A doubt in proportion to a content is one in proportion to what is there."""

from __future__ import annotations

import numpy as np
import pytest

from builders import assayed, received, shop_of, thing, worked
from vault.core.daybook import Entry
from vault.core.flow import flow_of
from vault.reckoning.contents import Contents
from vault.reckoning.guesses import DEFAULT, loss_of
from vault.reckoning.reckoner import reckon
from vault.reckoning.scales import scale_of
from vault.reckoning.solved_metal import SolvedMetal


def reckoned(*entries: Entry) -> Contents:
    return reckon(flow_of(shop_of(*entries)))


def feed_scale(contents: Contents, metal: str, work: int) -> float:
    balance = contents.balances[metal]
    assert isinstance(balance, SolvedMetal)
    ground = balance.families[balance.work_family[work]].system.ground
    return float(ground.feeds[np.searchsorted(ground.facts.works.number, work)])


def test_the_scale_is_the_root_of_the_mean_square_of_what_may_be_there() -> None:
    """E[T²] = x² + u², here also by drawing T."""
    x, u = np.array([40.0, 5.0, 0.0]), np.array([1.0, 5.0, 2.0])
    drawn = np.random.default_rng(4).normal(x, u, size=(200_000, 3))
    found = scale_of(x, u, np.full(3, 1000.0))
    assert found == pytest.approx(np.sqrt((drawn**2).mean(axis=0)), rel=0.01)


def test_no_scale_is_nothing_or_more_than_the_whole() -> None:
    x, u = np.array([-5.0, 0.0, 150.0, 30.0]), np.array([0.1, 0.0, 1.0, 1e7])
    found = scale_of(x, u, np.full(4, 100.0))
    assert found[0] == pytest.approx(0.1)
    assert 0.0 < found[1] <= 1e-4
    assert found[2] == 100.0
    # Anywhere between nothing and 100 g has a standard deviation of 100 g/√12.
    assert found[3] == pytest.approx(np.hypot(30.0, 100.0 / np.sqrt(12.0)))


SILVER = "Ag 925 ± 1"
# Nobody named gold in the scrap that was smelted first; the rough assay of a bar, into which its
# button went with gold of another lot, brings it into the account.
UNNAMED = (
    received(1, thing("R", "scrap", "1000 ± 0.01", SILVER)),
    worked(
        2,
        "smelt",
        used="R",
        added=[thing("", "borax", "200")],
        made=[thing("K", "button", "950"), thing("S", "slag", "250")],
    ),
    received(3, thing("G", "grain", "100 ± 0.01", "Au 800 ± 1, Ag 190 ± 1"), lot="L-2"),
    worked(4, "remelt", used="K G", made=[thing("B", "bar", "1048 ± 0.01")]),
    assayed(5, "B", "Au 76.3 ± 5"),
)


def test_slag_of_a_feed_that_reads_nothing_is_as_doubtful_as_what_the_feed_may_hold() -> None:
    """Gold that may be there unnamed, 2 ‰ of 1000 g, may be in the slag by its share.

    The truth is drawn: the stated range of what is lost and kept has to hold it.
    """
    contents = reckoned(*UNNAMED)
    fed, slag, loss = contents.of("R")["Au"], contents.of("S")["Au"], contents.loss(2, "Au")
    assert loss is not None
    assert abs(fed.fine_g) < 0.1 * fed.u_g
    assert fed.u_g == pytest.approx(2.0, rel=0.1)
    assert feed_scale(contents, "Au", 2) == pytest.approx(fed.u_g, rel=0.1)
    keep = DEFAULT.keep("slag of smelting", "Au")
    share, spread = loss_of(worked(1, "smelt", used="R", made=[]).process, "Au")
    random = np.random.default_rng(11)
    count = 20_000
    gold = random.normal(fed.fine_g, fed.u_g, count)
    house, batch = random.normal(0.0, [[keep.house], [keep.batch]], (2, count))
    kept = gold * keep.share * (1.0 + house + batch)
    lost = gold * random.normal(share, spread, count)
    held = np.abs(kept - slag.fine_g) <= 1.96 * slag.u_g
    assert 0.93 <= held.mean() <= 0.985
    assert 0.93 <= (np.abs(lost - loss.fine_g) <= 1.96 * loss.u_g).mean() <= 0.985


def test_a_feed_below_nothing_by_its_first_estimate_has_the_scale_of_its_doubt() -> None:
    """More gold was found in the bead than went in: what is left for the other button is < 0."""
    contents = reckoned(
        received(1, thing("R", "filings", "100 ± 0.01", "Au 500 ± 20, Ag 400 ± 10")),
        worked(2, "sort", used="R", made=[thing("P", "filings", "40"), thing("Q", "scrap", "60")]),
        assayed(3, "P", "Au 990 ± 1"),
        worked(4, "burn off", used="P", made=[thing("P2", "filings", "39.9")]),
        assayed(5, "P2", "Au 990 ± 1"),
        received(6, thing("X", "filings", "100 ± 0.01", "Au 395 ± 1, Ag 400 ± 10"), lot="L-2"),
        worked(7, "sort", used="X", made=[thing("Y", "filings", "40"), thing("Z", "scrap", "60")]),
        assayed(8, "Y", "Au 992 ± 1"),
        worked(9, "burn off", used="Z", made=[thing("Z2", "filings", "50")]),
    )
    below = contents.of("Z")["Au"]
    assert below.fine_g < 0.0
    assert feed_scale(contents, "Au", 9) == pytest.approx(below.u_g, rel=0.1)


def test_nothing_holds_more_than_the_lot_that_it_was_sorted_from() -> None:
    """Nobody knows what either heap holds of 1 g of gold: neither is a scale of tens of grams."""
    contents = reckoned(
        received(1, thing("R", "scrap", "1000 ± 0.01", "Au 1 ± 0.1, Ag 900 ± 5")),
        worked(2, "sort", used="R", made=[thing("P", "scrap", "600"), thing("Q", "scrap", "400")]),
        worked(3, "burn off", used="P", made=[thing("P2", "scrap", "590")]),
        worked(4, "burn off", used="Q", made=[thing("Q2", "scrap", "390")]),
    )
    assert not contents.of("P")["Au"].determinable
    for work in (3, 4):
        assert 0.1 < feed_scale(contents, "Au", work) <= 1.2


def test_a_word_that_is_too_low_counts_no_more_than_one_that_is_too_high() -> None:
    """Two words of a tenth each, 20 % off on either side of an exact figure, pull alike."""
    z = []
    for word in ("400", "600"):
        contents = reckoned(
            received(1, thing("R", "filings", "100 ± 0.001", f"Ag {word}")),
            assayed(2, "R", "Ag 500 ± 0.1"),
        )
        balance = contents.balances["Ag"]
        assert isinstance(balance, SolvedMetal)
        doubts = balance.doubts(int(balance.family[contents.place_of["R"]]))
        z.append(float(np.abs(doubts.z).max()))
    # 100 ‰ off, where the handbook gives 10 ‰ and a tenth of the 500 ‰ that are there.
    assert z == pytest.approx([100.0 / np.hypot(10.0, 50.0)] * 2, rel=0.01)
