"""What the small forms record, where one act names several items or makes parts of one."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from vault.application.book import Book
from vault.application.changes import Changes
from vault.application.operations.recording import Draft, record
from vault.core.daybook import Act, Line, Process, Role, Said, When


def assay_items(  # noqa: PLR0913 -- one word for each fact of an assay
    book: Book,
    tags: Iterable[str],
    contents: Sequence[Said],
    *,
    how: str,
    party: str = "",
    ref: str = "",
    note: str = "",
    when: When | None = None,
    key: str,
) -> Changes:
    """Record one assay that holds for several items alike; `party` is who made it."""
    lines = [
        Line(Role.OF, tag=tag, contents=tuple(contents), how=how, party=party, ref=ref, note=note)
        for tag in tags
    ]
    return record(book, Draft(Act.ASSAY, tuple(lines), when=when), key=key)


def move_things(
    book: Book,
    tags: Iterable[str],
    place: str,
    *,
    note: str = "",
    when: When | None = None,
    key: str,
) -> Changes:
    """Put items, or whole containers by their place name, into a place."""
    lines = [Line(Role.OF, tag=tag, place=place, note=note) for tag in tags]
    return record(book, Draft(Act.MOVE, tuple(lines), when=when), key=key)


def divide(
    book: Book,
    tag: str,
    parts: Sequence[Line],
    *,
    note: str = "",
    when: When | None = None,
    key: str,
) -> Changes:
    """Record that an item was cut, drilled or riffled into parts of the same composition."""
    lines = [Line(Role.USED, tag=tag, note=note)]
    lines += [replace(one, role=Role.MADE) for one in parts]
    draft = Draft(Act.WORK, tuple(lines), process=Process.DIVIDE, when=when)
    return record(book, draft, key=key)
