"""What the small forms ask: an item before it is weighed, moved, divided, and what that changes."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil, hypot

from vault.application.book import Book
from vault.application.queries.answers.forms import (
    ContainerFacts,
    ItemFacts,
    KnownContents,
    Learnt,
    RestOfDivide,
    TakenFrom,
    WeighedBefore,
    WeightVerdict,
)
from vault.application.queries.bench_help import item_briefs
from vault.application.queries.items import NoSuchItem
from vault.application.queries.seals import seals_around, seals_on
from vault.application.wording import PLAIN, Numbers, listed
from vault.core.cautions import cautions_for
from vault.core.daybook import Act, Entry, Process, Role
from vault.core.errors import VaultError
from vault.core.knowledge import Figure
from vault.core.masses import Mass
from vault.core.metals import ALL_SYMBOLS
from vault.reckoning.guesses import weight_u
from vault.store.bench import all_places, lying_in
from vault.store.entries import load_entries_naming

# Two weighings of an unchanged thing lie this many standard uncertainties apart once in 370 times
# (normal distribution); further apart, something was taken, added or mixed up.
LIMIT_IN_U = 3
_UG_PER_G = 1_000_000
# Roles in which a line's weight is what a scale said of the item.
_WEIGHED_IN = frozenset({Role.IN, Role.MADE, Role.OF, Role.EXTRA, Role.OUT})
# Its parts are alike, so that what one of them holds the others hold as well.
_PARTS_ALIKE = frozenset({Process.DIVIDE, Process.SAMPLE})


class NoSuchContainer(VaultError):
    """A name under which nothing lies."""


def item_facts(book: Book, tag: str) -> ItemFacts:
    """Give an item as a form wants it.

    Raises:
        NoSuchItem: when the tag names nothing.
    """
    brief = item_briefs(book, [tag]).get(tag)
    if brief is None:
        raise NoSuchItem(f"There is no item {tag} in this book; check the tag.")
    with book.file.reading() as connection:
        entries = load_entries_naming(connection, tag)
    notes = [line.note for entry in entries for line in entry.lines if line.tag == tag]
    return ItemFacts(
        brief=brief,
        weighed=_weighed_before(entries, tag),
        taken_from=_taken_from(entries, tag),
        cautions=cautions_for(brief.form, brief.party, *notes),
        seals=seals_around(book, tag, brief.place),
    )


def compare_weights(
    tag: str, before: WeighedBefore, gross: Mass, gross_u: Mass | None, numbers: Numbers = PLAIN
) -> WeightVerdict:
    """Hold a new weight against the one before.

    The limit is three standard uncertainties of the difference: 3 · √(u₁² + u₂²).
    """
    difference = gross.micrograms - before.gross_ug
    limit = _rounded_up(LIMIT_IN_U * hypot(before.u_ug, _u_ug(gross, gross_u)))
    told = numbers.mass(Mass(abs(difference)))
    warning = ""
    if difference > limit:
        warning = (
            f"{tag} is heavier than before by {told}. Metal does not grow: look whether this is "
            "the right item, whether the scale was at zero, and whether it is damp."
        )
    elif difference < -limit:
        warning = (
            f"{tag} is lighter than before by {told}, more than two weighings can differ "
            f"({numbers.mass(Mass(limit))}). If something was taken from it, record that as a "
            "divide; if not, weigh it once more."
        )
    return WeightVerdict(difference, limit, warning)


def rest_of_divide(
    tag: str, whole: WeighedBefore | None, parts: Sequence[Mass], numbers: Numbers = PLAIN
) -> RestOfDivide:
    """Give what is left of an item once these parts are taken from it."""
    if whole is None:
        return RestOfDivide(None)
    taken = sum(part.micrograms for part in parts)
    rest = whole.gross_ug - taken
    u = hypot(whole.u_ug, *(_u_ug(part, None) for part in parts))
    if rest < -LIMIT_IN_U * u:
        return RestOfDivide(
            rest,
            f"The parts weigh {numbers.mass(Mass(taken))} together, and {tag} weighed "
            f"{numbers.mass(Mass(whole.gross_ug))}: {numbers.mass(Mass(-rest))} too much. Check "
            "the weights.",
        )
    return RestOfDivide(rest)


def container_facts(book: Book, name: str) -> ContainerFacts:
    """Give what lies in a container, through all that lies in it in turn.

    Raises:
        NoSuchContainer: when nothing was ever put in a place of this name.
    """
    with book.file.reading() as connection:
        places, lies_in, tags = lying_in(connection, name)
        is_known = name in all_places(connection)
    if not is_known:
        raise NoSuchContainer(f"No place is called “{name}” in this book; check the name.")
    briefs = item_briefs(book, tags)
    weights = [one.gross_ug for one in briefs.values()]
    cautions = [words for one in briefs.values() for words in cautions_for(one.form, one.party)]
    return ContainerFacts(
        name=name,
        lies_in=lies_in,
        tags=tuple(tags),
        places=tuple(places),
        gross_ug=sum(one for one in weights if one is not None),
        not_weighed=sum(one is None for one in weights),
        seal=seals_on(book, [name]).get(name),
        cautions=tuple(dict.fromkeys(cautions)),
    )


def contents_known(book: Book, tags: Sequence[str]) -> KnownContents:
    """Give what these items hold, as it is believed now."""
    return {tag: one.contents for tag, one in item_briefs(book, tags).items()}


def learnt(before: KnownContents, after: KnownContents) -> tuple[Learnt, ...]:
    """Give what is believed otherwise now, by item and metal, in the order of the items."""
    return tuple(
        Learnt(tag, metal, before.get(tag, {}).get(metal), figure)
        for tag, contents in after.items()
        for metal, figure in sorted(contents.items(), key=_symbol_first)
        if before.get(tag, {}).get(metal) != figure
    )


def _symbol_first(one: tuple[str, Figure]) -> int:
    return ALL_SYMBOLS.index(one[0])


def _u_ug(gross: Mass, gross_u: Mass | None) -> int:
    return round(weight_u(gross.grams) * _UG_PER_G) if gross_u is None else gross_u.micrograms


def _weighed_before(entries: Sequence[Entry], tag: str) -> WeighedBefore | None:
    for entry in reversed(entries):
        if entry.act is Act.SETTLE:
            continue
        for line in entry.lines:
            if line.tag == tag and line.role in _WEIGHED_IN and line.gross is not None:
                return WeighedBefore(
                    gross_ug=line.gross.micrograms,
                    u_ug=_u_ug(line.gross, line.gross_u),
                    entry=entry.number,
                    day=entry.when.day,
                    by=entry.by,
                )
    return None


def _taken_from(entries: Sequence[Entry], tag: str) -> TakenFrom | None:
    for entry in entries:
        made = [line.tag for line in entry.lines if line.role is Role.MADE]
        if tag in made:
            if entry.process not in _PARTS_ALIKE:
                return None
            wholes = tuple(line.tag for line in entry.lines if line.role is Role.USED)
            others = tuple(one for one in made if one != tag)
            return TakenFrom(entry.number, wholes, others, _words(entry.number, wholes, others))
    return None


def _words(entry: int, wholes: Sequence[str], others: Sequence[str]) -> str:
    whole = listed(wholes)
    also = f" and for {listed(others)}" if others else ""
    return (
        f"It was taken from {whole} (entry {entry}): what it holds per gram is taken for {whole}"
        f"{also} as well."
    )


def _rounded_up(ug: float) -> int:
    """Give a limit with two significant digits, never below what it is."""
    step = int(10 ** max(0, len(str(int(ug))) - 2))
    return ceil(ug / step) * step
