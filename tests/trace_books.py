"""Small books with given contents, for tests of the trace that need no reckoning of contents."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from vault.core.daybook import Entry
from vault.core.flow import Flow, flow_of
from vault.core.knowledge import How
from vault.core.shop import Shop
from vault.reckoning.contents import (
    ABSENT,
    HOWS,
    BudgetLine,
    Contents,
    Floats,
    Joint,
    Loss,
    Places,
)
from vault.reckoning.origins import Origins, masses_of

# Grams and their uncertainty by tag; None where not known; a tag left out holds none.
Given = Mapping[str, tuple[float, float] | None]


class GivenBalance:
    """A balance whose figures are given; items do not err together."""

    def __init__(self, flow: Flow, given: Given) -> None:
        self._flow = flow
        self._places = {tag: place for place, tag in enumerate(flow.items)}
        count = len(self._places)
        self.estimates = np.full(count, np.nan)
        self.uncertainties = np.full(count, np.nan)
        self.how = np.full(count, ABSENT, dtype=np.int8)
        for tag, figure in given.items():
            place = self._places[tag]
            known = figure is not None
            self.how[place] = HOWS.index(How.ASSAYED if known else How.NOT_KNOWN)
            if figure is not None:
                self.estimates[place], self.uncertainties[place] = figure

    def variances_of(self, groups: list[Places]) -> Floats:
        return np.array([np.sum(self.uncertainties[one] ** 2) for one in groups])

    def joint_of(self, places: Places) -> Joint:
        raise AssertionError(f"a trace asks no joint distribution, and did of {places}")

    def joint_of_sums(self, groups: list[Places]) -> Joint:
        raise AssertionError(f"a trace asks no joint distribution, and did of {groups}")

    def loss_of(self, work: int) -> Loss | None:
        done = self._flow.works[work]
        used = [self._places[tag] for tag in done.used]
        made = [self._places[tag] for tag in done.made]
        both = [place for place in (*used, *made) if self.how[place] != ABSENT]
        if not both:
            return None
        grams = np.nan_to_num(self.estimates)
        gap = sum(grams[one] for one in used) - sum(grams[one] for one in made)
        u_g = float(np.sqrt(np.nansum(self.uncertainties[both] ** 2)))
        known = not np.isnan(self.estimates[both]).any()
        return Loss(float(gap), u_g, determinable=bool(known))

    def budget_of(self, places: Places) -> list[BudgetLine]:
        del places
        return []

    def budget_by_kind(self, places: Places) -> list[BudgetLine]:
        del places
        return []

    def noticeable_of(self, place: int) -> float | None:
        del place
        return None

    def draws(self, count: int, generator: np.random.Generator) -> Floats:
        scatter = generator.standard_normal((count, len(self.estimates)))
        drawn: Floats = self.estimates + scatter * self.uncertainties
        return drawn

    def factors(self) -> tuple[()]:
        return ()


class Book:
    """Flow, contents and origins of a shop, ready to be asked."""

    def __init__(self, shop: Shop, **metals: Given) -> None:
        self.flow = flow_of(shop)
        tags = tuple(self.flow.items)
        gross = [
            np.nan if item.gross is None else item.gross.grams for item in self.flow.items.values()
        ]
        self.contents = Contents(
            tags=tags,
            place_of={tag: place for place, tag in enumerate(tags)},
            balances={metal: GivenBalance(self.flow, given) for metal, given in metals.items()},
            gross_g=np.array(gross),
            gross_u_g=np.full(len(tags), 0.02),
            gross_known=~np.isnan(gross),
            find=lambda _contents: (),
        )
        self.origins = Origins(self.flow, masses_of(self.contents, tags))


def book_of(shop: Shop, **metals: Given) -> Book:
    """`book_of(shop_of(…), Ag={"R-1": (100, 1)})`."""
    return Book(shop, **metals)


def shop_of_entries(*entries: Entry) -> Shop:
    """Take entries in without asking the rules, for books too big to check each line."""
    shop = Shop()
    for entry in entries:
        shop.take(entry)
    return shop
