"""Items: which there are, in groups and pages, and all that is known of one of them."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from datetime import date
from functools import partial

from vault.application.book import Book
from vault.application.queries.answers.items import (
    BudgetShare,
    GroupBy,
    HistoryLine,
    ItemDetail,
    ItemGroup,
    ItemIndex,
    ItemQuery,
    ItemRow,
    MetalOfItem,
    OriginShare,
    SortBy,
)
from vault.application.queries.photos import photos_of
from vault.application.queries.scales import Lapse, lapses, weighed_while_off
from vault.application.queries.seals import seals_around
from vault.application.reckoned import Reckoned
from vault.application.wording import PLAIN, Numbers, for_item, known_from
from vault.core.cautions import cautions_for
from vault.core.daybook import Act, Entry, Terms
from vault.core.errors import VaultError
from vault.core.knowledge import Figure, How
from vault.core.metals import ALL_SYMBOLS
from vault.core.tags import tag_of_scan
from vault.reckoning.contents import Contents
from vault.reckoning.edges import SourceKind
from vault.reckoning.micrograms import fineness_ppb, micrograms
from vault.reckoning.origins import Share
from vault.store.entries import load_entries_naming
from vault.store.figures import contents_of, first_reported, metals_kept
from vault.store.group_order import grouped
from vault.store.lists import (
    GroupSum,
    ListedItem,
    Wanted,
    item_of,
    items_of,
    names_like,
    tags_of,
)
from vault.store.tags import was_given

NOT_CLEAR = "not clear whose"
OURS = "ours"
_MOST_ORIGINS = 8
_MOST_BUDGET = 6
# With more items than this the doubt of each group's sum is left out: it wants all covariances.
_MOST_ITEMS_WITH_GROUP_DOUBTS = 50_000


class NoSuchItem(VaultError):
    """A tag that names nothing in the book."""


def item_index(
    book: Book, query: ItemQuery, stopped: Callable[[], bool] | None = None
) -> ItemIndex:
    """Give the groups and the ids of all items that a query wants, or of the first of them.

    Once `stopped` says yes, it ends with an error of the driver's.
    """
    wanted = _wanted(query)
    with book.file.reading(stopped) as connection:
        found = grouped(connection, wanted, query.most)
        metals = metals_kept(connection)
        few = found.is_whole and len(found.ids) <= _MOST_ITEMS_WITH_GROUP_DOUBTS
        reckoned = book.reckoned if few else None
        tags = tags_of(connection, found.ids) if reckoned is not None else []
    doubts = _group_doubts(reckoned, found.groups, tags)
    return ItemIndex(
        query=query,
        groups=tuple(_group(one, query, doubts.get(one.name, {})) for one in found.groups),
        ids=memoryview(found.ids),
        metals=tuple(sorted(metals, key=ALL_SYMBOLS.index)),
        is_whole=found.is_whole,
    )


def item_rows(book: Book, ids: Sequence[int]) -> list[ItemRow]:
    """Give the rows of items, in the order of their ids."""
    with book.file.reading() as connection:
        listed = items_of(connection, list(ids))
        contents = contents_of(connection, [one.id for one in listed])
    return [_row(one, contents.get(one.id, {})) for one in listed]


def item_detail(book: Book, tag: str, numbers: Numbers = PLAIN) -> ItemDetail:
    """Give all that is known of one item.

    Raises:
        NoSuchItem: when the tag names nothing.
    """
    with book.file.reading() as connection:
        listed = item_of(connection, tag)
        if listed is None:
            raise NoSuchItem(f"There is no item {tag} in this book; check the tag.")
        contents = contents_of(connection, [listed.id]).get(listed.id, {})
        reported = first_reported(connection, listed.id)
        entries = load_entries_naming(connection, tag)
    metals = [
        _metal(book.reckoned, listed, metal, figure, reported, numbers)
        for metal, figure in sorted(contents.items(), key=lambda one: ALL_SYMBOLS.index(one[0]))
    ]
    return ItemDetail(
        row=_row(listed, contents),
        note=listed.note,
        metals=tuple(metals),
        history=tuple(_history(entries, tag, lapses(book), numbers)),
        cautions=cautions_for(listed.form, listed.note, listed.party),
        photos=photos_of(book, tag, entries),
        seals=seals_around(book, tag, listed.place),
        shipment=_shipment(entries, tag),
    )


def _shipment(entries: Iterable[Entry], tag: str) -> str:
    """Give the number under which an item was sent last; empty where it never was."""
    lines = (line for one in entries if one.act is Act.SEND for line in one.lines)
    return next(reversed([line.ref for line in lines if line.tag == tag]), "")


def _history(
    entries: Iterable[Entry],
    tag: str,
    off: Mapping[str, Sequence[Lapse]],
    numbers: Numbers,
) -> Iterator[HistoryLine]:
    """Tell what happened to an item, and which of its weights a bad scale gave."""
    for entry in entries:
        told = [for_item(entry, tag, numbers), weighed_while_off(entry, tag, off)]
        words = "; ".join(one for one in told if one)
        yield HistoryLine(entry.number, entry.when.day, words)


def find(book: Book, text: str, most: int = 12) -> list[tuple[str, str]]:
    """Give what a scanned or typed word could mean: (`item`, `lot` or `party`; its name)."""
    word = text.strip()
    if not word:
        return []
    with book.file.reading() as connection:
        scan = tag_of_scan(word, partial(was_given, connection))
        if scan.tag and scan.tag != word:
            hits = names_like(connection, scan.tag, most)
            return [one for one in hits if one == ("item", scan.tag)] or hits
        return names_like(connection, word, most)


def _wanted(query: ItemQuery) -> Wanted:
    return Wanted(
        shown=query.showing.value,
        group=query.group_by.value,
        sort=query.sort_by.value,
        text=query.text,
        metal=query.metal,
        sort_metal=query.sort_metal if query.sort_by is SortBy.FINE else "",
        descending=query.descending,
    )


def _group(one: GroupSum, query: ItemQuery, doubts: Mapping[str, int]) -> ItemGroup:
    name = one.name
    if query.group_by is GroupBy.OWNER:
        name = owner_in_words(name)
    return ItemGroup(
        name=name,
        items=one.items,
        gross_ug=one.gross_ug,
        not_weighed=one.not_weighed,
        fine={
            metal: Figure(one.fine_ug[metal], doubts.get(metal), How.WORKED_OUT)
            for metal in sorted(one.fine_ug, key=ALL_SYMBOLS.index)
        },
    )


def owner_in_words(owner: str | None) -> str:
    """Give whose something is, as people say it."""
    if owner is None or owner.startswith("*"):
        return NOT_CLEAR
    return owner or OURS


def _group_doubts(
    reckoned: Reckoned | None, groups: Sequence[GroupSum], tags: Sequence[str]
) -> dict[str, dict[str, int]]:
    """Give the standard uncertainty of each group's sums, with the covariance of its items."""
    if reckoned is None:
        return {}
    by_group: dict[str, list[str]] = {}
    at = 0
    for group in groups:
        some = tags[at : at + group.items]
        by_group[group.name] = [tag for tag in some if tag in reckoned.flow.items]
        at += group.items
    found: dict[str, dict[str, int]] = {}
    for metal in reckoned.contents.metals:
        for name, total in reckoned.contents.totals(by_group, metal).items():
            if total.items:
                found.setdefault(name, {})[metal] = micrograms(total.u_g)
    return found


