"""Parcels: items of a book taken together, as a choice about residues wants them.

Totals carry the covariance of their items. Metals are solved each by itself, so that between two
metals nothing is taken to be tied. A thing of which no metal is known is left out, its weight with
it, and named; so is what is not known of one metal, whose weight counts all the same.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from vault.core.items import Item
from vault.core.makeup import Makeup
from vault.reckoning.choices import Making, Residues
from vault.reckoning.contents import Contents, Total
from vault.reckoning.gathering import Gathering
from vault.reckoning.guesses import sampling_constant
from vault.reckoning.stock import nothing_known


@dataclass(frozen=True, slots=True)
class Parcelled:
    """Items taken together, and what of them is in no figure.

    Attributes:
        residues: what a choice is made on.
        items: how many are in it.
        part_not_known: by metal, tags of items whose metal is not known while others' is.
        not_weighed: tags of those without any weight, not even one worked out.
    """

    residues: Residues
    items: int
    part_not_known: Mapping[str, tuple[str, ...]]
    not_weighed: tuple[str, ...]


def parcelled(
    items: Sequence[Item], contents: Contents, makeup: Mapping[str, Makeup] | None = None
) -> Parcelled:
    """Take items together.

    Args:
        items: residues, or anything else that could be sent.
        contents: a reckoned book.
        makeup: by form, what such things are made of beside precious metal.
    """
    unknown = nothing_known(items, contents)
    left_out = set(unknown)
    kept = [one for one in items if one.tag not in left_out]
    tags = [one.tag for one in kept]
    places = contents.places(tags)
    gross = contents.gross_g[places]
    weighed = ~np.isnan(gross)
    dry, shares = _made_of(
        {
            form: float(gross[weighed & np.array([one.form == form for one in kept])].sum())
            for form in {one.form for one in kept}
        },
        makeup or {},
    )
    totals = {metal: contents.total(tags, metal) for metal in contents.metals}
    known = {metal: one for metal, one in totals.items() if one.items}
    residues = Residues(
        metals=tuple(known),
        fine_g=tuple(one.fine_g for one in known.values()),
        covariance_g2=_apart(list(known.values())),
        received_g=float(gross[weighed].sum()),
        received_u_g=float(np.sqrt(np.square(contents.gross_u_g[places][weighed]).sum())),
        dry_share=dry,
        shares=shares,
        not_known=tuple(m for m, one in totals.items() if one.not_known and not one.items),
        left_out=unknown,
        lumps_g=max((sampling_constant(form) for form in {one.form for one in kept}), default=0.0),
    )
    return Parcelled(
        residues=residues,
        items=len(kept),
        part_not_known={m: one.not_known for m, one in known.items() if one.not_known},
        not_weighed=tuple(
            tag for tag, is_weighed in zip(tags, weighed, strict=True) if not is_weighed
        ),
    )


def _made_of(
    weights: Mapping[str, float], makeup: Mapping[str, Makeup]
) -> tuple[float | None, dict[str, float]]:
    """Give the dry share of forms together and the shares of elements, by their weights.

    What is not said of every form that weighs anything is not known of them together.
    """
    there = {form: grams for form, grams in weights.items() if grams > 0.0}
    whole = sum(there.values())
    said = [(makeup.get(form, Makeup()), grams / whole) for form, grams in there.items()]
    if not said:
        return None, {}
    dry = [(one.dry.share, part) for one, part in said if one.dry is not None]
    shares: dict[str, float] = {}
    for element in said[0][0].shares:
        parts = [(one.shares[element].share, part) for one, part in said if element in one.shares]
        if len(parts) == len(said):
            shares[element] = sum(share * part for share, part in parts)
    return sum(share * part for share, part in dry) if len(dry) == len(said) else None, shares


def making_of(gathering: Gathering, metals: Sequence[str]) -> Making | None:
    """Give what the shop adds each week, of these metals; None where it made nothing."""
    if not gathering.items:
        return None
    return Making(
        weight_g=gathering.weight.grams,
        weight_u_g=gathering.weight.u_g,
        fine_g={
            metal: (gathering.fine[metal].grams, gathering.fine[metal].u_g)
            for metal in metals
            if metal in gathering.fine
        },
    )


def _apart(totals: Sequence[Total]) -> tuple[tuple[float, ...], ...]:
    """Give the covariance of totals of different metals, none of it between two of them."""
    return tuple(
        tuple(one.u_g**2 if at == other else 0.0 for other in range(len(totals)))
        for at, one in enumerate(totals)
    )
