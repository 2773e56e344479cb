"""The next assay: its words, and where they stand on the screen."""

from __future__ import annotations

from dataclasses import replace

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from screens.holding import Holder, pick
from screens.invented_residues import InventedResidues, next_assay
from vault.screens.background import Background
from vault.screens.house_style import HouseStyle
from vault.screens.numbers import Numbers
from vault.screens.residues.next_assay import next_assay_words, sample_words
from vault.screens.residues.screen import ResiduesScreen

NUMBERS = Numbers()
COSTS = "It costs about 95 EUR; for deciding what to do it is worth about"


def test_a_drum_is_named_with_what_its_sample_would_do() -> None:
    told = next_assay_words(next_assay("drum D"), NUMBERS)
    assert told == (
        "Next assay to make: a sample of drum D (slag). It would cut the doubt about the silver in "
        "all the residues from ± 30 g to ± 21 g."
    )


def test_two_that_are_worth_it_only_together_are_named_together() -> None:
    told = next_assay_words(next_assay("tub 2", "drum D"), NUMBERS)
    assert "samples of tub 2 (slag) and drum D (slag). They would cut" in told


def test_a_single_thing_is_named_by_its_tag() -> None:
    told = next_assay_words(next_assay("drum D", tag="S-0012"), NUMBERS)
    assert "a sample of S-0012 (slag)." in told


def test_where_none_helps_it_says_so() -> None:
    told = next_assay_words(next_assay(), NUMBERS)
    assert told == "No single assay would make the silver in all the residues much surer."


@pytest.mark.parametrize(
    ("worth", "told"),
    [
        (None, "It costs about 95 EUR."),
        (0.3, "It costs about 95 EUR and would change nothing about what to do."),
        (41.0, f"{COSTS} 41 EUR: that is less."),
        (140.0, f"{COSTS} 140 EUR: it pays for itself."),
    ],
)
def test_its_cost_and_what_it_saves_are_told_in_money(worth: float | None, told: str) -> None:
    found = replace(next_assay("drum D"), cost=95.2, worth=worth, currency="EUR")
    assert next_assay_words(found, NUMBERS).endswith(f"to ± 21 g. {told}")


def test_what_nobody_knows_is_named_and_many_places_are_counted() -> None:
    told = sample_words(next_assay("drum D"), NUMBERS)
    assert told.endswith("Nothing is known of the dust in tin 5: only an assay can tell.")
    many = replace(next_assay(), not_known=tuple((f"tin {at}", "dust") for at in range(9)))
    told = sample_words(many, NUMBERS)
    assert "the dust in tin 0, the dust in tin 1 and that in 7 more places" in told


def test_how_to_sample_is_told_with_its_doubt_and_its_danger() -> None:
    told = sample_words(next_assay("drum D"), NUMBERS)
    assert "Crush and blend all 38 things in drum D, and take about 500 g" in told
    assert "good to about ± 3.7 % of the content" in told
    assert "wear a mask" in told


def test_it_stands_on_the_screen_for_the_metal_of_choice(
    qtbot: QtBot, holder: Holder, background: Background, style: HouseStyle
) -> None:
    screen = ResiduesScreen(InventedResidues().questions(), background, style, holder.commands)
    holder.show_screen(screen)
    screen.show_book("book")
    note = screen.locked.next_assay
    qtbot.waitUntil(lambda: "a sample of drum D" in note.words.text(), timeout=20_000)
    assert note.isVisible()
    assert note.words.textFormat() is Qt.TextFormat.PlainText
    assert "Crush and blend" in note.toolTip()
    # Of gold nothing would help; no words are better than those about another metal.
    qtbot.waitUntil(lambda: screen.chart.metal.text() == "Ag")
    pick(screen.chart.metal, "Au")
    qtbot.waitUntil(note.isHidden)
    screen.show_book(None)
