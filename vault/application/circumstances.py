"""The owner's circumstances, kept with the book; what was never set is the handbook's.

Prices are entries; all else that a choice about residues goes by is set here. Only what differs
from the handbook is kept, so that a better handbook reaches whoever left it alone.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

from vault.application.book import Book
from vault.application.changes import Changes
from vault.core.circumstances import (
    BY_PATH,
    MONEY,
    SAMPLING,
    SETTLING,
    WORKING,
    OwnCircumstances,
    Value,
    insist,
)
from vault.core.errors import VaultError
from vault.core.makeup import Makeup, makeup_from_text, makeup_to_text
from vault.core.metals import SYMBOLS
from vault.core.turnover import TurnoverRule
from vault.reckoning.circumstances import Circumstances, OwnSampling, OwnWorking, usual
from vault.reckoning.handbook import handbook, told
from vault.reckoning.worth import currency_of, prices_of
from vault.store.entries import load_prices

SETTING = "circumstances"
ASK_THE_LAW = (
    "Ask what your local law wants: rules against keeping residues differ by place and by what "
    "they are."
)
_WHOLE = 1.0


@dataclass(frozen=True, slots=True)
class CircumstancesToSet:
    """What whoever sets circumstances wants to know.

    Attributes:
        own: what is set.
        usual: the handbook's value of everything that is asked, by path.
        sources: where the handbook has those of each group from.
        offered: a rule of yearly turnover to begin with.
        currency: of the prices; empty where none is set.
    """

    own: OwnCircumstances
    usual: Mapping[str, Value]
    sources: Mapping[str, str]
    offered: TurnoverRule
    currency: str


def circumstances_to_set(book: Book) -> CircumstancesToSet:
    """Give what is set, and what holds where nothing is."""
    with book.file.reading() as connection:
        currency = currency_of(prices_of(load_prices(connection)))
    own = own_circumstances(book)
    return CircumstancesToSet(own, usual_values(), sources(), offered_rule(), currency)


def own_circumstances(book: Book) -> OwnCircumstances:
    """Give what the owner set for a book."""
    return circumstances_from_text(book.file.setting(SETTING))


def set_circumstances(book: Book, own: OwnCircumstances) -> Changes:
    """Keep what the owner set, in place of what was.

    Raises:
        CircumstancesNotClear: when a value cannot be, or a rule names no place or source.
    """
    insist(own)
    book.file.change_setting(SETTING, circumstances_to_text(own))
    return Changes(settings=True)


def circumstances(book: Book) -> Circumstances:
    """Give the circumstances of a choice today: prices as they are set, all else as it is here."""
    with book.file.reading() as connection:
        prices = prices_of(load_prices(connection))
    currency = currency_of(prices)
    amounts = {
        metal: float(one.per_gram.amount)
        for metal, one in prices.items()
        if one.per_gram.currency == currency
    }
    return circumstances_with(own_circumstances(book), usual(currency, amounts))


def interest(book: Book) -> float:
    """Give the cost of money, a share of it a year."""
    return value_of(own_circumstances(book), "interest").amount


def settlement_limit(book: Book) -> float:
    """Give how many times the ± of both an estimate may differ from what was agreed."""
    return value_of(own_circumstances(book), "settlement_limit").amount


def turnover_rule(book: Book) -> TurnoverRule | None:
    """Give the rule that residues of this book are held to; None where none is set."""
    return own_circumstances(book).turnover


def makeup_of_residues(book: Book) -> Mapping[str, Makeup]:
    """Give what residues are made of beside precious metal, by form, as far as the owner said."""
    return own_circumstances(book).makeup


def value_of(own: OwnCircumstances, path: str) -> Value:
    """Give a value as it holds: the owner's, or the handbook's."""
    return own.values.get(path) or usual_values()[path]


def usual_values() -> dict[str, Value]:
    """Give the handbook's value of everything that is asked."""
    base = usual("", dict.fromkeys(SYMBOLS, 1.0))
    working, sampling = base.working, base.sampling
    table = handbook("sending")
    found = {f"price_spread.{one}": Value(base.price_spread[one]) for one in SYMBOLS}
    found |= {
        "interest": Value(base.interest),
        "space": Value(base.space_per_kg_week),
        "wage": Value(base.wage_per_hour),
        "settlement_limit": Value(float(table["settlement"]["limit_in_u"])),
    }
    if working is not None:
        found |= {f"recovery.{one}": Value(*working.recovery[one]) for one in SYMBOLS}
        found |= {name: Value(getattr(working, name)) for name in _WORKING}
    if sampling is not None:
        found |= {f"sampling.{name}": Value(getattr(sampling, name)) for name in _SAMPLING}
    return found


