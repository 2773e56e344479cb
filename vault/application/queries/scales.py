"""How each scale was last checked, and what was weighed on one that was out of its limits.

Limits are those of the scale as it is set up now (OIML R 76, or its own ±); whether an old check
was within them is worked out from that, and never kept.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from vault.application.book import Book
from vault.application.queries.answers.daybook import FindingRow
from vault.application.queries.answers.scales import CheckVerdict
from vault.application.scales import scales
from vault.application.wording import PLAIN, Numbers
from vault.bench.scales import Scale
from vault.core.daybook import Entry
from vault.core.days import day_to_text
from vault.core.findings import Severity
from vault.core.scales import ScaleCheck
from vault.store.scale_checks import checks_by_scale, weighed_on


def last_checks(book: Book) -> dict[str, CheckVerdict]:
    """Give the last check of each scale that was ever checked, by the scale's name."""
    known = {one.name: one for one in scales(book)}
    with book.file.reading() as connection:
        found = checks_by_scale(connection)
    return {name: _verdict(name, checks[-1], known) for name, checks in found.items()}


@dataclass(frozen=True, slots=True)
class Lapse:
    """A time in which a scale was out of its limits: from a check that failed to the next check."""

    verdict: CheckVerdict
    check: ScaleCheck
    ended_by: int | None


def lapses(book: Book) -> dict[str, list[Lapse]]:
    """Give, by scale, the times in which it was out of its limits."""
    with book.file.reading() as connection:
        found = checks_by_scale(connection)
    known = {one.name: one for one in scales(book)} if found else {}
    return {name: list(_lapses(name, checks, known)) for name, checks in found.items()}


def weighed_while_off(entry: Entry, tag: str, by_scale: Mapping[str, Iterable[Lapse]]) -> str:
    """Say on which scale that was out of its limits an entry weighed an item; empty if on none."""
    for line in entry.lines:
        if line.tag != tag or not line.scale or line.gross is None:
            continue
        for lapse in by_scale.get(line.scale, ()):
            starts = lapse.check.entry < entry.number and lapse.check.day <= entry.when.day
            if starts and (lapse.ended_by is None or entry.number < lapse.ended_by):
                day = day_to_text(lapse.check.day)
                return f"weighed on {line.scale}, which was out of its limits on {day}"
    return ""


def scale_findings(book: Book, numbers: Numbers = PLAIN) -> list[FindingRow]:
    """Give a finding for each scale that was out of its limits while things were weighed on it."""
    found = lapses(book)
    with book.file.reading() as connection:
        weighed = [
            (name, lapse, weighed_on(connection, name, after=lapse.check, before=lapse.ended_by))
            for name, one_scale in found.items()
            for lapse in one_scale
        ]
    rows = [_finding(name, lapse, these, numbers) for name, lapse, these in weighed if these]
    return [one for one in rows if one is not None]


def _finding(
    scale: str, lapse: Lapse, weighed: Sequence[tuple[int, str]], numbers: Numbers
) -> FindingRow | None:
    if lapse.verdict.limit is None:
        return None
    number = "1 weighing" if len(weighed) == 1 else f"{len(weighed)} weighings"
    day = day_to_text(lapse.check.day)
    limit = numbers.mass(lapse.verdict.limit)
    return FindingRow(
        words=(
            f"{number} on the scale {scale} came after its check of {day}, at which it showed "
            f"{numbers.mass(lapse.check.showed)} under {numbers.mass(lapse.check.nominal)}; it may "
            f"be off by {limit}. Have the scale set right, check it, and weigh these again."
        ),
        metal="",
        tags=tuple(dict.fromkeys(tag for _, tag in weighed if tag)),
        entries=tuple(dict.fromkeys((lapse.check.entry, *(entry for entry, _ in weighed)))),
        severity=Severity.LOOK.value,
    )


def _lapses(name: str, checks: Iterable[ScaleCheck], known: Mapping[str, Scale]) -> Iterator[Lapse]:
    """Give a lapse for each check that failed, up to the next check, whatever that one says."""
    told = [(_verdict(name, one, known), one) for one in checks]
    for at, (verdict, check) in enumerate(told):
        if verdict.is_within is False:
            following = next((one.entry for _, one in told[at + 1 :]), None)
            yield Lapse(verdict, check, following)


def _verdict(name: str, check: ScaleCheck, known: Mapping[str, Scale]) -> CheckVerdict:
    scale = known.get(name)
    return CheckVerdict(
        scale=name,
        entry=check.entry,
        day=check.day,
        nominal=check.nominal,
        showed=check.showed,
        limit=None if scale is None else scale.limit_of(check.nominal),
    )
