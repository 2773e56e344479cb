"""What the book refuses: the rules that every entry keeps, each broken one told in a sentence."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence

from vault.core.daybook import (
    FIRST_YEAR,
    LAST_YEAR,
    WORDS,
    Act,
    Entry,
    Line,
    Process,
    Role,
    Terms,
    When,
    words_of,
)
from vault.core.errors import Fault, RuleBroken
from vault.core.fineness import WHOLE_PPB
from vault.core.items import Item, State
from vault.core.knowledge import METHODS
from vault.core.masses import Mass
from vault.core.metals import BY_SYMBOL
from vault.core.shop import Shop
from vault.core.words import trouble_with

# The roles that lines of each act can have, and what each such line cannot do without.
_NEEDED: dict[Act, dict[Role, tuple[str, ...]]] = {
    Act.RECEIVE: {Role.IN: ("tag", "form", "lot", "terms")},
    Act.WORK: {Role.USED: ("tag",), Role.ADDED: ("form",), Role.MADE: ("tag", "form")},
    Act.ASSAY: {Role.OF: ("tag", "how")},
    Act.WEIGH: {Role.OF: ("tag",)},
    Act.MOVE: {Role.OF: ("tag", "place")},
    Act.SEND: {Role.OUT: ("tag", "party")},
    Act.SETTLE: {Role.LINE: ("ref",)},
    Act.RETURN: {Role.OUT: ("tag", "party")},
    Act.SELL: {Role.OUT: ("tag", "party")},
    Act.COUNT: {Role.OF: ("tag",), Role.MISSING: ("tag",), Role.EXTRA: ("tag", "form")},
    Act.PRICE: {Role.LINE: ("ref",)},
    Act.STRIKE: {Role.NONE: ("ref", "note")},
}
ROLES: dict[Act, frozenset[Role]] = {act: frozenset(roles) for act, roles in _NEEDED.items()}
_MEANING = {
    "tag": "the item's tag",
    "form": "what it is, such as bar or slag",
    "lot": "the lot it belongs to",
    "terms": "toll, bought or own",
    "how": "the assay method",
    "place": "where it goes",
    "party": "who gets it",
    "ref": "what it refers to",
    "note": "the reason",
}

# Metal that burns takes up oxygen; the most any common metal gains is aluminium's
# Al -> Al2O3, 1.88944 by mass (atomic weights of the IUPAC).
_MOST_GAIN_IN_FIRE = 1.89
_FIRE = frozenset(
    {Process.BURN_OFF, Process.SMELT, Process.CUPEL, Process.REMELT, Process.POUR, Process.OTHER}
)
# Cold work adds nothing but a little moisture from the air (common practice, no source).
_MOST_GAIN_COLD = 1.02
_SLACK = Mass(100_000)
# Three standard uncertainties; beyond them assays that add up to more than pure contradict.
_FINENESS_SLACK_PPB = 2_000_000

Check = Callable[[Entry, Shop], Iterator[Fault]]


def faults_of(entry: Entry, shop: Shop) -> list[Fault]:
    """List everything that is wrong with an entry that would come next in this shop."""
    faults = list(_order(entry, shop))
    shape = list(_shape(entry))
    if entry.lines:
        found = _CHECKS[entry.act](entry, shop)
        shape += _not_told(found, shape) if shape else found
    return faults + shape


def _not_told(found: Iterator[Fault], shape: Sequence[Fault]) -> list[Fault]:
    """Leave out what only follows from a line that is not what it should be."""
    told = {(fault.line, fault.column) for fault in shape}
    strange = {fault.line for fault in shape if fault.column == "role"}
    return [
        fault
        for fault in found
        if (fault.line, fault.column) not in told
        and fault.line not in strange
        and not (strange and fault.line is None)
    ]


def record(shop: Shop, entry: Entry) -> None:
    """Take an entry into the shop, or refuse it.

    Raises:
        RuleBroken: with every fault found; nothing is changed then.
    """
    faults = faults_of(entry, shop)
    if faults:
        raise RuleBroken(faults)
    shop.take(entry)


def replay(entries: Iterable[Entry]) -> Shop:
    """Build the shop from its entries, refusing the first that breaks a rule.

    Raises:
        RuleBroken: at the first entry that cannot be true.
    """
    shop = Shop()
    for entry in entries:
        record(shop, entry)
    return shop


def _order(entry: Entry, shop: Shop) -> Iterator[Fault]:
    if entry.number <= shop.last_number:
        yield Fault(
            None,
            "entry",
            f"Entry {entry.number} comes after entry {shop.last_number}; numbers must rise.",
        )
    if not FIRST_YEAR <= entry.when.day.year <= LAST_YEAR:
        yield Fault(
            None,
            "when",
            f"The year {entry.when.day.year} lies outside {FIRST_YEAR} to {LAST_YEAR}.",
        )
    elif shop.latest is not None and entry.when.is_before(shop.latest):
        yield Fault(
            None,
            "when",
            f"Entry {entry.number} is dated {_said(entry.when)}, before {_said(shop.latest)} of "
            "an entry above it; put entries in the order in which things happened.",
        )
    if not entry.by.strip():
        yield Fault(None, "by", f"Entry {entry.number} does not say who recorded it.")
    elif trouble := trouble_with(entry.by):
        yield Fault(None, "by", trouble)
    if not entry.lines:
        yield Fault(None, "act", f"Entry {entry.number} has no lines.")


def _said(when: When) -> str:
    return when.day.isoformat() if when.at is None else f"{when.at:%Y-%m-%d %H:%M} UTC"


def _shape(entry: Entry) -> Iterator[Fault]:
    if entry.act is Act.WORK and entry.process is None:
        names = ", ".join(process.value for process in Process)
        yield Fault(None, "process", f"This work names no process; one of {names} is needed.")
    if entry.act is not Act.WORK and entry.process is not None:
        yield Fault(None, "process", f"A process belongs to work only, not to “{entry.act.value}”.")
    seen: set[str] = set()
    for at, line in enumerate(entry.lines):
        yield from _line_shape(entry.act, at, line)
        if line.tag:
            if line.tag in seen:
                yield Fault(at, "tag", f"{line.tag} stands in this entry twice; name it once.")
            seen.add(line.tag)


def _line_shape(act: Act, at: int, line: Line) -> Iterator[Fault]:
    needed = _NEEDED[act].get(line.role)
    if needed is None:
        roles = " or ".join(sorted(f"“{role.value}”" for role in ROLES[act]))
        yield Fault(
            at, "role", f"A line of “{act.value}” has the role {roles}, not “{line.role.value}”."
        )
        return
    for column in needed:
        if not getattr(line, column):
            yield Fault(
                at,
                column,
                f"The column “{column}” is empty; a line of “{act.value}” needs "
                f"{_MEANING[column]}.",
            )
    yield from _words_shape(at, line)
    if line.gross is not None or line.gross_u is not None:
        yield from _weight_shape(at, line)
    if line.contents:
        yield from _contents_shape(act, at, line)
    elif line.how and act is not Act.ASSAY:
        yield Fault(at, "how", "“how” says how contents are known, but no content is given.")


def _words_shape(at: int, line: Line) -> Iterator[Fault]:
    for column, word in zip(WORDS, words_of(line), strict=True):
        if word and (trouble := trouble_with(word, is_note=column == "note")):
            yield Fault(at, column, trouble)


def _weight_shape(at: int, line: Line) -> Iterator[Fault]:
    if line.gross is None:
        yield Fault(at, "gross_u_g", "An uncertainty is given without the weight it belongs to.")
    elif line.gross.micrograms <= 0:
        yield Fault(
            at,
            "gross_g",
            f"A weight of {line.gross.to_text()} g is impossible; it must be more than nothing. "
            "Leave it empty where nothing was weighed.",
        )
    if line.gross_u is not None and line.gross_u.micrograms < 0:
        yield Fault(at, "gross_u_g", "An uncertainty cannot be below zero.")


def _contents_shape(act: Act, at: int, line: Line) -> Iterator[Fault]:
    if line.how and line.how != "declared" and line.how not in METHODS:
        yield Fault(
            at,
            "how",
            f"“{line.how}” is no method known here; write declared, {', '.join(METHODS)}.",
        )
    if act is Act.ASSAY and line.how == "declared":
        yield Fault(at, "how", "An assay names its method; somebody's word is no assay.")
    whole = 0
    for place, said in enumerate(line.contents):
        whole += said.fineness.ppb
        if said.metal not in BY_SYMBOL:
            yield Fault(at, said.metal, f"“{said.metal}” is no precious metal known here.")
        elif any(said.metal == other.metal for other in line.contents[:place]):
            yield Fault(at, said.metal, f"{said.metal} is given twice for one item; say it once.")
        elif not 0 <= said.fineness.ppb <= WHOLE_PPB:
            yield Fault(
                at,
                said.metal,
                f"{said.fineness.to_text()} ‰ {said.metal} is impossible; it lies between 0 and "
                "1000 ‰.",
            )
        if said.u is not None and not 0 <= said.u.ppb <= WHOLE_PPB:
            yield Fault(
                at, f"{said.metal}_u", "An uncertainty of fineness lies between 0 and 1000 ‰."
            )
    if whole > WHOLE_PPB + _FINENESS_SLACK_PPB + _three_u_ppb(line):
        yield Fault(
            at,
            line.contents[0].metal,
            f"The metals of this line add up to {whole / 1_000_000:.1f} ‰, more than pure metal.",
        )


def _three_u_ppb(line: Line) -> int:
    return 3 * sum(said.u.ppb for said in line.contents if said.u is not None)


def _new_tag(at: int, line: Line, shop: Shop) -> Iterator[Fault]:
    if line.tag in shop.given:
        yield Fault(
            at,
            "tag",
            f"Tag {line.tag} was given before; a tag is never given twice, even after a strike.",
        )


def _item_on_hand(at: int, line: Line, shop: Shop, verb: str) -> Iterator[Fault]:
    item = shop.items.get(line.tag)
    if item is None:
        yield _unknown(at, line.tag, shop)
        return
    if item.state is not State.ON_HAND:
        yield Fault(
            at, "tag", f"{line.tag} cannot be {verb}: it was {_whereabouts(item)} before this."
        )
    elif line.form and line.role is not Role.EXTRA and line.form != item.form:
        yield Fault(
            at,
            "form",
            f"{line.tag} is “{item.form}” in the book, not “{line.form}”; leave it empty.",
        )


def _unknown(at: int, tag: str, shop: Shop) -> Fault:
    if tag in shop.given:
        return Fault(at, "tag", f"{tag} was struck from the book; nothing can happen to it.")
    return Fault(at, "tag", f"No item with tag {tag} has been recorded up to here; check the tag.")


def _whereabouts(item: Item) -> str:
    state = item.state
    if state is State.USED:
        return f"used up in entry {item.used_by}"
    if state is State.MISSING:
        return f"found missing in entry {item.passages[-1].entry}"
    return f"{state.value} in entry {item.passages[-1].entry}"


def _receive(entry: Entry, shop: Shop) -> Iterator[Fault]:
    here: dict[str, tuple[str, str]] = {}
    for at, line in enumerate(entry.lines):
        yield from _new_tag(at, line, shop)
        whose = (line.party, line.terms)
        if line.terms not in {terms.value for terms in Terms}:
            yield Fault(
                at, "terms", f"“{line.terms}” are no terms of receipt; write toll, bought or own."
            )
        elif line.terms != Terms.OWN.value and not line.party:
            yield Fault(at, "party", f"A lot received as “{line.terms}” needs its customer.")
        elif here.setdefault(line.lot, whose) != whose:
            yield Fault(
                at, "party", f"Lot {line.lot} has two customers or terms within this entry."
            )
        known = shop.lots.get(line.lot)
        if known is not None and (known.party, known.terms) != (line.party, line.terms):
            yield Fault(
                at,
                "lot",
                f"Lot {line.lot} was received before, from {known.party or 'the house'} as "
                f"{known.terms}; give this one a number of its own.",
            )


def _work(entry: Entry, shop: Shop) -> Iterator[Fault]:
    roles = [line.role for line in entry.lines]
    if Role.USED not in roles:
        yield Fault(None, "role", "This work uses no item; name at least one that went in.")
    if Role.MADE not in roles:
        yield Fault(None, "role", "This work makes no item; name at least one that came out.")
    for at, line in enumerate(entry.lines):
        if line.role is Role.USED:
            yield from _item_on_hand(at, line, shop, "used")
        elif line.role is Role.MADE:
            yield from _new_tag(at, line, shop)
        elif line.tag:
            yield Fault(
                at,
                "tag",
                f"A thing added has no tag; record {line.tag} as used, or leave it empty.",
            )
    if Role.USED in roles:
        yield from _too_heavy(entry, shop)


def _too_heavy(entry: Entry, shop: Shop) -> Iterator[Fault]:
    most = _most_that_can_come_out(entry, shop)
    if most is None:
        return
    out = 0
    for at, line in enumerate(entry.lines):
        if line.role is Role.MADE and line.gross is not None:
            out += line.gross.micrograms
            if out > most:
                yield Fault(
                    at,
                    "gross_g",
                    f"With {line.tag} at {line.gross.to_text()} g more came out than can have "
                    f"gone in ({Mass(most).to_text()} g at the very most); check the weights.",
                )
                return


def _most_that_can_come_out(entry: Entry, shop: Shop) -> int | None:
    put_in = 0
    for line in entry.lines:
        if line.role is Role.USED:
            item = shop.items.get(line.tag)
            gross = item.gross if item is not None else None
        elif line.role is Role.ADDED:
            gross = line.gross
        else:
            continue
        if gross is None:
            return None
        put_in += gross.micrograms
    is_cold = entry.process is not None and entry.process not in _FIRE
    gain = _MOST_GAIN_COLD if is_cold else _MOST_GAIN_IN_FIRE
    return int(put_in * gain) + _SLACK.micrograms


def _assay(entry: Entry, shop: Shop) -> Iterator[Fault]:
    for at, line in enumerate(entry.lines):
        if line.tag not in shop.items:
            yield _unknown(at, line.tag, shop)
        if not line.contents:
            yield Fault(at, "Ag", "This assay gives no content of any metal.")


def _weigh(entry: Entry, shop: Shop) -> Iterator[Fault]:
    for at, line in enumerate(entry.lines):
        yield from _item_on_hand(at, line, shop, "weighed")
        # An uncertainty alone is told already.
        if line.gross is None and line.gross_u is None:
            yield Fault(at, "gross_g", "This weighing gives no weight.")


def _move(entry: Entry, shop: Shop) -> Iterator[Fault]:
    for at, line in enumerate(entry.lines):
        if line.tag in shop.items or line.tag in shop.given or line.tag not in shop.places:
            yield from _item_on_hand(at, line, shop, "moved")
        elif line.tag in shop.places_around(line.place):
            yield Fault(at, "place", f"{line.tag} cannot be put into itself.")


def _leave(entry: Entry, shop: Shop) -> Iterator[Fault]:
    verb = {Act.SEND: "sent", Act.RETURN: "returned", Act.SELL: "sold"}[entry.act]
    for at, line in enumerate(entry.lines):
        yield from _item_on_hand(at, line, shop, verb)


def _settle(entry: Entry, shop: Shop) -> Iterator[Fault]:
    for at, line in enumerate(entry.lines):
        if not shop.sent.get(line.ref):
            yield Fault(at, "ref", f"No shipment {line.ref} was sent; check its number.")
        elif line.tag:
            yield from _settled_item(at, line, shop)
        if not line.contents and line.money is None:
            yield Fault(at, "amount", "This line settles neither a content nor an amount.")
        if line.money is not None and line.money.millionths % 10_000:
            yield Fault(at, "amount", "A settled amount has at most two decimals.")


def _settled_item(at: int, line: Line, shop: Shop) -> Iterator[Fault]:
    item = shop.items.get(line.tag)
    if item is None:
        yield _unknown(at, line.tag, shop)
    elif not any(one.state is State.SENT and one.ref == line.ref for one in item.passages):
        yield Fault(at, "tag", f"{line.tag} was not in shipment {line.ref}.")


def _count(entry: Entry, shop: Shop) -> Iterator[Fault]:
    for at, line in enumerate(entry.lines):
        if line.role is Role.EXTRA:
            yield from _new_tag(at, line, shop)
            continue
        item = shop.items.get(line.tag)
        if line.role is Role.OF and item is not None and item.state is State.MISSING:
            continue
        yield from _item_on_hand(at, line, shop, "counted")


def _price(entry: Entry, shop: Shop) -> Iterator[Fault]:
    del shop
    for at, line in enumerate(entry.lines):
        if line.tag:
            yield Fault(at, "tag", f"A price is no item's; leave the tag {line.tag} out.")
        if line.ref not in BY_SYMBOL:
            yield Fault(at, "ref", f"“{line.ref}” is no metal known here; write Ag, Au, Pt or Pd.")
        if line.money is None:
            yield Fault(at, "amount", "A price needs its amount for one gram, and its currency.")
        elif line.money.millionths <= 0:
            yield Fault(at, "amount", "A price must be more than nothing.")


def _strike(entry: Entry, shop: Shop) -> Iterator[Fault]:
    if len(entry.lines) != 1:
        yield Fault(None, "act", "A strike strikes one entry; record one strike for each.")
        return
    if entry.lines[0].tag:
        yield Fault(0, "tag", "A strike strikes a whole entry; leave the tag out.")
    ref = entry.lines[0].ref
    # Nine digits are more entries than a shop lives to write, and keep int() fast.
    number = int(ref) if ref.isascii() and ref.isdigit() and len(ref) <= 9 else 0
    target = shop.entries.get(number)
    if target is None:
        yield Fault(0, "ref", f"There is no entry {ref} before this one to strike.")
    elif number in shop.struck:
        yield Fault(0, "ref", f"Entry {number} was struck already, by entry {shop.struck[number]}.")
    elif target.act is Act.STRIKE:
        yield Fault(0, "ref", f"Entry {number} is itself a strike; record the facts anew instead.")
    else:
        leaning = shop.leaning_on(number)
        if leaning:
            names = ", ".join(str(one) for one in leaning[:10])
            more = f" and {len(leaning) - 10} more" if len(leaning) > 10 else ""
            yield Fault(
                0,
                "ref",
                f"Entry {number} cannot be struck while later entries lean on it: {names}{more}. "
                "Strike those first, the last one first.",
            )


_CHECKS: dict[Act, Check] = {
    Act.RECEIVE: _receive,
    Act.WORK: _work,
    Act.ASSAY: _assay,
    Act.WEIGH: _weigh,
    Act.MOVE: _move,
    Act.SEND: _leave,
    Act.SETTLE: _settle,
    Act.RETURN: _leave,
    Act.SELL: _leave,
    Act.COUNT: _count,
    Act.PRICE: _price,
    Act.STRIKE: _strike,
}
