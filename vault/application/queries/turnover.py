"""The yearly record: what was kept of each class of residues, made and moved on."""

from __future__ import annotations

from datetime import date

from vault.application.book import Book
from vault.application.circumstances import turnover_rule
from vault.application.queries.answers.turnover import YearlyRecord, YearOfRecord
from vault.core.shop import Shop
from vault.core.turnover import ClassYear, TurnoverRule
from vault.reckoning.stock import on_hand
from vault.reckoning.turnover import first_dates, judged, still_to_move_ug, told_until, turnover


def yearly_record(book: Book) -> YearlyRecord:
    """Give the record up to today, or up to the last entry where that is dated later."""
    shop = Shop() if book.reckoned is None else book.reckoned.shop
    return record_of(shop, book.today(), turnover_rule(book))


def record_of(shop: Shop, today: date, rule: TurnoverRule | None) -> YearlyRecord:
    """Give the record of a shop up to a day, or up to its last entry if that is later."""
    until = told_until(shop, today)
    residues = [item for item in on_hand(shop.items.values()) if item.is_residue]
    since = first_dates(shop, (item.tag for item in residues))
    oldest: dict[str, date] = {}
    for item in residues:
        oldest[item.form] = min(since[item.tag], oldest.get(item.form, date.max))
    return YearlyRecord(
        classes={
            form: tuple(_year(one, until, rule) for one in years)
            for form, years in turnover(shop, until).items()
        },
        oldest=oldest,
        rule=rule,
        day=until,
    )


def _year(told: ClassYear, today: date, rule: TurnoverRule | None) -> YearOfRecord:
    return YearOfRecord(
        told=told,
        judgement=None if rule is None else judged(told, rule.share, today),
        still_ug=0 if rule is None else still_to_move_ug(told, rule.share),
        days_left=max(0, (date(told.year, 12, 31) - today).days),
    )
