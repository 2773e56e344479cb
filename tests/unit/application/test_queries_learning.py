"""What the house has learnt, asked of a book whose months were told."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import numpy as np
import pytest

from builders import assayed, received, sent, settled, struck, thing, worked
from simulation.learning import CUPEL, SLAG, shop_that_learns
from vault.application.book import Book
from vault.application.figures import tell_months, work_out
from vault.application.operations.recording import import_entries
from vault.application.queries.answers.learning import LearntFactor
from vault.application.queries.learning import learning


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    """Slag assayed in February, and a cupel settled in March."""
    entries = [
        received(1, thing("R-1", "filings", "512.40", "Ag 600 ± 4"), on="2031-01-05"),
        worked(
            2,
            "smelt",
            used="R-1",
            made=[thing("K-1", "button", "330"), thing("S-1", "slag", "240", place="drum D")],
            on="2031-01-20",
        ),
        worked(
            3,
            "cupel",
            used="K-1",
            added=[thing("", "lead", "300"), thing("", "new cupel", "600")],
            made=[thing("B-1", "bead", "305"), thing("C-1", "spent cupel", "900")],
            on="2031-01-21",
        ),
        assayed(4, "S-1", "Ag 20 ± 1", how="ICP", on="2031-02-03"),
        sent(5, "C-1", on="2031-02-10"),
        settled(80, thing("C-1", says="Ag 4.1 ± 0.1", how="settlement")),
        received(120, thing("R-2", "scrap", "80"), lot="L-2", on="2031-05-05"),
    ]
    with Book.create(tmp_path / "our.shop", zone="UTC") as made:
        import_entries(made, entries)
        work_out(made)
        tell_months(made)
        yield made


def factor(book: Book, kind: str) -> LearntFactor:
    return next(one for one in learning(book).factors if (one.kind, one.metal) == (kind, "Ag"))


def test_a_factor_is_told_month_by_month_and_as_believed_now(book: Book) -> None:
    slag = factor(book, SLAG)
    days = [one.day for one in slag.points[:-1]]
    assert days == [
        date(2031, 1, 31),
        date(2031, 2, 28),
        date(2031, 3, 31),
        date(2031, 4, 30),
    ]
    january, february, *_, now = slag.points
    assert january.share == pytest.approx(slag.guess, rel=0.2)
    # The assay of February moved it, and it is surer since.
    assert february.share > 1.2 * january.share
    assert february.u < january.u
    assert now.share == pytest.approx(february.share, rel=0.2)
    assert slag.now is now


def test_a_cupel_settled_in_march_moves_the_cupels_and_is_marked(book: Book) -> None:
    cupel = factor(book, CUPEL)
    by_day = {one.day: one for one in cupel.points}
    assert by_day[date(2031, 3, 31)].u < 0.9 * by_day[date(2031, 2, 28)].u
    [mark] = cupel.marks
    assert (mark.words, mark.entry, mark.is_settlement) == ("V-1 settled", 80, True)
    [assay] = factor(book, SLAG).marks
    assert (assay.words, assay.day, assay.is_settlement) == (
        "assay of S-1",
        date(2031, 2, 3),
        False,
    )


def test_an_assay_of_a_blend_marks_the_kinds_in_it_and_no_other_slag(book: Book) -> None:
    more = [
        worked(130, "smelt", used="R-2", made=[thing("K-2", "button", "70"), thing("S-2", "slag")]),
        worked(131, "remelt", used="K-2", made=[thing("B-2", "bar"), thing("S-3", "slag", "4")]),
        worked(132, "crush", used="S-2", made=[thing("S-4", "slag", "30")]),
        assayed(133, "S-4", "Ag 12 ± 1", how="ICP"),
    ]
    import_entries(book, more)
    work_out(book)
    assert [one.words for one in factor(book, SLAG).marks] == ["assay of S-1", "assay of S-4"]
    assert factor(book, "slag of remelting").marks == ()


def test_a_struck_assay_leaves_no_mark_and_the_months_keep_what_was_believed(book: Book) -> None:
    before = factor(book, SLAG)
    import_entries(book, [struck(130, 4)])
    work_out(book)
    tell_months(book)
    after = factor(book, SLAG)
    assert after.marks == ()
    assert after.points[: len(before.points) - 1] == before.points[:-1]
    assert after.now.u > before.now.u


def test_few_measured_residues_are_told_as_too_few(book: Book) -> None:
    slag = factor(book, SLAG)
    assert (slag.measured, slag.is_enough, slag.drift) == (1, False, None)


def test_before_the_figures_stand_nothing_was_learnt(tmp_path: Path) -> None:
    with Book.create(tmp_path / "new.shop", zone="UTC") as made:
        assert learning(made).factors == ()


def test_a_drift_is_told_with_the_day_of_its_first_work(tmp_path: Path) -> None:
    steady, doubled = (lambda _lot: 1.0), (lambda lot: 2.0 if lot >= 12 else 1.0)
    shop = shop_that_learns(np.random.default_rng(5), 24, {SLAG: steady, CUPEL: doubled})
    with Book.create(tmp_path / "drifts.shop", zone="UTC") as made:
        import_entries(made, shop.entries)
        work_out(made)
        found = factor(made, CUPEL).drift
        assert found is not None
        assert found.entry in shop.works[CUPEL]
        assert found.since == shop.entries[found.entry - 1].when.day
        assert found.after.share > 1.5 * found.before.share
        assert factor(made, CUPEL).measured == found.measured == 24
