"""Checks of scales, and what was weighed on one that was out of its limits."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from builders import mass, thing
from conftest import Clock
from vault.application.book import Book
from vault.application.operations.acts import check_scale, receive_lot, strike_entry, weigh
from vault.application.queries.daybook import findings
from vault.application.queries.items import item_detail
from vault.application.queries.scales import last_checks
from vault.application.scales import keep_scale
from vault.bench.scales import Scale
from vault.core.daybook import Terms

BENCH = Scale("bench", "/dev/ttyUSB0", interval=mass("0.01 g"), accuracy_class="II")


@pytest.fixture
def book(tmp_path: Path, clock: Clock) -> Iterator[Book]:
    with Book.create(tmp_path / "shop.shop", zone="UTC", operator="Imke", clock=clock) as made:
        keep_scale(made, BENCH)
        receive_lot(
            made,
            [thing("R-1", "filings", gross="100 g")],
            lot="L-1",
            party="Pennant",
            terms=Terms.TOLL,
            key="receive",
        )
        yield made


def check(book: Book, showed: str, key: str) -> None:
    check_scale(book, "bench", nominal=mass("200 g"), showed=mass(showed), key=key)


def history(book: Book) -> list[str]:
    return [one.words for one in item_detail(book, "R-1").history]


def weighed(book: Book, key: str, scale: str = "bench") -> None:
    weigh(book, "R-1", mass("100 g"), scale=scale, key=key)


OFF = "weighed on bench, which was out of its limits on 1 Mar 2031"


def test_the_last_check_tells_whether_the_scale_is_within_its_limits(book: Book) -> None:
    """Class II in service, 200 g with e = 10 mg: 20 000 e, so ± 2 e = 20 mg (OIML R 76)."""
    assert last_checks(book) == {}
    check(book, "200.02 g", "one")
    told = last_checks(book)["bench"]
    assert (told.limit, told.error, told.is_within) == (mass("0.02 g"), mass("0.02 g"), True)
    check(book, "199.97 g", "two")
    assert last_checks(book)["bench"].is_within is False


def test_a_scale_without_limits_is_neither_in_nor_out_of_them(book: Book) -> None:
    keep_scale(book, replace(BENCH, interval=None, accuracy_class=""), "bench")
    check(book, "250 g", "one")
    weighed(book, "two")
    assert last_checks(book)["bench"].is_within is None
    assert findings(book) == ()


def test_weighings_after_a_failed_check_are_marked_until_the_next_one(book: Book) -> None:
    weighed(book, "before")
    check(book, "200.05 g", "failed")
    weighed(book, "while off")
    weighed(book, "on another", "yard")
    check(book, "200.01 g", "good")
    weighed(book, "after")
    assert [OFF in one for one in history(book)] == [False, False, True, False, False]
    (found,) = findings(book)
    assert found.words == (
        "1 weighing on the scale bench came after its check of 1 Mar 2031, at which it showed "
        "200.05 g under 200 g; it may be off by 0.02 g. Have the scale set right, check it, and "
        "weigh these again."
    )
    assert (found.tags, found.entries, found.severity) == (("R-1",), (3, 4), "look")


def test_a_struck_weighing_is_no_finding_and_a_struck_check_marks_nothing(book: Book) -> None:
    check(book, "200.05 g", "failed")
    weighed(book, "while off")
    assert len(findings(book)) == 1
    strike_entry(book, 3, reason="typed twice", key="strike weighing")
    assert findings(book) == ()
    weighed(book, "again")
    assert len(findings(book)) == 1
    strike_entry(book, 2, reason="wrong weight", key="strike check")
    assert findings(book) == ()
    assert not any(OFF in one for one in history(book))
