"""The record of residues for an inspector: what is kept since when, and each year by class."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from vault.application.book import Book
from vault.application.circumstances import turnover_rule
from vault.application.figures import facts_of
from vault.application.queries.answers.turnover import YearlyRecord
from vault.application.queries.turnover import record_of
from vault.core.cautions import cautions_for
from vault.core.forms import order_of
from vault.core.items import Item
from vault.core.shop import Shop
from vault.core.turnover import NOTHING, Amount
from vault.reckoning.stock import on_hand
from vault.reckoning.turnover import amount_of, first_dates


@dataclass(frozen=True, slots=True)
class KeptContainer:
    """What lies of one class in one place.

    Attributes:
        place: empty where nobody noted one.
        oldest: since when the oldest of it has been kept.
    """

    place: str
    form: str
    held: Amount
    oldest: date


@dataclass(frozen=True, slots=True)
class ResidueRecord:
    """Everything that the record says.

    Attributes:
        shop: what the shop calls itself.
        entry: number of the last entry that it rests on.
        head: the chain up to and with this entry, in hexadecimal.
        containers: what is on hand, by place and class.
        years: the record by class and year.
        cautions: what can hurt, each a sentence or two.
    """

    shop: str
    entry: int
    head: str
    containers: tuple[KeptContainer, ...]
    years: YearlyRecord
    cautions: tuple[str, ...]


def residue_record(book: Book) -> ResidueRecord:
    """Give the record of an open book, as all its entries tell it."""
    shop, head = facts_of(book)
    containers = _containers(shop)
    cautions = (caution for one in containers for caution in cautions_for(one.form))
    return ResidueRecord(
        shop=book.shop_name,
        entry=shop.last_number,
        head=head.hex(),
        containers=containers,
        years=record_of(shop, book.today(), turnover_rule(book)),
        cautions=tuple(dict.fromkeys(cautions)),
    )


def _containers(shop: Shop) -> tuple[KeptContainer, ...]:
    residues = [item for item in on_hand(shop.items.values()) if item.is_residue]
    since = first_dates(shop, (item.tag for item in residues))
    held: dict[tuple[str, str], list[Item]] = {}
    for item in residues:
        held.setdefault((item.place, item.form), []).append(item)
    return tuple(
        KeptContainer(
            place=place,
            form=form,
            held=sum((amount_of(item) for item in held[place, form]), NOTHING),
            oldest=min(since[item.tag] for item in held[place, form]),
        )
        for place, form in sorted(held, key=lambda one: (one[0].casefold(), order_of(one[1])))
    )
