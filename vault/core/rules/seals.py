"""Seals: what can be said of one, and what an unbroken one forbids."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

from vault.core.daybook import Act, Entry, Line, Role
from vault.core.errors import Fault
from vault.core.items import State
from vault.core.rules.tags import item_on_hand
from vault.core.seals import Sealing
from vault.core.shop import Shop


def faults_of_seal(entry: Entry, shop: Shop) -> Iterator[Fault]:
    """Tell whether a seal is put on twice, or is not the one that is on."""
    for at, line in enumerate(entry.lines):
        if line.tag in shop.items or line.tag in shop.given or line.tag not in shop.places:
            not_there = list(item_on_hand(at, line, shop, "sealed"))
            if not_there:
                yield from not_there
                continue
        if line.role is Role.APPLIED:
            yield from _applied(at, line, shop.seal_on(line.tag))
        else:
            yield from _looked_at(at, line, shop.seal_on(line.tag))


def _applied(at: int, line: Line, on_it: Sealing | None) -> Iterator[Fault]:
    if on_it is not None:
        yield Fault(
            at,
            "tag",
            f"{line.tag} carries seal {on_it.number} already; record that one as broken first.",
        )


def _looked_at(at: int, line: Line, on_it: Sealing | None) -> Iterator[Fault]:
    if on_it is None:
        yield Fault(
            at,
            "ref",
            f"{line.tag} carries no seal in the book; record seal {line.ref} as applied first.",
        )
    elif on_it.number != line.ref:
        yield Fault(
            at,
            "ref",
            f"{line.tag} carries seal {on_it.number} in the book, not {line.ref}; read the number "
            f"once more. If another one is on it now, record {on_it.number} as broken.",
        )


def faults_of_sealed(entry: Entry, shop: Shop) -> Iterator[Fault]:
    """Tell whether something is worked, taken out or put in that an unbroken seal keeps shut."""
    taken_along = frozenset(line.tag for line in entry.lines if line.role is Role.OUT)
    # A drum of thousands is looked through once, not once for each of them.
    stays_in = cache(lambda container: not shop.lying_in(container) <= taken_along)
    for at, line in enumerate(entry.lines):
        item = shop.items.get(line.tag)
        if item is not None and item.state is not State.ON_HAND:
            continue
        if line.role is Role.USED and item is not None and item.seal:
            yield Fault(
                at,
                "tag",
                f"{line.tag} is under seal {item.seal} and cannot be worked; record the seal as "
                "broken first.",
            )
        elif line.role is Role.USED:
            yield from _taken_out(at, line, shop, _shut_around(line, entry.act, shop))
        elif line.role is Role.OUT:
            shut = _shut_around(line, entry.act, shop)
            # A whole sealed container may leave, with all that lies in it.
            left = [one for one in shut if stays_in(one)]
            yield from _taken_out(at, line, shop, left)
        elif line.place:
            yield from _put_elsewhere(at, line, entry.act, shop)


def _put_elsewhere(at: int, line: Line, act: Act, shop: Shop) -> Iterator[Fault]:
    around = _around(line, act, shop)
    if around[:1] == (line.place,):
        return
    shut = _shut_around(line, act, shop)
    if shut:
        yield from _taken_out(at, line, shop, shut)
        return
    for one in shop.sealed_around(line.place):
        yield Fault(
            at,
            "place",
            f"{one} is under seal {_number_on(one, shop)}; nothing can be put into it before that "
            "seal is recorded as broken.",
        )


def _taken_out(at: int, line: Line, shop: Shop, shut: list[str]) -> Iterator[Fault]:
    for one in shut[:1]:
        yield Fault(
            at,
            "tag",
            f"{line.tag} lies in {one}, which is under seal {_number_on(one, shop)}; nothing can "
            "be taken out of it before that seal is recorded as broken.",
        )


def _shut_around(line: Line, act: Act, shop: Shop) -> list[str]:
    return [one for place in _around(line, act, shop)[:1] for one in shop.sealed_around(place)]


def _around(line: Line, act: Act, shop: Shop) -> tuple[str, ...]:
    """Give where an item, or a container that is moved, lies before this entry."""
    item = shop.items.get(line.tag)
    if item is not None:
        return shop.place_of(item)
    return shop.places_around(line.tag)[1:] if act is Act.MOVE and line.tag else ()


def _number_on(container: str, shop: Shop) -> str:
    on_it = shop.seal_on(container)
    return "" if on_it is None else on_it.number
