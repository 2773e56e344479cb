"""Entries in words: what happened, as a person at the bench would say it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from decimal import Decimal
from typing import Protocol

from vault.core.daybook import Act, Entry, Line, Process, Role, Said
from vault.core.fineness import Fineness
from vault.core.items import Item
from vault.core.knowledge import Figure, How
from vault.core.masses import Mass
from vault.core.uncertainty import rounded, rounded_span


class Numbers(Protocol):
    """How masses and finenesses are written: the units and number style that the reader set."""

    def mass(self, mass: Mass) -> str:
        """Write a weight with its unit."""

    def fineness(self, fineness: Fineness, u: Fineness | None) -> str:
        """Write a fineness, with its uncertainty where there is one, and its unit."""


class WorkNumbers(Numbers, Protocol):
    """What words about a work that is not recorded yet want besides."""

    def uncut_with_unit(self, figure: Figure) -> str:
        """Write fine metal, a total or what is left over with its ± and its unit."""

    def span(self, low_ug: int, high_ug: int) -> str:
        """Write a weight of which only the ends are known, with its unit: `226 to 236 g`."""


class PlainNumbers:
    """Grams and ‰ with a decimal point, as the daybook file has them."""

    def mass(self, mass: Mass) -> str:
        """Write grams, exact."""
        return f"{mass.to_text()} g"

    def fineness(self, fineness: Fineness, u: Fineness | None) -> str:
        """Write ‰, rounded to its uncertainty where there is one."""
        if u is None or u.ppb == 0:
            return f"{fineness.to_text()} ‰"
        value, doubt = rounded(float(fineness.permille), float(u.permille))
        return f"{value} ± {doubt} ‰"

    def uncut_with_unit(self, figure: Figure) -> str:
        """Write grams, rounded to their uncertainty."""
        if figure.fine_ug is None:
            return "not known"
        u = None if figure.u_ug is None else _grams(figure.u_ug)
        value, doubt = rounded(_grams(figure.fine_ug), u)
        return f"{value} ± {doubt} g" if doubt else f"{value} g"

    def span(self, low_ug: int, high_ug: int) -> str:
        """Write grams, with the digits that the width of the span allows."""
        low, high = rounded_span(_grams(low_ug), _grams(high_ug))
        return f"{low} g" if low == high else f"{low} to {high} g"


PLAIN = PlainNumbers()


def _grams(ug: int) -> Decimal:
    return Mass(ug).in_unit("g")


# Enough of a SHA-256 to tell two pictures apart.
_DIGITS_OF_A_PICTURE = 12

_DONE = {
    Process.SORT: "sorted",
    Process.DIVIDE: "divided",
    Process.BURN_OFF: "burnt off",
    Process.SMELT: "smelted",
    Process.CUPEL: "cupelled",
    Process.REMELT: "remelted",
    Process.POUR: "poured",
    Process.CRUSH: "crushed",
    Process.BLEND: "blended",
    Process.SAMPLE: "sampled",
    Process.OTHER: "worked",
}


def listed(names: Iterable[str], *, most: int = 4) -> str:
    """Give names in a row, cut with a count of the rest: `K-1, K-2, K-3 and 9 more`."""
    names = list(names)
    if len(names) <= most:
        return ", ".join(names)
    return f"{', '.join(names[:most])} and {len(names) - most} more"


def contents_in_words(contents: Sequence[Said], numbers: Numbers = PLAIN) -> str:
    """Give what is said of each metal: `Ag 925 ‰, Au 2.1 ± 0.2 ‰`."""
    return ", ".join(f"{said.metal} {numbers.fineness(said.fineness, said.u)}" for said in contents)


def known_from(item: Item | None, metal: str, how: How, numbers: Numbers = PLAIN) -> str:
    """Say what a content rests on first: `1 004.62 g on the scale × 998.0 ‰ (fire assay A-077)`."""
    if how is How.NOT_KNOWN:
        return "nothing says what it holds"
    last = None if item is None else next(reversed(list(item.said_of(metal))), None)
    if item is None or last is None or how is How.WORKED_OUT:
        return "worked out from the balance of the works around it"
    saying, said = last
    fineness = numbers.fineness(said.fineness, said.u)
    source = f"{saying.how}{' ' + saying.ref if saying.ref else ''}"
    gross = saying.gross if saying.gross is not None else item.gross
    if gross is None:
        return f"{fineness} ({source}); not weighed"
    return f"{numbers.mass(gross)} on the scale × {fineness} ({source})"


def line_in_words(entry: Entry, line: Line, numbers: Numbers = PLAIN) -> str:
    """Give one line of an entry in full, for the entry's own page."""
    parts = [line.role.value, line.tag, line.form or ""]
    said = [
        f"lot {line.lot}" if line.lot else "",
        line.party,
        line.terms,
        numbers.mass(line.gross) if line.gross is not None else "",
        contents_in_words(line.contents, numbers),
        line.how,
        _place_in_words(entry.act, line),
        _ref_in_words(entry.act, line),
        f"{line.money.to_text()} {line.money.currency}" if line.money is not None else "",
        f"“{line.note}”" if line.note else "",
        *_bench_in_words(line, numbers),
    ]
    head = " ".join(part for part in parts if part)
    return " · ".join(part for part in (head, *said) if part)


