"""One more entry in a book of 100 000 items in families: saved, and the figures after it."""

from __future__ import annotations

import shutil
import statistics
import time
from pathlib import Path

import numpy as np
import pytest

from performance.book_files import book_of_families
from performance.conftest import HUNDRED_THOUSAND
from performance.table import Measured, Table, seconds_of, spaced, time_words
from vault.application.book import Book
from vault.application.figures import reckon_all, settle_figures
from vault.application.operations.recording import Draft, new_key, record
from vault.application.taking_in import take_in
from vault.core.daybook import Act, Line, Process, Role, Said
from vault.core.fineness import Fineness
from vault.core.flow import flow_of
from vault.core.items import State
from vault.core.masses import Mass
from vault.core.shop import Shop
from vault.reckoning.contents import Contents, Floats
from vault.reckoning.reckoner import reckon

SAVES = 40


@pytest.fixture
def families(books: Path, tmp_path: Path) -> Path:
    """A book of its own, since the test writes in it."""
    kept = book_of_families(books / "families.shop", HUNDRED_THOUSAND, with_figures=False)
    return Path(shutil.copy(kept, tmp_path / "families.shop"))


def assay_of(tag: str, permille: int) -> Draft:
    said = Said("Ag", Fineness(permille * 1_000_000), Fineness(1_000_000))
    return Draft(Act.ASSAY, (Line(Role.OF, tag=tag, how="fire assay", contents=(said,)),))


def smelting_of(tag: str, number: int) -> Draft:
    """Smelt a cupel with borax, which gives a button and a slag."""
    return Draft(
        Act.WORK,
        (
            Line(Role.USED, tag=tag),
            Line(Role.ADDED, form="borax, anhydrous", gross=Mass(300_000_000)),
            Line(Role.MADE, tag=f"N-{number}", form="button", gross=Mass(4_000_000), place="tray"),
            Line(Role.MADE, tag=f"M-{number}", form="slag", place="drum D"),
        ),
        Process.SMELT,
    )


def drafts_for(shop: Shop) -> list[Draft]:
    """Give entries by turns of every kind, in lots far from each other."""
    here = [item for item in shop.items.values() if item.state is State.ON_HAND]
    bars = [item.tag for item in here if item.form == "bar"]
    cupels = [item.tag for item in here if item.form == "spent cupel"]
    step = len(bars) // SAVES
    return [
        assay_of(bars[at * step], 992) if at % 2 else smelting_of(cupels[at * step + 9], at)
        for at in range(SAVES)
    ]


def grams_of(contents: Contents, tags: list[str]) -> Floats:
    return contents.balances["Ag"].estimates[contents.places(tags)]


def test_one_entry_is_saved_and_taken_in_in_a_book_of_100_000_items(
    families: Path, table: Table
) -> None:
    saved: list[float] = []
    taken: list[float] = []
    with Book.open(families, operator="Imke") as book:
        book.reckoned = reckon_all(book)
        drafts = drafts_for(book.reckoned.shop)
        commit = seconds_of(lambda: book.file.change_setting("currency", "EUR"), 15)
        for draft in drafts:
            start = time.perf_counter()
            record(book, draft, key=new_key())
            saved.append(time.perf_counter() - start)
            start = time.perf_counter()
            take_in(book)
            taken.append(time.perf_counter() - start)
        shop, contents = book.reckoned.shop, book.reckoned.contents
        start = time.perf_counter()
        settle_figures(book)
        settled = time.perf_counter() - start
    tags = list(shop.items)
    anew = reckon(flow_of(shop))
    assert np.array_equal(grams_of(anew, tags), grams_of(contents, tags), equal_nan=True)
    both = [one + other for one, other in zip(saved, taken, strict=True)]
    median, slow = statistics.median(both), sorted(both)[-3]
    table.add(
        Measured(
            2, "one entry saved and the figures of its family after it, kept in the file",
            f"{spaced(len(tags))} items in families", time_words(median),
            target="≤ 50 ms", met=median <= 0.05,
            remark=f"saving {time_words(statistics.median(saved))}, of it about "
            f"{time_words(commit)} on the way to the disk; figures "
            f"{time_words(statistics.median(taken))}; 95 of 100 within {time_words(slow)}. The "
            f"sums over the whole book follow once nobody records, in {time_words(settled)}",
        )
    )  # fmt: skip