def _row(one: ListedItem, contents: Mapping[str, Figure]) -> ItemRow:
    own = (one.lot,) if one.lot else ()
    if one.owner is not None:
        owner = owner_in_words(one.owner)
    else:
        owner = one.party if one.terms == Terms.TOLL.value else (OURS if one.lot else "")
    return ItemRow(
        id=one.id,
        tag=one.tag,
        form=one.form,
        gross_ug=one.gross_ug,
        gross_u_ug=one.gross_u_ug,
        contents=contents,
        lots=one.lots or own,
        more_lots=one.more_lots,
        owner=owner,
        owner_share=None if one.owner_share_ppm is None else one.owner_share_ppm / 1_000_000,
        place=one.place,
        state=one.state,
        since=one.made_on,
        is_residue=one.is_residue,
        fineness_ppb=_main_fineness(one.gross_ug, contents),
    )


def _main_fineness(gross_ug: int | None, contents: Mapping[str, Figure]) -> int | None:
    known = [one.fine_ug for one in contents.values() if one.fine_ug is not None]
    return fineness_ppb(max(known, default=None), gross_ug)


def _metal(
    reckoned: Reckoned | None,
    listed: ListedItem,
    metal: str,
    figure: Figure,
    reported: Mapping[str, tuple[date, Figure]],
    numbers: Numbers,
) -> MetalOfItem:
    item = None if reckoned is None else reckoned.flow.items.get(listed.tag)
    day, told = reported.get(metal, (None, figure))
    shares: list[Share] = []
    noticeable: float | None = None
    budget: tuple[BudgetShare, ...] = ()
    if reckoned is not None and item is not None:
        drawn = reckoned.drawn(metal)
        shares = reckoned.origins.of_item(listed.tag, metal, drawn)
        noticeable = reckoned.contents.noticeable(listed.tag, metal)
        budget = _budget(reckoned.contents, listed.tag, metal)
    differs = _tells_otherwise(told, figure)
    return MetalOfItem(
        metal=metal,
        figure=figure,
        fineness_ppb=fineness_ppb(figure.fine_ug, listed.gross_ug),
        known_from=known_from(item, metal, figure.how, numbers),
        budget=budget,
        origins=tuple(_origin(reckoned, one) for one in shares[:_MOST_ORIGINS]),
        more_origins=max(0, len(shares) - _MOST_ORIGINS),
        noticeable_ug=None if noticeable is None else micrograms(noticeable),
        reported_fine_ug=told.fine_ug if differs else None,
        reported_u_ug=told.u_ug if differs else None,
        reported_on=day if differs else None,
    )


