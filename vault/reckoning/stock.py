"""Stock: what is on hand by metal and form, and what is locked up in residues by container.

Every uncertainty is that of the sum, with the covariance between its items. Items whose content
of a metal is not known are left out of its sums, and named.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Mapping
from dataclasses import dataclass
from typing import TypeVar

import numpy as np

from vault.core.forms import order_of
from vault.core.items import Item, State
from vault.core.knowledge import Figure
from vault.core.turns import give_way, in_turns
from vault.reckoning.contents import ABSENT, NOT_KNOWN_CODE, Contents
from vault.reckoning.micrograms import figure_of, shown, sum_of

Key = TypeVar("Key", bound=Hashable)

# A residue container is told by its place and the form of what lies in it.
PlaceAndForm = tuple[str, str]


@dataclass(frozen=True, slots=True)
class Sum:
    """The fine metal of some items together.

    Attributes:
        figure: in whole micrograms; the sum of the figures of its items.
        items: how many items are in it.
        not_known: tags of those left out because nothing says what they hold.
    """

    figure: Figure
    items: int
    not_known: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ResidueContainer:
    """The residues of one form in one place.

    Attributes:
        gross_ug: weight on the scale of those that were weighed.
        not_weighed: how many were not.
        contents: by metal, where anything is said of it.
        not_known: tags of items of which no metal is known at all.
        tags: what lies in it, in the order of making.
    """

    place: str
    form: str
    gross_ug: int
    not_weighed: int
    contents: Mapping[str, Sum]
    not_known: tuple[str, ...]
    tags: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Stock:
    """All that is on hand.

    Attributes:
        metals: everything, by metal.
        forms: by metal and form, known forms in their own order.
        residues: by metal, all residues together.
        containers: residues by place and form.
        not_known: tags of residues of which no metal is known at all.
    """

    metals: Mapping[str, Sum]
    forms: Mapping[tuple[str, str], Sum]
    residues: Mapping[str, Sum]
    containers: tuple[ResidueContainer, ...]
    not_known: tuple[str, ...]


def on_hand(items: Iterable[Item]) -> list[Item]:
    """Give the items that are in the shop and not used up, in order."""
    return [item for item in in_turns(items) if item.state is State.ON_HAND]


def stock_of(items: Iterable[Item], contents: Contents) -> Stock:
    """Sum up what is on hand."""
    here = on_hand(items)
    residues = [item for item in in_turns(here) if item.is_residue]
    by_form = _grouped((item.form, item) for item in here)
    forms = sorted(by_form, key=order_of)
    in_containers = _grouped(((item.place, item.form), item) for item in residues)
    groups: dict[tuple[str, object], list[str]] = {("all", ""): [item.tag for item in here]}
    groups["residues", ""] = [item.tag for item in residues]
    groups |= {("form", form): [item.tag for item in by_form[form]] for form in forms}
    groups |= {("in", key): [item.tag for item in held] for key, held in in_containers.items()}
    sums = {metal: _sums(contents, metal, groups) for metal in contents.metals}
    return Stock(
        metals=_by_metal(sums, ("all", "")),
        forms={
            (metal, form): found["form", form]
            for metal, found in sums.items()
            for form in forms
            if ("form", form) in found
        },
        residues=_by_metal(sums, ("residues", "")),
        containers=tuple(
            _container(key, in_containers[key], _by_metal(sums, ("in", key)), contents)
            for key in sorted(in_containers, key=lambda key: (key[0], order_of(key[1])))
        ),
        not_known=nothing_known(residues, contents),
    )


def sums_of(contents: Contents, metal: str, groups: Mapping[str, Iterable[str]]) -> dict[str, Sum]:
    """Sum one metal over named groups of tags; a group that holds none of it is left out."""
    keyed: dict[tuple[str, object], list[str]] = {
        ("", name): list(tags) for name, tags in groups.items()
    }
    return {str(name): found for (_, name), found in _sums(contents, metal, keyed).items()}


def nothing_known(items: Iterable[Item], contents: Contents) -> tuple[str, ...]:
    """Give the tags of items of which no metal at all is known, though they may hold some."""
    tags = [item.tag for item in in_turns(items)]
    places = contents.places(tags)
    known = np.zeros(len(tags), dtype=np.bool_)
    for balance in contents.balances.values():
        codes = balance.how[places]
        known |= (codes != ABSENT) & (codes != NOT_KNOWN_CODE)
    return tuple(tags[at] for at in np.flatnonzero(~known).tolist())


def _sums(
    contents: Contents, metal: str, groups: Mapping[tuple[str, object], list[str]]
) -> dict[tuple[str, object], Sum]:
    figures = shown(contents, metal)
    found: dict[tuple[str, object], Sum] = {}
    for key, total in contents.totals(groups, metal).items():
        give_way()
        if total.items or total.not_known:
            fine_ug = sum_of(figures, contents.places(groups[key]))
            found[key] = Sum(figure_of(total, fine_ug), total.items, total.not_known)
    return found


def _by_metal(
    sums: Mapping[str, Mapping[tuple[str, object], Sum]], key: tuple[str, object]
) -> dict[str, Sum]:
    return {metal: found[key] for metal, found in sums.items() if key in found}


def _grouped(pairs: Iterable[tuple[Key, Item]]) -> dict[Key, list[Item]]:
    groups: dict[Key, list[Item]] = {}
    for key, item in in_turns(pairs):
        groups.setdefault(key, []).append(item)
    return groups


def _container(
    key: PlaceAndForm, held: list[Item], sums: Mapping[str, Sum], contents: Contents
) -> ResidueContainer:
    weighed = [item.gross.micrograms for item in held if item.gross is not None]
    return ResidueContainer(
        place=key[0],
        form=key[1],
        gross_ug=sum(weighed),
        not_weighed=len(held) - len(weighed),
        contents=sums,
        not_known=nothing_known(held, contents),
        tags=tuple(item.tag for item in held),
    )
