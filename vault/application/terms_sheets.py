"""The shop's terms sheets, kept with the book's settings: versions, validity, what an entry named.

A sheet is known by its refinery and its name. A version is never altered or thrown away once a
shipment could have gone under it; what the refinery changes is the next version. From the day on
which a version begins, the older ones of that sheet hold no more, also where their own paper names
no last day and also once the new one has ended: what a refinery once changed does not come back by
itself.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from vault.application.book import Book
from vault.application.changes import Changes
from vault.application.exchange.open_text import OpenTextRefused
from vault.application.exchange.terms_text import sheets_from_text, sheets_to_text
from vault.core.errors import VaultError
from vault.core.rules.terms_sheets import SheetFault, TermsRefused, insist_on_sense
from vault.core.terms_sheets import TermsSheet
from vault.store.terms_sheets import terms_of_shipments

_SETTING = "terms_sheets"
_LARGEST_FILE = 5_000_000
_NAMED_VERSION = re.compile(r"(.*) \(version (\d{1,6})\)\Z", re.ASCII)


class TermsNotKept(VaultError):
    """Sheets that cannot be kept, taken away or read as they are; the book is as it was."""


@dataclass(frozen=True, slots=True)
class SheetsRead:
    """What came of reading a file of sheets.

    Attributes:
        kept: the versions that are new in the book, as it keeps them.
        already: how many it held already, word for word.
        changes: what changed in the book.
    """

    kept: tuple[TermsSheet, ...]
    already: int
    changes: Changes


def terms_sheets(book: Book) -> tuple[TermsSheet, ...]:
    """Give every version of every sheet, by refinery and name, the newest first.

    Raises:
        TermsNotKept: when the text that the book keeps cannot be read.
    """
    told = book.file.setting(_SETTING)
    if not told:
        return ()
    try:
        kept = sheets_from_text(told)
    except OpenTextRefused as error:
        raise TermsNotKept(
            f"The terms sheets of this book cannot be read: {error} Take them back from a backup; "
            "until then none is kept or shown."
        ) from error
    return tuple(sorted(kept, key=lambda one: (*_words_of(one), -one.version)))


def sheets_on(sheets: Iterable[TermsSheet], day: date) -> tuple[TermsSheet, ...]:
    """Give the versions that are valid on a day, one of each sheet at most."""
    newest: dict[tuple[str, str], TermsSheet] = {}
    for one in sheets:
        known = newest.get(key_of(one))
        if one.valid_from <= day and (known is None or known.version < one.version):
            newest[key_of(one)] = one
    return tuple(one for one in newest.values() if one.holds_on(day))


def valid_sheets(book: Book, day: date) -> tuple[TermsSheet, ...]:
    """Give the sheets of the shop that are valid on a day, by refinery and name."""
    return sheets_on(terms_sheets(book), day)


def words_for_entry(sheet: TermsSheet) -> str:
    """Give what a `send` entry says to name a sheet to the version: `by the kilo (version 2)`."""
    return f"{sheet.name} (version {sheet.version})"


def sheet_named(
    sheets: Iterable[TermsSheet], party: str, terms: str, day: date
) -> TermsSheet | None:
    """Give the version under which something was sent.

    Args:
        sheets: every version that the shop keeps.
        party: who it was sent to.
        terms: what the entry says, the name of a sheet, with or without its version.
        day: when it was sent; without a version the one that was valid then is meant.

    Returns:
        None where the shop keeps no such sheet, or none that was valid on that day.
    """
    of_party = [one for one in sheets if one.party == party]
    found = _NAMED_VERSION.match(terms)
    if found is not None:
        wanted = (found[1], int(found[2]))
        return next((one for one in of_party if (one.name, one.version) == wanted), None)
    named = [one for one in of_party if one.name == terms]
    return next(iter(sheets_on(named, day)), None)


def keep_sheet(book: Book, sheet: TermsSheet) -> Changes:
    """Keep a sheet as the next version of its name, or as the first where the name is new.

    Raises:
        TermsRefused: when it cannot be.
        TermsNotKept: when nothing in it differs from the version before.
    """
    known = terms_sheets(book)
    made = _in_order(replace(sheet, version=_last_version(known, sheet) + 1))
    insist_on_sense(made)
    _refuse_another_spelling(known, made)
    before = next((one for one in known if _is_before(one, made)), None)
    if before is not None and replace(before, version=made.version) == made:
        raise TermsNotKept(
            f"Nothing of “{made.name}” differs from version {before.version}; there is no new one "
            "to keep."
        )
    return _keep(book, (*known, made))


def take_away(book: Book, party: str, name: str) -> Changes:
    """Take a sheet away with all its versions, as one that was entered by mistake.

    Raises:
        TermsNotKept: when something was sent under it.
    """
    known = terms_sheets(book)
    with book.file.reading() as connection:
        named = terms_of_shipments(connection, party)
    sent = next((ref for ref, terms in named if _NAMED_VERSION.sub(r"\1", terms) == name), None)
    if sent is not None:
        raise TermsNotKept(
            f"Shipment {sent} went out under “{name}”, so the sheet stays. Give it a last day "
            "instead: save a new version with “valid until”."
        )
    return _keep(book, [one for one in known if key_of(one) != (party, name)])


def write_sheets(book: Book, file: Path) -> int:
    """Write every version of every sheet to a file; gives how many there are.

    Raises:
        OSError: when the file cannot be written.
    """
    kept = terms_sheets(book)
    file.write_text(sheets_to_text(kept), encoding="utf-8")
    return len(kept)


def read_sheets(book: Book, file: Path) -> SheetsRead:
    """Read the sheets of a file into the book: all that it does not hold yet, or none.

    A version that the book has in other words becomes the next version of its sheet.

    Raises:
        OpenTextRefused: with every fault of the file.
        TermsNotKept: when it is no text, or too large for one of sheets.
    """
    read = sorted(sheets_from_text(_text_of(file)), key=lambda one: one.version)
    known = terms_sheets(book)
    kept: list[TermsSheet] = []
    for one in read:
        every = (*known, *kept)
        made = _in_order(one)
        if any(replace(other, version=made.version) == made for other in every):
            continue
        _refuse_another_spelling(every, made)
        kept.append(replace(made, version=_last_version(every, made) + 1))
    changes = _keep(book, (*known, *kept)) if kept else Changes()
    return SheetsRead(tuple(kept), len(read) - len(kept), changes)


def key_of(sheet: TermsSheet) -> tuple[str, str]:
    """Give what all versions of a sheet have in common: refinery and name."""
    return (sheet.party, sheet.name)


def _keep(book: Book, sheets: Sequence[TermsSheet]) -> Changes:
    ordered = sorted(sheets, key=lambda one: (*_words_of(one), one.version))
    book.file.change_setting(_SETTING, sheets_to_text(ordered) if ordered else "")
    return Changes(settings=True)


def _words_of(sheet: TermsSheet) -> tuple[str, str, str, str]:
    return (sheet.party.casefold(), sheet.party, sheet.name.casefold(), sheet.name)


def _last_version(sheets: Iterable[TermsSheet], sheet: TermsSheet) -> int:
    return max((one.version for one in sheets if key_of(one) == key_of(sheet)), default=0)


def _is_before(one: TermsSheet, made: TermsSheet) -> bool:
    return key_of(one) == key_of(made) and one.version == made.version - 1


def _in_order(sheet: TermsSheet) -> TermsSheet:
    """Give a sheet with its splitting limits in the order of its metals, so that equals are so."""
    limits = dict(sheet.splitting)
    if len(limits) != len(sheet.splitting):
        return sheet
    metals = [one.metal for one in sheet.metals]
    if not set(limits) <= set(metals):
        return sheet
    return replace(sheet, splitting=tuple((one, limits[one]) for one in metals if one in limits))


def _refuse_another_spelling(sheets: Iterable[TermsSheet], made: TermsSheet) -> None:
    """Refuse a name that differs from a known one of the same refinery in capitals alone."""
    for one in sheets:
        if one.party != made.party or one.name == made.name:
            continue
        if one.name.casefold() == made.name.casefold():
            raise TermsRefused(
                [
                    SheetFault(
                        "name",
                        f"{one.party} has a sheet “{one.name}” already; write it the same, or give "
                        "this one another name.",
                    )
                ]
            )


def _text_of(file: Path) -> str:
    try:
        if file.stat().st_size > _LARGEST_FILE:
            raise TermsNotKept(
                f"{file.name} is larger than {_LARGEST_FILE // 1_000_000} MB, far more than terms "
                "sheets are; choose another file."
            )
        return file.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError:
        raise TermsNotKept(
            f"{file.name} is no text in UTF-8; choose a file that was written out here."
        ) from None