def _place_in_words(act: Act, line: Line) -> str:
    if not line.place:
        return ""
    return f"in {line.place}" if act is Act.SEND else f"→ {line.place}"


def _ref_in_words(act: Act, line: Line) -> str:
    if not line.ref:
        return ""
    if act in {Act.SEND, Act.SETTLE}:
        return f"shipment {line.ref}"
    if act is Act.PHOTO:
        return f"picture {line.ref[:_DIGITS_OF_A_PICTURE]}…"
    named = {Act.STRIKE: "entry ", Act.SEAL: "seal "}.get(act, "")
    return f"{named}{line.ref}"


def _bench_in_words(line: Line, numbers: Numbers) -> Iterator[str]:
    if line.tare is not None:
        yield f"tare {numbers.mass(line.tare)}"
    if line.nominal is not None:
        yield f"test weight {numbers.mass(line.nominal)}"
    if line.hold_until is not None:
        yield f"held until {line.hold_until.isoformat()}"
    if line.scale:
        yield f"on {line.scale}"
    if line.witness:
        yield f"seen by {line.witness}"
    if line.furnace:
        yield line.furnace


def entry_in_words(entry: Entry, numbers: Numbers = PLAIN) -> str:
    """Give a whole entry in one line, for the list of the daybook."""
    return _WHOLE[entry.act](entry, numbers)


def for_item(entry: Entry, tag: str, numbers: Numbers = PLAIN) -> str:
    """Give what an entry meant for one of its items, for that item's history."""
    line = next((one for one in entry.lines if one.tag == tag), entry.lines[0])
    return _FOR_ITEM[entry.act](entry, line, numbers)


def _bracketed(ref: str) -> str:
    return f" ({ref})" if ref else ""


def _received(entry: Entry, line: Line, numbers: Numbers) -> str:
    del entry
    weight = f", {numbers.mass(line.gross)}" if line.gross is not None else ""
    held = f", held until {line.hold_until.isoformat()}" if line.hold_until is not None else ""
    return f"received with lot {line.lot} from {line.party or 'the house'}{weight}{held}"


def _assayed(entry: Entry, line: Line, numbers: Numbers) -> str:
    del entry
    return f"{line.how} {contents_in_words(line.contents, numbers)}{_bracketed(line.ref)}"


def _weighed(entry: Entry, line: Line, numbers: Numbers) -> str:
    del entry
    on_scale = f" on {line.scale}" if line.scale else ""
    return f"weighed {numbers.mass(line.gross)}{on_scale}" if line.gross is not None else "weighed"


