"""The papers of a shipment, as the book recorded it; the shop's own estimate stands apart."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from vault.application.book import Book
from vault.application.queries.answers.items import BudgetShare
from vault.application.reckoned import Reckoned
from vault.core.cautions import HAZARDS, cautions_of_shipment
from vault.core.daybook import Act, Line, Recorded
from vault.core.errors import VaultError
from vault.core.forms import is_residue, order_of
from vault.core.knowledge import Figure
from vault.core.masses import Mass
from vault.reckoning.stock import nothing_known, sums_of
from vault.store.entries import load_entry
from vault.store.shipments import PackedThing, seals_at, things_of, weighings_of

# More single items of one form than these stand as one line.
_MOST_SINGLES = 40
_MOST_BUDGET = 4
_LEAST_SHARE = 0.01
ALL = ""


class NoShipment(VaultError):
    """An entry of which there are no papers of a shipment."""


@dataclass(frozen=True, slots=True)
class PackedForm:
    """What goes of one form in a container.

    Attributes:
        gross: weight of those that were weighed by themselves; None where none was.
        not_weighed: how many were not.
    """

    form: str
    items: int
    gross: Mass | None
    not_weighed: int


@dataclass(frozen=True, slots=True)
class PackedPart:
    """A container with what it holds, or things that go by themselves.

    Attributes:
        name: the container, the tag of a single item, or how many items of a form go together.
        is_container: whether it is one.
        net, tare: as last on the scale before it left; None where not weighed as a whole.
        weighed_on: the day of that weighing.
        seal: the number on it; empty where there is none.
    """

    name: str
    is_container: bool
    forms: tuple[PackedForm, ...]
    net: Mass | None
    tare: Mass | None
    weighed_on: date | None
    seal: str

    @property
    def full(self) -> Mass | None:
        """Weight with the container."""
        return None if self.net is None or self.tare is None else self.net + self.tare

    @property
    def items(self) -> int:
        """How many items are in it."""
        return sum(one.items for one in self.forms)

    @property
    def weight(self) -> Mass | None:
        """What it counts with: the whole on the scale, or else its items."""
        weights = [one.gross for one in self.forms if one.gross is not None]
        by_items = sum(weights[1:], weights[0]) if weights else None
        return by_items if self.net is None else self.net

    @property
    def not_weighed(self) -> int:
        """How many items are in no weight."""
        return 0 if self.net is not None else sum(one.not_weighed for one in self.forms)


@dataclass(frozen=True, slots=True)
class ShipmentPapers:
    """Everything that the papers of a shipment say.

    Attributes:
        shop: what the shop calls itself.
        entry, day, by: of the entry that sent it.
        ref, party, terms: its number, who gets it, under which sheet.
        note: for the carrier.
        parts: containers first, then what goes by itself.
        total: all weights together; None where nothing was weighed.
        hazards: what in it can hurt, by form.
        cautions: a sentence or two each.
        head: the chain up to and with this entry, in hexadecimal.
        struck_by: number of the entry that struck it; None while it stands.
    """

    shop: str
    entry: int
    day: date
    by: str
    ref: str
    party: str
    terms: str
    note: str
    parts: tuple[PackedPart, ...]
    total: Mass | None
    hazards: tuple[tuple[str, str], ...]
    cautions: tuple[str, ...]
    head: str
    struck_by: int | None

    @property
    def items(self) -> int:
        """How many items go."""
        return sum(one.items for one in self.parts)

    @property
    def not_weighed(self) -> int:
        """How many of them are in no weight."""
        return sum(one.not_weighed for one in self.parts)


@dataclass(frozen=True, slots=True)
class OwnEstimate:
    """What the shop itself believes to be in a shipment, for its own file.

    Attributes:
        papers: of the same shipment.
        parts: figures by metal of each part, in the order of the papers.
        whole: by metal, with the covariance of all items.
        left_out: by metal, how many items may hold it and are in no figure.
        not_known: of how many items nothing is known at all.
        budget: by metal, what its doubt comes from, largest first.
        figures_of: number of the entry up to which the figures hold.
    """

    papers: ShipmentPapers
    parts: tuple[Mapping[str, Figure], ...]
    whole: Mapping[str, Figure]
    left_out: Mapping[str, int]
    not_known: int
    budget: Mapping[str, tuple[BudgetShare, ...]]
    figures_of: int


def shipment_papers(book: Book, entry: int) -> ShipmentPapers:
    """Give the papers of the entry that sent a shipment.

    Raises:
        NoShipment: when there is no such entry, or it sent nothing.
    """
    return _read(book, entry)[0]


def own_estimate(book: Book, entry: int) -> OwnEstimate:
    """Give what the shop believes to be in the shipment that an entry sent.

    Raises:
        NoShipment: when there is no such entry, or no figures are worked out.
    """
    papers, tags_of = _read(book, entry)
    reckoned = book.reckoned
    if reckoned is None or reckoned.entry < entry:
        raise NoShipment(
            "What is in this shipment is not worked out yet; wait until the figures are."
        )
    return _estimate(papers, tags_of, reckoned)


def _read(book: Book, number: int) -> tuple[ShipmentPapers, list[tuple[str, ...]]]:
    """Give the papers, and the tags of each of their parts."""
    with book.file.reading() as connection:
        recorded = load_entry(connection, number)
        if recorded is None:
            raise NoShipment(f"There is no entry {number} in this book; check the number.")
        if recorded.entry.act is not Act.SEND:
            raise NoShipment(
                f"Entry {number} sent nothing; papers of a shipment are printed for one that did."
            )
        lines = recorded.entry.lines
        things = {one.tag: one for one in things_of(connection, [one.tag for one in lines])}
        names = list(dict.fromkeys(line.place for line in lines if line.place))
        weighed = weighings_of(connection, names, number)
        sealed = seals_at(connection, [*names, *things], number)
    grouped = [_container(name, lines, things) for name in names]
    parts = [
        PackedPart(
            name=name,
            is_container=True,
            forms=_forms(packed),
            net=Mass(weighed[name].gross_ug) if name in weighed else None,
            tare=_mass(weighed[name].tare_ug) if name in weighed else None,
            weighed_on=weighed[name].day if name in weighed else None,
            seal=sealed.get(name, ""),
        )
        for name, packed in zip(names, grouped, strict=True)
    ]
    singles = _singles(
        [things[line.tag] for line in lines if not line.place and line.tag in things]
    )
    parts += [_single(name, some, sealed) for name, some in singles]
    tags = [tuple(one.tag for one in some) for some in (*grouped, *(some for _, some in singles))]
    return _papers(book.shop_name, recorded, parts, things.values()), tags


def _container(
    name: str, lines: Sequence[Line], things: Mapping[str, PackedThing]
) -> list[PackedThing]:
    return [things[line.tag] for line in lines if line.place == name and line.tag in things]


def _singles(things: Sequence[PackedThing]) -> list[tuple[str, list[PackedThing]]]:
    """Give single things under their tags, or many of one form under one name."""
    many = {
        form for form, count in Counter(x.form for x in things).items() if count > _MOST_SINGLES
    }
    found = [(one.tag, [one]) for one in things if one.form not in many]
    for form in sorted(many, key=order_of):
        some = [one for one in things if one.form == form]
        found.append((f"{some[0].tag} to {some[-1].tag}", some))
    return found


def _single(name: str, some: Sequence[PackedThing], sealed: Mapping[str, str]) -> PackedPart:
    seal = sealed.get(name, "") if len(some) == 1 else ""
    return PackedPart(name, False, _forms(some), None, None, None, seal)  # noqa: FBT003  a record


def _forms(things: Iterable[PackedThing]) -> tuple[PackedForm, ...]:
    by_form: dict[str, list[PackedThing]] = {}
    for one in things:
        by_form.setdefault(one.form, []).append(one)
    found = []
    for form in sorted(by_form, key=order_of):
        weights = [one.gross_ug for one in by_form[form] if one.gross_ug is not None]
        found.append(
            PackedForm(
                form=form,
                items=len(by_form[form]),
                gross=Mass(sum(weights)) if weights else None,
                not_weighed=len(by_form[form]) - len(weights),
            )
        )
    return tuple(found)


def _papers(
    shop: str, recorded: Recorded, parts: Sequence[PackedPart], things: Iterable[PackedThing]
) -> ShipmentPapers:
    entry = recorded.entry
    first = entry.lines[0]
    forms = sorted({one.form for one in things}, key=order_of)
    weights = [one.weight for one in parts if one.weight is not None]
    notes = [line.note for line in entry.lines if line.note]
    return ShipmentPapers(
        shop=shop,
        entry=entry.number,
        day=entry.when.day,
        by=entry.by,
        ref=first.ref,
        party=first.party,
        terms=first.terms,
        note="\n".join(dict.fromkeys(notes)),
        parts=tuple(parts),
        total=sum(weights[1:], weights[0]) if weights else None,
        hazards=tuple((form, HAZARDS[form]) for form in forms if form in HAZARDS),
        cautions=cautions_of_shipment(forms, *notes) if any(map(is_residue, forms)) else (),
        head=recorded.head.hex(),
        struck_by=recorded.struck_by,
    )


def _estimate(
    papers: ShipmentPapers, tags_of: Sequence[tuple[str, ...]], reckoned: Reckoned
) -> OwnEstimate:
    contents = reckoned.contents
    groups = {str(at): tags for at, tags in enumerate(tags_of)}
    groups[ALL] = tuple(tag for tags in tags_of for tag in tags)
    figures: dict[str, dict[str, Figure]] = {name: {} for name in groups}
    left_out: dict[str, int] = {}
    for metal in contents.metals:
        for name, one in sums_of(contents, metal, groups).items():
            if one.items:
                figures[name][metal] = one.figure
            if name == ALL and one.not_known:
                left_out[metal] = len(one.not_known)
    blank = len(nothing_known((reckoned.shop.items[tag] for tag in groups[ALL]), contents))
    return OwnEstimate(
        papers=papers,
        parts=tuple(figures[str(at)] for at in range(len(tags_of))),
        whole=figures[ALL],
        left_out={metal: many - blank for metal, many in left_out.items() if many > blank},
        not_known=blank,
        budget={
            metal: tuple(
                BudgetShare(one.words, one.entry, float(one.share))
                for one in contents.budget_by_kind(groups[ALL], metal)[:_MOST_BUDGET]
                if one.share >= _LEAST_SHARE
            )
            for metal in figures[ALL]
        },
        figures_of=reckoned.entry,
    )


def _mass(ug: int | None) -> Mass | None:
    return None if ug is None else Mass(ug)
