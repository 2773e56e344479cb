"""A letter from the shop: its head, and a text that was worked out elsewhere."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from vault.application.book import Book


@dataclass(frozen=True, slots=True)
class Letter:
    """Everything that a letter says.

    Attributes:
        shop: what the shop calls itself.
        by: who signs; empty where nobody is named.
        day: of the letter.
        about: what it is about, in a few words.
        paragraphs: its text.
    """

    shop: str
    by: str
    day: date
    about: str
    paragraphs: tuple[str, ...]


def letter_of(book: Book, about: str, text: str) -> Letter:
    """Give a letter of today; an empty line of the text ends a paragraph."""
    return Letter(
        shop=book.shop_name,
        by=book.operator or "",
        day=book.clock().astimezone(book.zone).date(),
        about=about,
        paragraphs=tuple(one for one in text.split("\n\n") if one.strip()),
    )
