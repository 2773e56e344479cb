"""Striking an entry: what stands in the way, and which entry was the last."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from vault.application.book import Book
from vault.application.queries.answers.daybook import DaybookRow, WhatLeans
from vault.application.queries.daybook import NoSuchEntry, daybook_rows, strike_asked_for
from vault.application.wording import PLAIN, Numbers
from vault.core.daybook import Act
from vault.core.rules import faults_of
from vault.store.entries import load_entry, load_some, shop_for


def what_leans_on(book: Book, number: int, style: Numbers = PLAIN) -> WhatLeans:
    """Tell which entries would refuse a strike of this one, and why.

    Raises:
        NoSuchEntry: when there is none of that number.
    """
    with book.file.reading() as connection:
        recorded = load_entry(connection, number)
        if recorded is None:
            raise NoSuchEntry(f"There is no entry {number} in this book.")
        asked = strike_asked_for(recorded.entry)
        shop = shop_for(connection, asked)
        # As the next entry that it would be; when it was made is of no matter here.
        when = recorded.entry.when if shop.latest is None else shop.latest
        strike = replace(
            asked, number=shop.last_number + 1, when=when, by=book.operator or asked.by
        )
        refused = faults_of(strike, shop)
        can_lean = recorded.struck_by is None and recorded.entry.act is not Act.STRIKE
        leaning = shop.leaning_on(number) if can_lean else []
    rows = daybook_rows(book, (number, *reversed(leaning)), style)
    return WhatLeans(rows[0], rows[1:], " ".join(fault.sentence for fault in refused))


def last_entry_of(book: Book, numbers: Iterable[int], style: Numbers = PLAIN) -> DaybookRow | None:
    """Give the last of these entries that still stands and is no strike; None where none does."""
    with book.file.reading() as connection:
        standing = [
            one.entry.number
            for one in load_some(connection, numbers)
            if one.struck_by is None and one.entry.act is not Act.STRIKE
        ]
    return daybook_rows(book, (standing[-1],), style)[0] if standing else None
