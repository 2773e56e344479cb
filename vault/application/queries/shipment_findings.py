"""What a person looking over one's shoulder would say of a shipment that is being made up."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from vault.application.operations.shipment_draft import DrumDraft, ShipmentDraft
from vault.application.queries.answers.shipments import PackedRow, ShipmentFinding
from vault.application.queries.answers.work import Gravity
from vault.application.wording import Numbers, listed
from vault.core.daybook import Act, Process
from vault.core.days import day_to_text
from vault.core.errors import Fault
from vault.core.masses import Mass
from vault.core.terms_sheets import TermsSheet
from vault.reckoning.closure import closing_limit_g
from vault.reckoning.guesses import closing_share, weight_u

_ORDER = (Gravity.REFUSES, Gravity.LACKS, Gravity.WARNS)
_FIELDS = {"gross_g": "on_scale", "tare_g": "tare", "gross_u_g": "on_scale"}
_OF_THE_WHOLE = frozenset({"party", "terms", "when", "by"})


@dataclass(frozen=True, slots=True)
class Refused:
    """What the rules of the book refuse: of which act, and about which tag."""

    act: Act
    tag: str
    fault: Fault


@dataclass(frozen=True, slots=True)
class Judged:
    """What the book says to a draft.

    Attributes:
        refused: by the rules.
        numbers_used: entries that sent or settled under this number, with their acts.
        sheet: the terms sheet that is named; None where none is known by that name on that day.
        sheets_of_party: how many sheets of this refinery the shop keeps.
        day: when it leaves.
    """

    refused: tuple[Refused, ...]
    numbers_used: tuple[tuple[int, str], ...]
    sheet: TermsSheet | None
    sheets_of_party: int
    day: date


def findings_of(
    draft: ShipmentDraft, rows: Sequence[PackedRow], judged: Judged, numbers: Numbers
) -> list[ShipmentFinding]:
    """Give what is to be said of a shipment, gravest first."""
    told = [*_of_the_whole(draft, judged), *_by_the_rules(rows, judged)]
    drums = {drum.name: drum for drum in draft.drums}
    for row in rows:
        if row.is_container:
            told += _of_a_container(row, drums[row.name], numbers)
        elif row.shipped_ug is None:
            told.append(_warns(row.name, "", _NOT_WEIGHED.format(name=row.name)))
    return sorted(dict.fromkeys(told), key=lambda one: _ORDER.index(one.gravity))


_NOT_WEIGHED = "{name} was never weighed; put it on the scale before it goes."


def _of_the_whole(draft: ShipmentDraft, judged: Judged) -> Iterator[ShipmentFinding]:
    if not draft.drums and not draft.tags:
        yield _lacks(
            "", "line", "Nothing goes yet: scan or type a container's place, or the tag of an item."
        )
    if not draft.party:
        yield _lacks("", "party", "Who gets it? Type the refinery's name.")
    if not draft.ref:
        yield _lacks("", "ref", "Give the shipment a number, by which its settlement is found.")
    sent = [number for number, act in judged.numbers_used if act == Act.SEND.value]
    if sent:
        yield _warns(
            "",
            "ref",
            f"Shipment {draft.ref} was sent in entry {sent[0]} already; what is settled under this "
            "number would speak of both. Give this one a number of its own.",
        )
    yield from _of_the_terms(draft, judged)


def _of_the_terms(draft: ShipmentDraft, judged: Judged) -> Iterator[ShipmentFinding]:
    if judged.sheet is not None or not draft.party:
        return
    if not draft.terms:
        told = "No terms sheet is named; what is charged must then be typed from the settlement."
    elif judged.sheets_of_party:
        told = (
            f"No terms sheet “{draft.terms}” of {draft.party} holds on {day_to_text(judged.day)}; "
            "choose one that does, or the settlement proposes no charges."
        )
    else:
        told = (
            f"No terms sheet of {draft.party} is kept here, so the settlement will propose no "
            "charges. Sheets are written down under Terms."
        )
    yield _warns("", "terms", told)


def _by_the_rules(rows: Sequence[PackedRow], judged: Judged) -> Iterator[ShipmentFinding]:
    """Pass on what the rules refuse; of what is alike in one container the first is told."""
    row_of = {tag: row.name for row in rows for tag in row.tags}
    alike: dict[tuple[Act, str, str], list[Refused]] = {}
    for one in judged.refused:
        column = one.fault.column
        if one.act is Act.SEND and column == "party":
            continue
        row = "" if column in _OF_THE_WHOLE else row_of.get(one.tag, one.tag)
        alike.setdefault((one.act, row, column), []).append(one)
    for (act, row, column), some in alike.items():
        more = f" And {len(some) - 1} more like it." if len(some) > 1 and row else ""
        field = "seal" if act is Act.SEAL else _FIELDS.get(column, column)
        yield ShipmentFinding(Gravity.REFUSES, row, field, some[0].fault.sentence + more)


def _of_a_container(row: PackedRow, drum: DrumDraft, numbers: Numbers) -> Iterator[ShipmentFinding]:
    name = row.name
    if not row.tags:
        yield _lacks(
            name, "", f"Nothing lies in {name} that could go; check the name, or leave it out."
        )
        return
    if row.stays:
        yield from _of_what_stays(row, drum)
    if drum.net is not None and drum.net.micrograms <= 0:
        yield ShipmentFinding(
            Gravity.REFUSES,
            name,
            "tare",
            f"Empty, {name} would weigh as much as full; check the two weights.",
        )
    elif row.shipped_ug is None and not row.stays:
        yield _warns(
            name,
            "on_scale",
            f"{name} was not weighed as a whole; the papers then give its weight by the book.",
        )
    if row.is_stale and row.weighed_on is not None:
        yield _warns(
            name,
            "on_scale",
            f"Something was put into {name} or taken out of it since it was weighed on "
            f"{day_to_text(row.weighed_on)}; weigh it again.",
        )
    elif row.shipped_ug is not None:
        yield from _against_the_book(row, numbers)
    if not row.seal:
        yield _warns(
            name,
            "seal",
            f"{name} leaves without a seal; a numbered one shows whether it was opened on the way.",
        )


def _of_what_stays(row: PackedRow, drum: DrumDraft) -> Iterator[ShipmentFinding]:
    many = len(row.stays)
    stay = "1 thing stays" if many == 1 else f"{many} things stay"
    why = f"only {drum.form} goes" if drum.form else "no residue of a work"
    yield _warns(
        row.name,
        "",
        f"In {row.name} {stay} ({why}): {listed(row.stays)}. What goes as well is scanned by "
        "itself.",
    )
    if drum.seal or drum.on_scale is not None:
        field = "seal" if drum.seal else "on_scale"
        yield ShipmentFinding(
            Gravity.REFUSES,
            row.name,
            field,
            f"A part of {row.name} stays, so it is neither weighed nor sealed as a whole here; put "
            "what goes into a container of its own first.",
        )


def _against_the_book(row: PackedRow, numbers: Numbers) -> Iterator[ShipmentFinding]:
    """Tell where the scale and the weights of the single items are further apart than they may."""
    if row.not_weighed or row.shipped_ug is None:
        return
    gap = row.shipped_ug - row.book_ug
    scale_u = weight_u(Mass(row.shipped_ug).grams)
    limit = closing_limit_g(Mass(row.book_ug).grams, scale_u**2, closing_share(Process.BLEND))
    if abs(Mass(gap).grams) <= limit:
        return
    more = "more" if gap > 0 else "less"
    yield _warns(
        row.name,
        "on_scale",
        f"The scale says {numbers.mass(Mass(abs(gap)))} {more} than the {row.items} things in "
        f"{row.name} weighed by themselves ({numbers.mass(Mass(row.book_ug))}). Look at the weight "
        "of the empty container, at damp, and for things that nobody recorded.",
    )


def _lacks(row: str, field: str, sentence: str) -> ShipmentFinding:
    return ShipmentFinding(Gravity.LACKS, row, field, sentence)


def _warns(row: str, field: str, sentence: str) -> ShipmentFinding:
    return ShipmentFinding(Gravity.WARNS, row, field, sentence)
