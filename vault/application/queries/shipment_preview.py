"""A shipment before it is recorded: what goes, what it weighs, what it holds, what is wrong."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from vault.application.book import Book
from vault.application.operations.shipment_draft import DrumDraft, ShipmentDraft
from vault.application.operations.shipments import drafts_of
from vault.application.queries.answers.shipments import PackedRow, ShipmentPreview
from vault.application.queries.shipment_findings import Judged, Refused, findings_of
from vault.application.reckoned import Reckoned
from vault.application.terms_sheets import sheet_named, terms_sheets
from vault.application.wording import PLAIN, Numbers
from vault.core.cautions import cautions_of_shipment
from vault.core.daybook import Entry, When
from vault.core.forms import order_of
from vault.core.items import State
from vault.core.knowledge import Figure
from vault.core.rules import faults_of
from vault.core.terms_sheets import TermsSheet
from vault.reckoning.stock import sums_of
from vault.store.entries import last_number, shop_for
from vault.store.seals import seals_of
from vault.store.shipments import (
    ContainerWeighing,
    PackedThing,
    entries_of_shipment,
    things_in,
    things_of,
    weighings_of,
    went_through_since,
)

ALL = ""


@dataclass(frozen=True, slots=True)
class _Packed:
    """What a draft names, as the book has it now.

    Attributes:
        draft: with the tags of its containers filled in.
        rows: without figures.
        things: everything that goes, by tag.
    """

    draft: ShipmentDraft
    rows: tuple[PackedRow, ...]
    things: Mapping[str, PackedThing]


def preview_shipment(book: Book, draft: ShipmentDraft, numbers: Numbers = PLAIN) -> ShipmentPreview:
    """Give all that can be said of a draft; half-filled ones are told as far as they go."""
    when = draft.when or _now(book)
    sheets = terms_sheets(book)
    sheet = sheet_named(sheets, draft.party, draft.terms, when.day)
    packed = _packed(book, draft)
    judged = Judged(
        refused=_refused(book, packed.draft, when),
        numbers_used=_numbers_used(book, draft.ref),
        sheet=sheet,
        sheets_of_party=sum(one.party == draft.party for one in sheets),
        day=when.day,
    )
    rows, own, left_out, not_known, stale = _estimated(packed, book.reckoned)
    return ShipmentPreview(
        rows=rows,
        items=len(packed.things),
        weight_ug=sum(one.weight_ug for one in rows),
        not_weighed=sum(one.not_weighed for one in rows if one.shipped_ug is None),
        own=own,
        left_out=left_out,
        not_known=not_known,
        findings=tuple(findings_of(packed.draft, rows, judged, numbers)),
        cautions=cautions_of_shipment({one.form for one in packed.things.values()}, draft.note),
        due=due_day(when.day, sheet),
        sheet="" if sheet is None else f"{sheet.name}, version {sheet.version}",
        stale=stale,
    )


def due_day(sent: date, sheet: TermsSheet | None) -> date | None:
    """Give the day by which a sheet lets expect the settlement; None where it says nothing."""
    if sheet is None or not sheet.days_to_settle:
        return None
    return sent + timedelta(days=sheet.days_to_settle)


def _now(book: Book) -> When:
    moment = book.clock()
    return When(moment.astimezone(book.zone).date(), moment)


# --- what goes ----------------------------------------------------------------------------------


def _packed(book: Book, draft: ShipmentDraft) -> _Packed:
    names = [drum.name for drum in draft.drums]
    things: dict[str, PackedThing] = {}
    drums: list[DrumDraft] = []
    rows: list[PackedRow] = []
    with book.file.reading() as connection:
        weighings, seals = weighings_of(connection, names), seals_of(connection, names)
        for drum in draft.drums:
            inside = things_in(connection, drum.name)
            goes = [one for one in inside if _goes(one, drum) and one.tag not in things]
            things |= {one.tag: one for one in goes}
            drums.append(replace(drum, tags=tuple(one.tag for one in goes)))
            row = _row_of(drum, goes, [one.tag for one in inside if not _goes(one, drum)])
            if drum.name in seals:
                on_it = seals[drum.name].number
                row = replace(row, seal=drum.seal or on_it, seal_on_it=on_it)
            weighed = weighings.get(drum.name)
            if drum.on_scale is None and weighed is not None and not row.stays:
                is_stale = went_through_since(connection, drum.name, weighed.entry)
                row = _weighed_before(row, weighed, is_stale=is_stale)
            rows.append(row)
        singles = [one for one in things_of(connection, draft.tags) if one.tag not in things]
        sealed = seals_of(connection, [one.tag for one in singles])
    things |= {one.tag: one for one in singles}
    numbers = {tag: seal.number for tag, seal in sealed.items()}
    rows += [_row_of_item(one, numbers.get(one.tag, "")) for one in singles]
    full = replace(draft, drums=tuple(drums), tags=tuple(one.tag for one in singles))
    return _Packed(full, tuple(rows), things)


def _weighed_before(row: PackedRow, weighed: ContainerWeighing, *, is_stale: bool) -> PackedRow:
    return replace(
        row,
        shipped_ug=weighed.gross_ug,
        tare_ug=weighed.tare_ug,
        weighed_on=weighed.day,
        is_stale=is_stale,
    )


def _goes(thing: PackedThing, drum: DrumDraft) -> bool:
    return thing.form == drum.form if drum.form else thing.is_residue


def _row_of(drum: DrumDraft, goes: Sequence[PackedThing], stays: Sequence[str]) -> PackedRow:
    forms = Counter(one.form for one in goes)
    weights = [one.gross_ug for one in goes if one.gross_ug is not None]
    net = drum.net
    return PackedRow(
        name=drum.name,
        is_container=True,
        forms=tuple(sorted(forms.items(), key=lambda one: order_of(one[0]))),
        tags=tuple(one.tag for one in goes),
        stays=tuple(stays),
        book_ug=sum(weights),
        not_weighed=len(goes) - len(weights),
        shipped_ug=None if net is None or net.micrograms <= 0 else net.micrograms,
        tare_ug=None if drum.tare is None else drum.tare.micrograms,
        weighed_on=None,
        is_stale=False,
        seal=drum.seal,
        contents={},
        not_known=0,
    )


def _row_of_item(thing: PackedThing, seal: str) -> PackedRow:
    return PackedRow(
        name=thing.tag,
        is_container=False,
        forms=((thing.form, 1),),
        tags=(thing.tag,),
        stays=(),
        book_ug=thing.gross_ug or 0,
        not_weighed=int(thing.gross_ug is None),
        shipped_ug=thing.gross_ug,
        tare_ug=None,
        weighed_on=None,
        is_stale=False,
        seal=seal,
        contents={},
        not_known=0,
        lies_in=thing.place if thing.state is State.ON_HAND else "",
        seal_on_it=seal,
    )


# --- what is wrong ------------------------------------------------------------------------------


def _refused(book: Book, draft: ShipmentDraft, when: When) -> tuple[Refused, ...]:
    """Give what the rules refuse of every entry that would be recorded."""
    found: list[Refused] = []
    with book.file.reading() as connection:
        number = last_number(connection)
        for one in drafts_of(draft):
            if not one.lines:
                continue
            number += 1
            entry = Entry(number, when, book.operator or "somebody", one.act, one.lines)
            for fault in faults_of(entry, shop_for(connection, entry)):
                tag = "" if fault.line is None else entry.lines[fault.line].tag
                found.append(Refused(one.act, tag, fault))
    return tuple(found)


def _numbers_used(book: Book, ref: str) -> tuple[tuple[int, str], ...]:
    """Give the entries that sent or settled under a number already, with their acts."""
    if not ref:
        return ()
    with book.file.reading() as connection:
        return tuple(entries_of_shipment(connection, ref))


# --- what it holds ------------------------------------------------------------------------------


def _estimated(
    packed: _Packed, reckoned: Reckoned | None
) -> tuple[tuple[PackedRow, ...], dict[str, Figure], dict[str, int], int, bool]:
    """Give the rows with their figures, and the figures of the whole."""
    if reckoned is None:
        return packed.rows, {}, {}, 0, bool(packed.things)
    contents = reckoned.contents
    known = [tag for tag in packed.things if tag in contents.place_of]
    groups = {
        one.name: [tag for tag in one.tags if tag in contents.place_of] for one in packed.rows
    }
    figures: dict[str, dict[str, Figure]] = {name: {} for name in (ALL, *groups)}
    left_out: dict[str, int] = {}
    for metal in contents.metals:
        for name, one in sums_of(contents, metal, {ALL: known, **groups}).items():
            if one.items:
                figures[name][metal] = one.figure
            if name == ALL and one.not_known:
                left_out[metal] = len(one.not_known)
    blank = {tag for tag in known if not any(x.determinable for x in contents.of(tag).values())}
    left = {metal: many - len(blank) for metal, many in left_out.items() if many > len(blank)}
    rows = tuple(
        replace(one, contents=figures[one.name], not_known=len(blank.intersection(one.tags)))
        for one in packed.rows
    )
    return rows, figures[ALL], left, len(blank), len(known) < len(packed.things)
