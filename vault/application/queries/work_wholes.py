"""Containers of which all goes into a work not recorded yet, each looked at as one thing."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from vault.application.operations.work_draft import WorkDraft
from vault.core.items import Item, Weighing
from vault.core.knowledge import NOTHING_KNOWN, Figure, How
from vault.core.masses import Mass
from vault.core.shop import Shop
from vault.reckoning.guesses import weight_u

_UG_PER_G = 1_000_000

# What goes in of each container, by its name.
Wholes = Mapping[str, Sequence[Item]]


def wholes_of(draft: WorkDraft, shop: Shop) -> Wholes:
    """Give what lies in each container that goes in, as far as it is on hand."""
    found = {
        one.tag: [shop.items[tag] for tag in one.held if tag in shop.items]
        for one in draft.used
        if one.held
    }
    return {name: held for name, held in found.items() if held}


def tags_of(wholes: Wholes) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Give names and tags of them, to be asked for together."""
    return tuple((name, tuple(item.tag for item in held)) for name, held in wholes.items())


def as_one(name: str, held: Sequence[Item]) -> Item:
    """Give all that goes in of a container as one thing; weighed where all of it was."""
    weights = [(item.gross, item.gross_u) for item in held]
    words = dict.fromkeys(f"{item.note} {item.lot}".strip() for item in held)
    one = Item(
        tag=name,
        form=held[0].form,
        made_by=0,
        made_on=min(item.made_on for item in held),
        note=" ".join(word for word in words if word),
        mentions=[max((entry for item in held for entry in item.mentions), default=0)],
    )
    if all(gross is not None for gross, _ in weights):
        known = [weighed_g(gross, u) for gross, u in weights if gross is not None]
        grams = Mass(sum(gross.micrograms for gross, _ in weights if gross is not None))
        # Every weight came off the shop's own scales, whose errors are the same in all of them.
        doubt = Mass(round(sum(u for _, u in known) * _UG_PER_G))
        one.weighings.append(Weighing(0, grams, doubt))
    return one


def figures_with(
    told: Mapping[str, Mapping[str, Figure]], tags: Iterable[str], wholes: Wholes
) -> dict[str, Mapping[str, Figure]]:
    """Give the kept figures of single items, and of each container that goes in as of one thing."""
    found = {tag: told[tag] for tag in tags if tag in told}
    for name, held in wholes.items():
        found[name] = _together([told.get(item.tag, {}) for item in held])
    return found


def _together(figures: Sequence[Mapping[str, Figure]]) -> dict[str, Figure]:
    """Sum figures of which no covariance is at hand: their doubts are taken to hang together."""
    found: dict[str, Figure] = {}
    for metal in dict.fromkeys(metal for one in figures for metal in one):
        parts = [one[metal] for one in figures if metal in one]
        if any(one.fine_ug is None or one.u_ug is None for one in parts):
            found[metal] = NOTHING_KNOWN
        else:
            fine_ug = sum(one.fine_ug or 0 for one in parts)
            found[metal] = Figure(fine_ug, sum(one.u_ug or 0 for one in parts), How.WORKED_OUT)
    return found


def weighed_g(gross: Mass, u: Mass | None) -> tuple[float, float]:
    """Give a weight and its doubt in grams, that of the scale in general where none was said."""
    return gross.grams, weight_u(gross.grams) if u is None else u.grams