def _tells_otherwise(told: Figure, now: Figure) -> bool:
    """Tell whether a figure once told reads differently now, beyond a tenth of its doubt."""
    if told.fine_ug is None or now.fine_ug is None:
        return told.fine_ug is not now.fine_ug
    doubt = max(told.u_ug or 0, now.u_ug or 0)
    moved = abs(told.fine_ug - now.fine_ug)
    return 10 * max(moved, abs((told.u_ug or 0) - (now.u_ug or 0))) > doubt


def _budget(contents: Contents, tag: str, metal: str) -> tuple[BudgetShare, ...]:
    lines = contents.budget([tag], metal)[:_MOST_BUDGET]
    return tuple(BudgetShare(one.words, one.entry, one.share) for one in lines if one.share > 0.005)


def _origin(reckoned: Reckoned | None, one: Share) -> OriginShare:
    words = one.source.name
    if reckoned is not None and one.source.kind is SourceKind.LOT:
        words = lot_in_words(reckoned, one.source.name)
    return OriginShare(
        lot=one.source.name,
        words=words,
        fine_ug=None if one.fine_g is None else micrograms(one.fine_g),
        u_ug=None if one.u_g is None else micrograms(one.u_g),
        share=one.share,
    )


def lot_in_words(reckoned: Reckoned, lot: str) -> str:
    """Say what a lot was and whose: `filings, sweeps · Pennant Bench School`."""
    record = reckoned.shop.lots.get(lot)
    forms = dict.fromkeys(reckoned.flow.items[tag].form for tag in reckoned.origins.items_of(lot))
    whose = "ours" if record is None or record.terms != Terms.TOLL.value else record.party
    return f"{', '.join(forms)} · {whose}"
