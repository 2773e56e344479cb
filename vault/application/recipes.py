"""Flux recipes: what is put in for every hundred grams of charge; they travel with the book."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from typing import TYPE_CHECKING

from vault.application.changes import Changes
from vault.core.daybook import Process
from vault.core.errors import VaultError
from vault.core.masses import Mass
from vault.core.words import tidied, trouble_with

if TYPE_CHECKING:
    # A book loads the database, which no screen waits for.
    from vault.application.book import Book

_SETTING = "recipes"
_STEP = Mass(100_000)
_MOST_PER_HUNDRED_G = Decimal(1_000)


class RecipeRefused(VaultError):
    """A recipe that cannot be kept."""


@dataclass(frozen=True, slots=True)
class Part:
    """One thing of a recipe: so many grams of it for every hundred grams of charge."""

    thing: str
    per_hundred_g: Decimal


@dataclass(frozen=True, slots=True)
class Recipe:
    """What goes in together.

    Attributes:
        name: what the shop calls it.
        process: the work in which it is offered.
        parts: in the order in which they are weighed.
    """

    name: str
    process: Process
    parts: tuple[Part, ...]


# Proportions that benches begin with (common practice, no source); the shop writes its own.
AT_FIRST = (
    Recipe(
        "flux for sweeps",
        Process.SMELT,
        (
            Part("borax, anhydrous", Decimal(20)),
            Part("soda ash", Decimal(10)),
            Part("silica", Decimal(3)),
        ),
    ),
    Recipe("flux for filings", Process.SMELT, (Part("borax, anhydrous", Decimal(10)),)),
    Recipe("a little borax", Process.REMELT, (Part("borax, anhydrous", Decimal(2)),)),
)


def recipes(book: Book) -> tuple[Recipe, ...]:
    """Give the recipes of the shop; those that benches begin with until it keeps its own."""
    told = book.file.setting(_SETTING)
    if not told:
        return AT_FIRST
    return tuple(
        Recipe(
            one["name"],
            Process(one["process"]),
            tuple(Part(thing, Decimal(per)) for thing, per in one["parts"]),
        )
        for one in json.loads(told)
    )


def keep_recipes(book: Book, kept: Sequence[Recipe]) -> Changes:
    """Keep recipes in place of those before.

    Raises:
        RecipeRefused: when one has no name or a name twice, or asks for an impossible amount.
    """
    for one in kept:
        _refuse_unless_sound(one)
    refuse_a_name_twice(kept)
    told = [
        {
            "name": one.name,
            "process": one.process.value,
            "parts": [[part.thing, str(part.per_hundred_g)] for part in one.parts],
        }
        for one in kept
    ]
    book.file.change_setting(_SETTING, json.dumps(told, ensure_ascii=False))
    return Changes(settings=True)


def scaled(recipe: Recipe, charge: Mass) -> tuple[tuple[str, Mass], ...]:
    """Give what a recipe puts in with a charge, to the tenth of a gram.

    Example:
        >>> scaled(AT_FIRST[2], Mass(150_000_000))
        (('borax, anhydrous', Mass(micrograms=3000000)),)
    """
    return tuple((part.thing, _of(part, charge)) for part in recipe.parts)


def refuse_a_name_twice(kept: Sequence[Recipe]) -> None:
    """Refuse recipes of which two could not be told apart where they are chosen.

    Raises:
        RecipeRefused: when two of one process have one name.
    """
    names: set[tuple[Process, str]] = set()
    for one in kept:
        if (one.process, one.name) in names:
            raise RecipeRefused(f"Two recipes are called “{one.name}”; give one another name.")
        names.add((one.process, one.name))


def recipe_from_text(name: str, process: Process, text: str) -> Recipe:
    """Read a recipe as a person writes it: a line for each thing, `borax 20`.

    Raises:
        RecipeRefused: when a line is no thing with a number behind it.
    """
    parts = []
    for line in text.splitlines():
        if not line.strip():
            continue
        thing, _, number = line.strip().rpartition(" ")
        try:
            per_hundred_g = Decimal(number.replace(",", "."))
        except InvalidOperation:
            per_hundred_g = Decimal("NaN")
        if not thing.strip() or not per_hundred_g.is_finite():
            raise RecipeRefused(
                f"“{line.strip()}” is no part of a recipe; write what it is and how many grams "
                "for 100 g of charge, such as “borax 20”."
            )
        parts.append(Part(tidied(thing), per_hundred_g))
    made = Recipe(tidied(name), process, tuple(parts))
    _refuse_unless_sound(made)
    return made


def text_of(recipe: Recipe) -> str:
    """Write a recipe as a person does."""
    return "\n".join(f"{part.thing} {part.per_hundred_g}" for part in recipe.parts)


def _of(part: Part, charge: Mass) -> Mass:
    exact = charge.micrograms * part.per_hundred_g / 100
    steps = round(exact / _STEP.micrograms)
    return Mass(max(1, steps) * _STEP.micrograms)


def _refuse_unless_sound(recipe: Recipe) -> None:
    if not recipe.name:
        raise RecipeRefused("A recipe needs a name by which it is chosen.")
    if not recipe.parts:
        raise RecipeRefused(f"The recipe “{recipe.name}” is empty; write at least one thing.")
    for word in (recipe.name, *(part.thing for part in recipe.parts)):
        trouble = trouble_with(word)
        if trouble:
            raise RecipeRefused(trouble)
    for part in recipe.parts:
        if not 0 < part.per_hundred_g <= _MOST_PER_HUNDRED_G:
            raise RecipeRefused(
                f"{part.per_hundred_g} g of {part.thing} for 100 g of charge is impossible; it "
                f"lies above nothing and up to {_MOST_PER_HUNDRED_G} g."
            )