def sources() -> dict[str, str]:
    """Give where the handbook has the values of each group from, in words."""
    table = handbook("sending")
    money = "; ".join(told(table[name]) for name in ("price_spread", "interest", "space", "wage"))
    return {
        MONEY: money,
        WORKING: told(table["working"]),
        SAMPLING: told(table["sampling"]),
        SETTLING: told(table["settlement"]),
    }


def offered_rule() -> TurnoverRule:
    """Give a rule to begin with, where the owner wants one; it holds only once it is set."""
    table = handbook("sending")["turnover"]
    share = Fraction(table["share"]).limit_denominator(1_000)
    return TurnoverRule(share, str(table["place"]), str(table["law"]))


def circumstances_with(own: OwnCircumstances, base: Circumstances) -> Circumstances:
    """Give circumstances with what the owner set in place of the handbook's."""
    values = own.values

    def of(path: str, otherwise: float) -> float:
        return values[path].amount if path in values else otherwise

    return replace(
        base,
        price_spread={
            metal: of(f"price_spread.{metal}", spread)
            for metal, spread in base.price_spread.items()
        },
        interest=of("interest", base.interest),
        space_per_kg_week=of("space", base.space_per_kg_week),
        wage_per_hour=of("wage", base.wage_per_hour),
        working=_working(own, base.working),
        sampling=_sampling(own, base.sampling),
    )


_WORKING = (
    *("flux_per_kg", "flux_price_per_kg", "energy_per_kg", "hours_per_lot", "hours_per_kg"),
    *("sells_at", "days"),
)
_SAMPLING = ("hours_per_lot", "hours_per_kg", "assay", "assay_share", "sample_g")


def _working(own: OwnCircumstances, base: OwnWorking | None) -> OwnWorking | None:
    if base is None or not own.works:
        return None
    recovery = dict(base.recovery)
    for metal, (_, u) in base.recovery.items():
        mine = own.values.get(f"recovery.{metal}")
        if mine is not None:
            recovery[metal] = (mine.amount, u if mine.u is None else mine.u)
    # What is got out does not stay behind.
    kept = {metal: min(one, _WHOLE - recovery[metal][0]) for metal, one in base.kept.items()}
    set_ = {name: own.values[name].amount for name in _WORKING if name in own.values}
    return replace(base, recovery=recovery, kept=kept, **set_)


def _sampling(own: OwnCircumstances, base: OwnSampling | None) -> OwnSampling | None:
    if base is None or not own.samples:
        return None
    found = {name: own.values.get(f"sampling.{name}") for name in _SAMPLING}
    return replace(base, **{name: one.amount for name, one in found.items() if one is not None})


# --- as the book keeps it -------------------------------------------------------------------------


def circumstances_to_text(own: OwnCircumstances) -> str:
    """Give circumstances as a book keeps them."""
    rule = own.turnover
    return json.dumps(
        {
            "values": {
                path: [one.amount] if one.u is None else [one.amount, one.u]
                for path, one in own.values.items()
            },
            "works": own.works,
            "samples": own.samples,
            "turnover": None
            if rule is None
            else {"share": str(rule.share), "place": rule.place, "source": rule.source},
            "makeup": {form: makeup_to_text(one) for form, one in own.makeup.items()},
        },
        ensure_ascii=False,
        sort_keys=True,
    )


def circumstances_from_text(text: str) -> OwnCircumstances:
    """Read circumstances as a book keeps them; the handbook's where they make no sense."""
    try:
        found = _read(json.loads(text)) if text else OwnCircumstances()
        insist(found)
    except (ValueError, KeyError, TypeError, AttributeError, ZeroDivisionError, VaultError):
        return OwnCircumstances()
    return found


def _read(kept: dict[str, Any]) -> OwnCircumstances:
    rule = kept["turnover"]
    return OwnCircumstances(
        # What a later version asked and this one does not is left alone by leaving it out.
        values={
            path: Value(*(float(number) for number in numbers))
            for path, numbers in kept["values"].items()
            if path in BY_PATH
        },
        works=bool(kept["works"]),
        samples=bool(kept["samples"]),
        turnover=None
        if rule is None
        else TurnoverRule(Fraction(rule["share"]), str(rule["place"]), str(rule["source"])),
        # Books of before say nothing of it.
        makeup={form: makeup_from_text(str(text)) for form, text in kept.get("makeup", {}).items()},
    )
