"""What the tests in a real window stand on: a screen, and a pair of hands before it."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from end_to_end.real_window import Hand, HandScanner, unseen_screen


@pytest.fixture
def display() -> Iterator[str]:
    """Give a screen that nobody sees."""
    with unseen_screen() as name:
        yield name


@pytest.fixture
def hand(display: str) -> Hand:
    """Give a hand at its keyboard."""
    return Hand(display)


@pytest.fixture
def scanner(display: str) -> Iterator[HandScanner]:
    """Give a hand scanner that is plugged in."""
    made = HandScanner(display)
    yield made
    made.close()
