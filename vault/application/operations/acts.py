"""One function for each act: what a person does, as one entry in one transaction.

Every function takes the key of its action (`recording.new_key`), so that a retry is recorded once,
and `when` it happened where that is not now. Things are given as lines whose role is left open.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from vault.application.book import Book
from vault.application.changes import Changes
from vault.application.operations.recording import Draft, record
from vault.core.daybook import Act, Line, Process, Role, Said, Terms, When
from vault.core.knowledge import SETTLEMENT
from vault.core.masses import Mass
from vault.core.money import Money


def receive_lot(
    book: Book,
    items: Sequence[Line],
    *,
    lot: str,
    terms: Terms,
    party: str = "",
    when: When | None = None,
    key: str,
) -> Changes:
    """Take in what somebody brought; `own` metal has no party."""
    lines = [replace(item, role=Role.IN, lot=lot, party=party, terms=terms.value) for item in items]
    return _record(book, Act.RECEIVE, lines, when=when, key=key)


def record_work(  # noqa: PLR0913 -- one word for each fact of a work
    book: Book,
    process: Process,
    *,
    used: Sequence[str],
    made: Sequence[Line],
    added: Sequence[Line] = (),
    note: str = "",
    furnace: str = "",
    when: When | None = None,
    key: str,
) -> Changes:
    """Record work: tags used up, things added, items made.

    The note and the furnace's facts stand with the first used.
    """
    lines = [Line(Role.USED, tag=tag) for tag in used]
    lines[:1] = [replace(first, note=note, furnace=furnace) for first in lines[:1]]
    lines += [replace(thing, role=Role.ADDED) for thing in added]
    lines += [replace(item, role=Role.MADE) for item in made]
    draft = Draft(Act.WORK, tuple(lines), process=process, when=when)
    return record(book, draft, key=key)


def assay(
    book: Book,
    tag: str,
    contents: Sequence[Said],
    *,
    how: str,
    ref: str = "",
    note: str = "",
    when: When | None = None,
    key: str,
) -> Changes:
    """Record an assay of an item, by method and certificate."""
    line = Line(Role.OF, tag=tag, contents=tuple(contents), how=how, ref=ref, note=note)
    return _record(book, Act.ASSAY, [line], when=when, key=key)


def weigh(  # noqa: PLR0913 -- one word for each fact of a weighing
    book: Book,
    tag: str,
    gross: Mass,
    *,
    gross_u: Mass | None = None,
    tare: Mass | None = None,
    scale: str = "",
    note: str = "",
    when: When | None = None,
    key: str,
) -> Changes:
    """Record what the scale says of an item, without the tare of what it lay in."""
    line = Line(Role.OF, tag=tag, gross=gross, gross_u=gross_u, tare=tare, scale=scale, note=note)
    return _record(book, Act.WEIGH, [line], when=when, key=key)


def move(
    book: Book, tags: Iterable[str], place: str, *, when: When | None = None, key: str
) -> Changes:
    """Put items, or whole containers by their place name, into a place."""
    lines = [Line(Role.OF, tag=tag, place=place) for tag in tags]
    return _record(book, Act.MOVE, lines, when=when, key=key)


def send(
    book: Book,
    tags: Iterable[str],
    *,
    party: str,
    ref: str,
    terms: str = "",
    note: str = "",
    when: When | None = None,
    key: str,
) -> Changes:
    """Send items to a refinery as one shipment, under a sheet of terms."""
    lines = [Line(Role.OUT, tag=tag, party=party, terms=terms, ref=ref, note=note) for tag in tags]
    return _record(book, Act.SEND, lines, when=when, key=key)


def settle(
    book: Book,
    ref: str,
    *,
    agreed: Sequence[Line] = (),
    charges: Sequence[tuple[str, Money]] = (),
    party: str = "",
    when: When | None = None,
    key: str,
) -> Changes:
    """Record what came back for a shipment: agreed contents, and money line by line in words."""
    lines = [replace(one, role=Role.LINE, ref=ref, party=party, how=SETTLEMENT) for one in agreed]
    lines += [
        Line(Role.LINE, ref=ref, party=party, money=money, note=words) for words, money in charges
    ]
    return _record(book, Act.SETTLE, lines, when=when, key=key)


def return_(
    book: Book,
    tags: Iterable[str],
    *,
    party: str,
    note: str = "",
    when: When | None = None,
    key: str,
) -> Changes:
    """Give items back to their customer."""
    lines = [Line(Role.OUT, tag=tag, party=party, note=note) for tag in tags]
    return _record(book, Act.RETURN, lines, when=when, key=key)


def sell(
    book: Book,
    tags: Iterable[str],
    *,
    party: str,
    note: str = "",
    when: When | None = None,
    key: str,
) -> Changes:
    """Sell items."""
    lines = [Line(Role.OUT, tag=tag, party=party, note=note) for tag in tags]
    return _record(book, Act.SELL, lines, when=when, key=key)


def count(
    book: Book,
    *,
    found: Sequence[Line] = (),
    missing: Iterable[str] = (),
    extra: Sequence[Line] = (),
    when: When | None = None,
    key: str,
) -> Changes:
    """Record a count: what was found and weighed, what is missing, what nobody knew of."""
    lines = [replace(one, role=Role.OF) for one in found]
    lines += [Line(Role.MISSING, tag=tag) for tag in missing]
    lines += [replace(one, role=Role.EXTRA) for one in extra]
    return _record(book, Act.COUNT, lines, when=when, key=key)


def set_prices(
    book: Book,
    prices: Sequence[tuple[str, Money]],
    *,
    source: str = "",
    when: When | None = None,
    key: str,
) -> Changes:
    """Set the prices of one gram of some metals, with their source in words."""
    lines = [Line(Role.LINE, ref=metal, money=money, note=source) for metal, money in prices]
    return _record(book, Act.PRICE, lines, when=when, key=key)


def photograph(
    book: Book,
    tag: str,
    sha256: str,
    *,
    caption: str = "",
    when: When | None = None,
    key: str,
) -> Changes:
    """Record a picture of an item, by the SHA-256 of its file as hexadecimal digits."""
    line = Line(Role.OF, tag=tag, ref=sha256, note=caption)
    return _record(book, Act.PHOTO, [line], when=when, key=key)


def seal(
    book: Book,
    name: str,
    number: str,
    *,
    role: Role = Role.APPLIED,
    witness: str = "",
    note: str = "",
    when: When | None = None,
    key: str,
) -> Changes:
    """Record that a seal was applied to an item or a container, checked there, or broken."""
    line = Line(role, tag=name, ref=number, witness=witness, note=note)
    return _record(book, Act.SEAL, [line], when=when, key=key)


def check_scale(
    book: Book,
    scale: str,
    *,
    nominal: Mass,
    showed: Mass,
    note: str = "",
    when: When | None = None,
    key: str,
) -> Changes:
    """Record what a scale showed under a test weight of known mass."""
    line = Line(Role.LINE, scale=scale, nominal=nominal, gross=showed, note=note)
    return _record(book, Act.SCALE_CHECK, [line], when=when, key=key)


def strike_entry(
    book: Book, number: int, *, reason: str, when: When | None = None, key: str
) -> Changes:
    """Strike an entry, with the reason; it stays readable.

    Raises:
        RuleBroken: when later entries lean on it, or it cannot be struck at all.
    """
    line = Line(Role.NONE, ref=str(number), note=reason)
    return _record(book, Act.STRIKE, [line], when=when, key=key)


def _record(book: Book, act: Act, lines: Iterable[Line], *, when: When | None, key: str) -> Changes:
    return record(book, Draft(act, tuple(lines), when=when), key=key)
