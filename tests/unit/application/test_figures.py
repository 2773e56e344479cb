"""Working the figures out: all of it, or they stay as they were."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from builders import received, thing
from conftest import Clock
from vault.application.book import Book
from vault.application.figures import are_fresh, work_out
from vault.application.operations.recording import ActionStopped, import_entries
from vault.application.queries.safe import safe
from vault.store.backup import back_up


@pytest.fixture
def book(tmp_path: Path, clock: Clock) -> Iterator[Book]:
    with Book.create(tmp_path / "our.shop", zone="Etc/UTC", clock=clock) as book:
        import_entries(book, [received(1, thing("R-1", "bar", "100", "Ag 990 ± 1"))])
        work_out(book)
        more = received(2, thing("R-2", "bar", "50", "Ag 990 ± 1"), lot="L-2")
        import_entries(book, [more])
        yield book


class Patience:
    """Wants a work stopped at the look after so many steps; it keeps how far it was told."""

    def __init__(self, steps: int) -> None:
        self.left = steps
        self.told: list[tuple[int, int]] = []

    def stopped(self) -> bool:
        self.left -= 1
        return self.left < 0

    def progress(self, done: int, of: int) -> None:
        self.told.append((done, of))


def steps_of(book: Book) -> int:
    """Give how often a work looks whether it should stop."""
    patience = Patience(1000)
    work_out(book, patience.progress, patience.stopped)
    assert patience.told[-1] == (patience.told[-1][1],) * 2
    return 1000 - patience.left


def test_stopped_at_any_step_the_figures_stay_as_they_were(book: Book, tmp_path: Path) -> None:
    before = safe(book)
    reckoned = book.reckoned
    back_up(book.file, tmp_path / "other.shop")
    with Book.open(tmp_path / "other.shop", clock=book.clock) as other:
        steps = steps_of(other)
    assert steps > 3
    for many in range(steps):
        patience = Patience(many)
        with pytest.raises(ActionStopped, match="the figures stay as they were"):
            work_out(book, patience.progress, patience.stopped)
        assert safe(book) == before
        assert book.reckoned is reckoned
    assert not are_fresh(book)
    patience = Patience(steps)
    work_out(book, patience.progress, patience.stopped)
    assert safe(book).cards != before.cards
    assert are_fresh(book)
