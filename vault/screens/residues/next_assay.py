"""The words of the next assay: what to sample, and what it would do for the doubt."""

from __future__ import annotations

from collections.abc import Sequence

from vault.application.queries.answers.residues import NextAssay, ToSample
from vault.screens.numbers import Numbers, metal_name
from vault.screens.words import NO_PLACE, forms, sentence_of

_MOST_NOT_KNOWN = 3


def next_assay_words(found: NextAssay, numbers: Numbers) -> str:
    """Say what to sample next and how far the doubt would fall."""
    metal = metal_name(found.metal)
    if not found.samples:
        return f"No single assay would make the {metal} in all the residues much surer."
    named = sentence_of([_named(one) for one in found.samples])
    one = len(found.samples) == 1
    what, would = ("a sample", "It") if one else ("samples", "They")
    _, before = numbers.uncut_and_doubt(found.before.fine_ug, found.before.u_ug)
    _, after = numbers.uncut_and_doubt(found.after.fine_ug, found.after.u_ug)
    told = (
        f"Next assay to make: {what} of {named}. {would} would cut the doubt about the {metal} in "
        f"all the residues from ± {before} {numbers.unit} to ± {after} {numbers.unit}."
    )
    return f"{told} {_money_words(found, numbers)}" if found.currency else told


def _money_words(found: NextAssay, numbers: Numbers) -> str:
    """Say what it costs, and what it is worth when it is decided what to do with the residues."""
    one = len(found.samples) == 1
    costs = f"{'It costs' if one else 'They cost'} about {numbers.money(found.cost)}"
    costs += f" {found.currency}"
    if found.worth is None:
        return f"{costs}."
    if found.worth < 1.0:
        return f"{costs} and would change nothing about what to do."
    it, itself = ("it is", "it pays for itself") if one else ("they are", "they pay for themselves")
    if found.worth <= found.cost:
        itself = "that is less"
    worth = f"{numbers.money(found.worth)} {found.currency}"
    return f"{costs}; for deciding what to do {it} worth about {worth}: {itself}."


def sample_words(found: NextAssay, numbers: Numbers) -> str:
    """Say how each sample is taken and how far it may be off, and what nobody knows."""
    told = [_sample(one, numbers) for one in found.samples]
    if found.not_known:
        told.append(_not_known_words(found.not_known))
    return "\n".join(told)


def _named(one: ToSample) -> str:
    if one.tag:
        return f"{one.tag} ({one.form})"
    return f"{one.place} ({forms(one.form)})"


def _sample(one: ToSample, numbers: Numbers) -> str:
    """Say how to sample: all of it crushed and blended, so that every part has the same chance."""
    whole = one.tag or f"all {numbers.count(one.items)} things in {one.place}"
    weight = numbers.roughly(one.sample_ug)
    return (
        f"Crush and blend {whole}, and take about {weight} in many small scoops from all over it. "
        f"Sample and assay together are then good to about ± {numbers.share(one.share_u)} of the "
        "content. Wet it and wear a mask: the dust harms the lungs, and that of cupels holds lead."
    )


def _not_known_words(not_known: Sequence[tuple[str, str]]) -> str:
    named = [f"the {forms(form)} in {place or NO_PLACE}" for place, form in not_known]
    if len(named) > _MOST_NOT_KNOWN:
        more = len(named) - _MOST_NOT_KNOWN + 1
        named = [*named[: _MOST_NOT_KNOWN - 1], f"that in {more} more places"]
    return f"Nothing is known of {sentence_of(named)}: only an assay can tell."
