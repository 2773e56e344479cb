"""Small books with contents given by hand, and random ones, for everything that mixes metal."""

from __future__ import annotations

import random
from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from builders import received, thing, worked
from vault.core.daybook import Entry
from vault.core.flow import Flow, flow_of
from vault.core.knowledge import How
from vault.core.rules import replay
from vault.reckoning.contents import (
    ABSENT,
    HOWS,
    BudgetLine,
    Contents,
    Joint,
    LearnedFactor,
    Loss,
    MetalBalance,
    Places,
)
from vault.reckoning.edges import Floats
from vault.reckoning.origins import Origins


def grams_of(flow: Flow, grams: Mapping[str, float]) -> Floats:
    """Give grams in the order of the flow; an item that is not named is not known."""
    return np.array([grams.get(tag, float("nan")) for tag in flow.items])


def origins_of(entries: list[Entry], metal: str = "Ag", /, **grams: float) -> Origins:
    """`origins_of([received(1, thing("A", "scrap")), …], A=100, B=99)`."""
    flow = flow_of(replay(entries))
    return Origins(flow, {metal: grams_of(flow, grams)})


def lot(number: int, name: str, *tags: str, terms: str = "toll", party: str = "Pennant") -> Entry:
    """Give the receipt of a lot of unweighed things."""
    things = [thing(tag, "scrap") for tag in tags]
    return received(number, *things, lot=name, terms=terms, party=party)


def melt(number: int, used: str, made: str, *, silver: str = "") -> Entry:
    """`melt(3, "A B", "bar:K slag:S", silver="10")`; a thing made without a form is a button."""
    things = []
    for word in made.split():
        form, _, tag = word.rpartition(":")
        things.append(thing(tag, form or "button"))
    added = [thing("", "silver", silver, "Ag 1000")] if silver else []
    return worked(number, "remelt", used=used, made=things, added=added)


def random_book(seed: int, works: int = 30) -> tuple[list[Entry], dict[str, float]]:
    """Give lots melted together at random, residues melted again, with losses and gains."""
    chance = random.Random(seed)
    entries: list[Entry] = []
    grams: dict[str, float] = {}
    free: list[str] = []
    for number in range(1, works + 1):
        if len(free) < 2 or chance.random() < 0.3:
            tags = [f"R{number}-{at}" for at in range(chance.randint(1, 3))]
            grams |= {tag: chance.choice([0.0, chance.uniform(1, 100)]) for tag in tags}
            party = chance.choice(["Pennant", "Fernhill"])
            terms = chance.choice(["toll", "bought", "own"])
            entries.append(lot(number, f"L{number}", *tags, terms=terms, party=party))
        else:
            used = chance.sample(free, chance.randint(1, min(4, len(free))))
            free = [tag for tag in free if tag not in used]
            silver = chance.choice(["", "", "12.5"])
            tags = [f"K{number}", f"S{number}"][: chance.randint(1, 2)]
            made = " ".join(("slag:" if tag[0] == "S" else "") + tag for tag in tags)
            entries.append(melt(number, " ".join(used), made, silver=silver))
            feed = sum(grams[tag] for tag in used) + (12.5 if silver else 0.0)
            kept = feed * chance.uniform(0.9, 1.05)
            cut = chance.uniform(0.8, 1.0)
            for tag, part in zip(tags, (cut, 1 - cut), strict=False):
                grams[tag] = kept * part
        free += tags
    return entries, grams


_NOT_GIVEN = "a balance that is set by hand was asked for what only a solved one knows"


class GivenBalance:
    """A balance of one metal whose contents and covariance are set by hand."""

    def __init__(self, grams: Floats, covariance: Floats, how: NDArray[np.int8]) -> None:
        self.estimates = grams
        self.covariance = covariance
        self.uncertainties = np.sqrt(np.diag(covariance))
        self.how = how

    def variances_of(self, groups: list[Places]) -> Floats:
        return np.array([self.covariance[np.ix_(one, one)].sum() for one in groups])

    def joint_of(self, places: Places) -> Joint:
        raise AssertionError(_NOT_GIVEN)

    def joint_of_sums(self, groups: list[Places]) -> Joint:
        raise AssertionError(_NOT_GIVEN)

    def loss_of(self, work: int) -> Loss | None:
        raise AssertionError(_NOT_GIVEN)

    def budget_of(self, places: Places) -> list[BudgetLine]:
        raise AssertionError(_NOT_GIVEN)

    def budget_by_kind(self, places: Places) -> list[BudgetLine]:
        raise AssertionError(_NOT_GIVEN)

    def noticeable_of(self, place: int) -> float | None:
        raise AssertionError(_NOT_GIVEN)

    def draws(self, count: int, generator: np.random.Generator) -> Floats:
        return generator.multivariate_normal(self.estimates, self.covariance, count)

    def factors(self) -> tuple[LearnedFactor, ...]:
        return ()


def contents_of(
    flow: Flow,
    metals: Mapping[str, Mapping[str, float]],
    *,
    u: Mapping[tuple[str, str], float] | None = None,
    together: float = 0.0,
) -> Contents:
    """Give contents by hand: grams by metal and tag, NaN for not known, absent where not named.

    Weights are those off the scale.

    Args:
        flow: the items.
        metals: `{"Ag": {"A": 100.0, "S": float("nan")}}`.
        u: one standard uncertainty by metal and tag.
        together: the correlation between any two items.
    """
    tags = tuple(flow.items)
    balances: dict[str, MetalBalance] = {}
    for metal, grams in metals.items():
        how = [
            ABSENT
            if tag not in grams
            else HOWS.index(How.NOT_KNOWN if np.isnan(grams[tag]) else How.WORKED_OUT)
            for tag in tags
        ]
        spread = np.array([(u or {}).get((metal, tag), 0.0) for tag in tags])
        tied = np.full((len(tags), len(tags)), together)
        np.fill_diagonal(tied, 1.0)
        estimates = np.array([np.nan_to_num(grams.get(tag, 0.0)) for tag in tags])
        balances[metal] = GivenBalance(
            estimates, np.outer(spread, spread) * tied, np.array(how, dtype=np.int8)
        )
    weights = [item.gross for item in flow.items.values()]
    gross = np.array([np.nan if one is None else one.grams for one in weights])
    return Contents(
        tags=tags,
        place_of={tag: place for place, tag in enumerate(tags)},
        balances=balances,
        gross_g=gross,
        gross_u_g=np.where(np.isnan(gross), np.nan, 0.0),
        gross_known=~np.isnan(gross),
        find=lambda _: (),
    )
