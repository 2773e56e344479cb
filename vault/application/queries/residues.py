"""Residues: what is still locked up, in which container, and what is not known."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date

from vault.application.book import Book
from vault.application.queries.answers.items import BudgetShare
from vault.application.queries.answers.residues import Container, HouseFactor, Residues
from vault.application.queries.answers.safe import Worth
from vault.application.queries.items import owner_in_words
from vault.application.queries.safe import worth
from vault.application.queries.seals import seals_on
from vault.application.reckoned import Reckoned
from vault.core.cautions import cautions_for
from vault.reckoning.chief_sources import chief_sources
from vault.reckoning.contents import BudgetLine
from vault.reckoning.stock import ResidueContainer, Sum, stock_of
from vault.reckoning.turnover import first_dates
from vault.store.entries import load_prices
from vault.store.figures import stock_owners, stock_totals

_MOST_BUDGET = 5
_LEAST_SHARE = 0.01
_MOST_OWNERS = 4


def residues(book: Book) -> Residues:
    """Give what is locked up in slag, cupels, dust and crucibles on hand."""
    with book.file.reading() as connection:
        prices = load_prices(connection)
        totals = stock_totals(connection)
        owners = stock_owners(connection)
    told = worth(prices, totals, owners)
    reckoned = book.reckoned
    if reckoned is None:
        return Residues({}, told, (), (), {}, (), None)
    answer = _residues(reckoned, told)
    seals = seals_on(book, {one.place for one in answer.containers if one.place})
    containers = tuple(replace(one, seal=seals.get(one.place)) for one in answer.containers)
    return replace(answer, containers=containers)


def _residues(reckoned: Reckoned, told: Worth) -> Residues:
    contents = reckoned.contents
    stock = stock_of(reckoned.shop.items.values(), contents)
    tags = [tag for one in stock.containers for tag in one.tags]
    chief = chief_sources(reckoned.origins, tags)
    since = first_dates(reckoned.shop, tags)
    whose = {tag: owner_in_words(one.owner) for tag, one in chief.items()}
    return Residues(
        totals={metal: one.figure for metal, one in stock.residues.items()},
        worth=told,
        containers=tuple(_container(one, whose, since) for one in stock.containers),
        not_known=stock.not_known,
        budget={metal: _budget(contents.budget_by_kind(tags, metal)) for metal in stock.residues},
        factors=tuple(
            HouseFactor(one.kind, one.metal, one.guess, one.guess_u, one.now, one.now_u, one.source)
            for one in contents.house_factors
        ),
        figures_of=reckoned.entry,
        left_out=_left_out(stock.residues, stock.not_known),
    )


def _budget(lines: Sequence[BudgetLine]) -> tuple[BudgetShare, ...]:
    """Give what a doubt comes from, kind by kind, and all that is smaller together."""
    told = [one for one in lines[:_MOST_BUDGET] if one.share >= _LEAST_SHARE]
    shares = [BudgetShare(one.words, one.entry, float(one.share)) for one in told]
    rest = float(sum(one.share for one in lines[len(told) :]))
    if shares and rest >= _LEAST_SHARE:
        shares.append(BudgetShare("everything else, each of it smaller", None, rest))
    return tuple(shares)


def _left_out(sums: Mapping[str, Sum], not_known: Iterable[str]) -> dict[str, int]:
    """Count by metal the items left out of its sum, but for those of which nothing is known."""
    counted = {metal: len(set(one.not_known).difference(not_known)) for metal, one in sums.items()}
    return {metal: many for metal, many in counted.items() if many}


def _container(
    one: ResidueContainer, whose: Mapping[str, str], since: Mapping[str, date]
) -> Container:
    owners = dict.fromkeys(whose[tag] for tag in one.tags if tag in whose)
    return Container(
        place=one.place,
        form=one.form,
        items=len(one.tags),
        gross_ug=one.gross_ug,
        not_weighed=one.not_weighed,
        contents={metal: total.figure for metal, total in one.contents.items()},
        not_known=one.not_known,
        oldest=min(since[tag] for tag in one.tags),
        owners=tuple(owners)[:_MOST_OWNERS],
        cautions=cautions_for(one.form),
        left_out=_left_out(one.contents, one.not_known),
    )