def _moved(entry: Entry, line: Line, numbers: Numbers) -> str:
    del entry, numbers
    return f"moved to {line.place}"


def _photographed(entry: Entry, line: Line, numbers: Numbers) -> str:
    del entry, numbers
    return f"photographed: {line.note}" if line.note else "photographed"


def _sealed(entry: Entry, line: Line, numbers: Numbers) -> str:
    del entry, numbers
    beside = f", seen by {line.witness}" if line.witness else ""
    return f"seal {line.ref} {line.role.value}{beside}"


def _settled(entry: Entry, line: Line, numbers: Numbers) -> str:
    del entry
    agreed = contents_in_words(line.contents, numbers) or "an amount"
    return f"settled at {agreed}{_bracketed(line.ref)}"


def _left(entry: Entry, line: Line, numbers: Numbers) -> str:
    del numbers
    verb = {Act.SEND: "sent to", Act.RETURN: "returned to", Act.SELL: "sold to"}[entry.act]
    return f"{verb} {line.party}{_bracketed(line.ref)}"


def _counted(entry: Entry, line: Line, numbers: Numbers) -> str:
    del entry
    weight = f", {numbers.mass(line.gross)}" if line.gross is not None else ""
    if line.role is Role.MISSING:
        return "not found at the count"
    if line.role is Role.EXTRA:
        return f"found at the count{weight}"
    return f"seen at the count{weight}"


def _worked(entry: Entry, line: Line, numbers: Numbers) -> str:
    process = entry.process or Process.OTHER
    done = _DONE[process]
    used = [one.tag for one in entry.lines if one.role is Role.USED]
    if line.role is Role.MADE:
        weight = f", {numbers.mass(line.gross)}" if line.gross is not None else ", not weighed"
        return f"{done} from {listed(used)}{weight}"
    made = [one.tag for one in entry.lines if one.role is Role.MADE]
    others = [tag for tag in used if tag != line.tag]
    beside = f" with {listed(others, most=2)}" if others else ""
    return f"{done}{beside} into {listed(made)}"


def _tags(entry: Entry, role: Role) -> list[str]:
    return [line.tag for line in entry.lines if line.role is role and line.tag]


def _receive(entry: Entry, numbers: Numbers) -> str:
    first = entry.lines[0]
    weighed = [line.gross.micrograms for line in entry.lines if line.gross is not None]
    weight = f", {numbers.mass(Mass(sum(weighed)))}" if weighed else ""
    return (
        f"lot {first.lot} from {first.party or 'the house'} ({first.terms}): "
        f"{listed(line.form + ' ' + line.tag for line in entry.lines)}{weight}"
    )


def _work(entry: Entry, numbers: Numbers) -> str:
    del numbers
    process = entry.process or Process.OTHER
    added = [line.form for line in entry.lines if line.role is Role.ADDED]
    beside = f" with {listed(added, most=3)}" if added else ""
    made = [f"{line.form} {line.tag}" for line in entry.lines if line.role is Role.MADE]
    return f"{process.value} {listed(_tags(entry, Role.USED))}{beside} into {listed(made)}"


def _assay(entry: Entry, numbers: Numbers) -> str:
    first = entry.lines[0]
    words = f"{first.how} of {first.tag}: {contents_in_words(first.contents, numbers)}"
    more = f" and {len(entry.lines) - 1} more" if len(entry.lines) > 1 else ""
    return f"{words}{more}{_bracketed(first.ref)}"


def _weigh(entry: Entry, numbers: Numbers) -> str:
    return ", ".join(
        f"{line.tag} {numbers.mass(line.gross)}"
        for line in entry.lines[:4]
        if line.gross is not None
    ) + (f" and {len(entry.lines) - 4} more" if len(entry.lines) > 4 else "")


def _move(entry: Entry, numbers: Numbers) -> str:
    del numbers
    places = sorted({line.place for line in entry.lines})
    return f"{listed(_tags(entry, Role.OF))} to {listed(places)}"


