"""The shop's scales, kept with the book's settings."""

from __future__ import annotations

import json
from dataclasses import replace

from vault.application.book import Book
from vault.application.changes import Changes
from vault.application.operations.acts import check_scale
from vault.bench.scales import (
    Scale,
    ScaleNotKept,
    insist_on_sense,
    scale_from_words,
    scale_to_words,
)
from vault.core.masses import Mass

_SETTING = "scales"
_USED = "scale_in_use"


def scales(book: Book) -> tuple[Scale, ...]:
    """Give the shop's scales by name; what cannot be read any more is left out."""
    found = (scale_from_words(one) for one in _kept(book))
    return tuple(sorted((one for one in found if one is not None), key=lambda one: one.name))


def scale_in_use(book: Book) -> Scale | None:
    """Give the scale that is listened to; the only one where none was chosen."""
    known = scales(book)
    chosen = book.file.setting(_USED)
    return next((one for one in known if one.name == chosen), known[0] if known else None)


def keep_scale(book: Book, scale: Scale, was: str = "") -> Changes:
    """Keep a scale, in place of the one that `was` called so; it is used from then on.

    Raises:
        ScaleNotKept: when its settings make no sense, or its name is another scale's.
    """
    scale = replace(scale, name=scale.name.strip(), device=scale.device.strip())
    insist_on_sense(scale)
    others = [one for one in scales(book) if one.name != was]
    if any(one.name.casefold() == scale.name.casefold() for one in others):
        raise ScaleNotKept(f"There is a scale called {scale.name} already; choose another name.")
    _keep(book, [*others, scale])
    return use_scale(book, scale.name)


def forget_scale(book: Book, name: str) -> Changes:
    """Forget a scale; what was weighed on it keeps its name."""
    _keep(book, [one for one in scales(book) if one.name != name])
    return Changes(settings=True)


def use_scale(book: Book, name: str) -> Changes:
    """Listen to this scale from now on."""
    book.file.change_setting(_USED, name)
    return Changes(settings=True)


def record_check(book: Book, scale: str, nominal: Mass, showed: Mass, key: str) -> Changes:
    """Record what a scale showed under a test weight.

    Raises:
        RuleBroken: when the check cannot be true.
    """
    return check_scale(book, scale, nominal=nominal, showed=showed, key=key)


def _kept(book: Book) -> list[object]:
    try:
        kept = json.loads(book.file.setting(_SETTING) or "[]")
    except ValueError:  # somebody's hand in the file; scales are set anew then
        return []
    return kept if isinstance(kept, list) else []


def _keep(book: Book, known: list[Scale]) -> None:
    words = [scale_to_words(one) for one in known]
    book.file.change_setting(_SETTING, json.dumps(words, ensure_ascii=False))
