"""Flux recipes: scaled to the charge, kept with the book, refused in a sentence."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path

import pytest

from builders import mass
from vault.application.book import Book
from vault.application.recipes import (
    AT_FIRST,
    Part,
    Recipe,
    RecipeRefused,
    keep_recipes,
    recipe_from_text,
    recipes,
    scaled,
    text_of,
)
from vault.core.daybook import Process

SWEEPS = Recipe(
    "for sweeps",
    Process.SMELT,
    (Part("borax, anhydrous", Decimal(20)), Part("soda ash", Decimal("7.5"))),
)


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    with Book.create(tmp_path / "a.shop", zone="UTC") as made:
        yield made


def test_a_recipe_is_scaled_to_the_charge_to_a_tenth_of_a_gram() -> None:
    assert scaled(SWEEPS, mass("412.3")) == (
        ("borax, anhydrous", mass("82.5")),
        ("soda ash", mass("30.9")),
    )


def test_a_tiny_charge_still_gets_something_of_each() -> None:
    assert [weight for _, weight in scaled(SWEEPS, mass("0.01"))] == [mass("0.1")] * 2


def test_a_new_book_has_recipes_to_begin_with(book: Book) -> None:
    assert recipes(book) == AT_FIRST
    assert {one.process for one in AT_FIRST} == {Process.SMELT, Process.REMELT}


def test_what_the_shop_keeps_travels_with_the_book(book: Book) -> None:
    assert keep_recipes(book, [SWEEPS]).settings
    path = book.path
    book.close()
    with Book.open(path) as again:
        assert recipes(again) == (SWEEPS,)
        keep_recipes(again, [])
        assert recipes(again) == ()


def test_a_recipe_is_written_as_a_person_does() -> None:
    read = recipe_from_text("for  sweeps ", Process.SMELT, "borax, anhydrous 20\n\nsoda ash 7,5\n")
    assert read == SWEEPS
    assert text_of(read) == "borax, anhydrous 20\nsoda ash 7.5"


@pytest.mark.parametrize(
    ("name", "text", "sentence"),
    [
        ("", "borax 20", "A recipe needs a name by which it is chosen."),
        ("x", " \n", "The recipe “x” is empty; write at least one thing."),
        ("x", "borax", "“borax” is no part of a recipe; write what it is and how many grams"),
        ("x", "borax much", "“borax much” is no part of a recipe"),
        ("x", "20", "“20” is no part of a recipe"),
        ("x", "borax NaN", "“borax NaN” is no part of a recipe"),
        ("x", "borax 0", "0 g of borax for 100 g of charge is impossible"),
        ("x", "borax -5", "-5 g of borax for 100 g of charge is impossible"),
        ("x", "borax 1001", "lies above nothing and up to 1000 g"),
        ("x", "=borax 20", "which a spreadsheet would run as a formula"),
    ],
)
def test_a_recipe_that_makes_no_sense_is_refused(name: str, text: str, sentence: str) -> None:
    with pytest.raises(RecipeRefused) as refused:
        recipe_from_text(name, Process.SMELT, text)
    assert sentence in str(refused.value)


def test_a_name_stands_for_one_recipe_of_a_process(book: Book) -> None:
    other = Recipe(SWEEPS.name, Process.REMELT, SWEEPS.parts)
    keep_recipes(book, [SWEEPS, other])
    with pytest.raises(RecipeRefused, match="Two recipes are called “for sweeps”"):
        keep_recipes(book, [SWEEPS, SWEEPS])
    assert len(recipes(book)) == 2