def _leaving(entry: Entry, numbers: Numbers) -> str:
    del numbers
    first = entry.lines[0]
    on_terms = f" on terms “{first.terms}”" if first.terms else ""
    return f"{listed(_tags(entry, Role.OUT))} to {first.party}{on_terms}{_bracketed(first.ref)}"


def _settle(entry: Entry, numbers: Numbers) -> str:
    amounts = [line.money for line in entry.lines if line.money is not None]
    alone = any(line.tag and line.contents for line in entry.lines)
    parts = [
        f"{line.tag or _whole_in_words(line, numbers, alone=alone)} "
        f"at {contents_in_words(line.contents, numbers)}"
        for line in entry.lines
        if line.contents
    ]
    if amounts:
        net = sum(one.amount for one in amounts)
        parts.append(f"{net:f} {amounts[0].currency} net")
    return f"shipment {entry.lines[0].ref}: {listed(parts)}"


def _whole_in_words(line: Line, numbers: Numbers, *, alone: bool) -> str:
    """Say what a line settles that names no item: all that was sent, or all but those named."""
    weight = "" if line.gross is None else f", {numbers.mass(line.gross)},"
    return f"{'the rest' if alone else 'the whole'}{weight}"


def _count(entry: Entry, numbers: Numbers) -> str:
    del numbers
    missing, extra = _tags(entry, Role.MISSING), _tags(entry, Role.EXTRA)
    words = f"{len(_tags(entry, Role.OF))} seen"
    if missing:
        words += f", missing {listed(missing)}"
    return words + (f", extra {listed(extra)}" if extra else "")


def _price(entry: Entry, numbers: Numbers) -> str:
    del numbers
    return ", ".join(
        f"{line.ref} {line.money.to_text()} {line.money.currency} a gram"
        for line in entry.lines
        if line.money is not None
    )


def _photo(entry: Entry, numbers: Numbers) -> str:
    del numbers
    captions = [f"“{line.note}”" for line in entry.lines if line.note]
    named = listed(dict.fromkeys(line.tag for line in entry.lines))
    return f"{named}: {listed(captions)}" if captions else named


def _seal(entry: Entry, numbers: Numbers) -> str:
    return listed(f"{line.tag}: {_sealed(entry, line, numbers)}" for line in entry.lines)


def _scale_check(entry: Entry, numbers: Numbers) -> str:
    return listed(
        f"{line.scale} showed {numbers.mass(line.gross)} under {numbers.mass(line.nominal)}"
        for line in entry.lines
        if line.gross is not None and line.nominal is not None
    )


def _strike(entry: Entry, numbers: Numbers) -> str:
    del numbers
    return f"entry {entry.lines[0].ref}, because: {entry.lines[0].note}"


_FOR_ITEM: dict[Act, Callable[[Entry, Line, Numbers], str]] = {
    Act.RECEIVE: _received,
    Act.WORK: _worked,
    Act.ASSAY: _assayed,
    Act.WEIGH: _weighed,
    Act.MOVE: _moved,
    Act.SEND: _left,
    Act.RETURN: _left,
    Act.SELL: _left,
    Act.SETTLE: _settled,
    Act.COUNT: _counted,
    Act.PHOTO: _photographed,
    Act.SEAL: _sealed,
}

_WHOLE: dict[Act, Callable[[Entry, Numbers], str]] = {
    Act.RECEIVE: _receive,
    Act.WORK: _work,
    Act.ASSAY: _assay,
    Act.WEIGH: _weigh,
    Act.MOVE: _move,
    Act.SEND: _leaving,
    Act.RETURN: _leaving,
    Act.SELL: _leaving,
    Act.SETTLE: _settle,
    Act.COUNT: _count,
    Act.PRICE: _price,
    Act.PHOTO: _photo,
    Act.SEAL: _seal,
    Act.SCALE_CHECK: _scale_check,
    Act.STRIKE: _strike,
}
