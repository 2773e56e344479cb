"""The next assay to make: what to sample so that the total of the residues becomes surest."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from math import isnan

from vault.application.book import Book
from vault.application.circumstances import circumstances
from vault.application.queries.answers.residues import NextAssay, ToSample
from vault.application.queries.send_out_grounds import grounds_of
from vault.application.reckoned import Reckoned
from vault.core.items import Item
from vault.core.knowledge import Figure
from vault.reckoning.circumstances import Circumstances
from vault.reckoning.contents import ABSENT, NOT_KNOWN_CODE, Contents
from vault.reckoning.guesses import sampling_constant
from vault.reckoning.micrograms import micrograms
from vault.reckoning.next_assays import Offer, assays_worth
from vault.reckoning.samples import sample_cost, sample_g, share_u
from vault.reckoning.sampling_worth import worth_of_surer
from vault.reckoning.stock import nothing_known, on_hand, sums_of

# A doubt that falls by less is not worth anybody's way to the drum.
_LEAST_FALL = 0.02
_ALL = "all"
_SILENT = (ABSENT, NOT_KNOWN_CODE)


def next_assay(book: Book, metal: str) -> NextAssay | None:
    """Give the next assay for a metal; None where nothing of it is known or worked out."""
    reckoned = book.reckoned
    if reckoned is None or metal not in reckoned.contents.metals:
        return None
    contents = reckoned.contents
    residues = [item for item in on_hand(reckoned.shop.items.values()) if item.is_residue]
    tags = [item.tag for item in residues]
    whole = sums_of(contents, metal, {_ALL: tags}).get(_ALL)
    if whole is None or whole.figure.fine_ug is None:
        return None
    containers = _containers(residues)
    around = circumstances(book)
    offers = dict(_offers(containers, contents, metal, around))
    best = assays_worth(contents, tags, metal, list(offers), most=1)
    helps = bool(best) and best[0].u_g < (1.0 - _LEAST_FALL) * best[0].before_g
    before = whole.figure
    return NextAssay(
        metal=metal,
        samples=tuple(offers[one] for one in best[0].offers) if helps else (),
        before=before,
        after=Figure(before.fine_ug, micrograms(best[0].u_g), before.how) if helps else before,
        not_known=_not_known(containers, contents),
        cost=best[0].cost if helps else 0.0,
        worth=_worth(book, reckoned, metal, [(one, offers[one]) for one in best[0].offers])
        if helps
        else None,
        currency=around.currency,
    )


def _worth(
    book: Book, reckoned: Reckoned, metal: str, samples: Sequence[tuple[Offer, ToSample]]
) -> float | None:
    """Give what samples are worth for deciding on the containers that they are of."""
    taken: dict[tuple[str, str], list[Offer]] = {}
    for offer, one in samples:
        taken.setdefault((one.place, one.form), []).append(offer)
    worths = [_worth_for(book, reckoned, metal, key, offers) for key, offers in taken.items()]
    told = [one for one in worths if one is not None]
    return sum(told) if len(told) == len(worths) else None


def _worth_for(
    book: Book, reckoned: Reckoned, metal: str, key: tuple[str, str], offers: list[Offer]
) -> float | None:
    kind = [
        one
        for one in reckoned.shop.items.values()
        if one.is_residue and (one.place, one.form) == key
    ]
    here = list(on_hand(kind))
    grounds = grounds_of(book, reckoned, here, kind)
    if not grounds.is_whole:
        return None
    tags = [one.tag for one in here]
    tried = assays_worth(reckoned.contents, tags, metal, offers)
    surer = next((one for one in tried if len(one.offers) == len(offers)), None)
    return 0.0 if surer is None else worth_of_surer(grounds.setting(), {metal: surer.u_g})


def _containers(residues: Iterable[Item]) -> dict[tuple[str, str], list[Item]]:
    found: dict[tuple[str, str], list[Item]] = {}
    for item in residues:
        found.setdefault((item.place, item.form), []).append(item)
    return found


def _not_known(
    containers: Mapping[tuple[str, str], list[Item]], contents: Contents
) -> tuple[tuple[str, str], ...]:
    silent = (
        key for key, held in containers.items() if len(nothing_known(held, contents)) == len(held)
    )
    return tuple(sorted(silent))


def _offers(
    containers: Mapping[tuple[str, str], list[Item]],
    contents: Contents,
    metal: str,
    costs: Circumstances,
) -> Iterator[tuple[Offer, ToSample]]:
    """Give everything that could be sampled: each container of several things, and each thing."""
    sampling = costs.sampling
    if sampling is None:
        return
    several = [held for (place, _), held in containers.items() if place and len(held) > 1]
    for held, gross_g, scale_g in _scales(several, containers.values(), contents, metal):
        if isnan(gross_g) or gross_g <= 0.0:
            continue
        first = held[0]
        share = share_u(sampling, sampling_constant(first.form), gross_g)
        yield (
            Offer(
                tags=tuple(one.tag for one in held),
                u_g=share * scale_g,
                cost=sample_cost(sampling, costs.wage_per_hour, gross_g),
            ),
            ToSample(
                place=first.place,
                form=first.form,
                tag=first.tag if len(held) == 1 else "",
                items=len(held),
                sample_ug=micrograms(sample_g(sampling, gross_g)),
                share_u=share,
            ),
        )


def _scales(
    several: Sequence[Sequence[Item]],
    all_held: Iterable[Sequence[Item]],
    contents: Contents,
    metal: str,
) -> Iterator[tuple[Sequence[Item], float, float]]:
    """Give wholes of which something is known: their weight, and what an assay's ± is a share of.

    Of what is hardly there the doubt about it stands for the content.
    """
    groups = {at: [one.tag for one in held] for at, held in enumerate(several)}
    for at, total in contents.totals(groups, metal).items():
        if total.items:
            gross_g = contents.gross_g[contents.places(groups[at])].sum()
            yield several[at], float(gross_g), max(abs(total.fine_g), total.u_g)
    balance = contents.balances[metal]
    for held in all_held:
        for item in held:
            place = contents.place_of[item.tag]
            if balance.how[place] not in _SILENT:
                fine_g, u_g = float(balance.estimates[place]), float(balance.uncertainties[place])
                yield [item], float(contents.gross_g[place]), max(abs(fine_g), u_g)
