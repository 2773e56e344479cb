"""The shape of an entry: which roles and columns its lines have, and what can stand in each."""

from __future__ import annotations

from collections.abc import Iterator

from vault.core.daybook import (
    FIRST_YEAR,
    LAST_YEAR,
    WORDS,
    Act,
    Entry,
    Line,
    Process,
    Role,
    words_of,
)
from vault.core.errors import Fault
from vault.core.fineness import WHOLE_PPB
from vault.core.knowledge import METHODS
from vault.core.metals import BY_SYMBOL
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
    Act.PHOTO: {Role.OF: ("tag", "ref")},
    Act.SEAL: dict.fromkeys((Role.APPLIED, Role.CHECKED, Role.BROKEN), ("tag", "ref")),
    Act.SCALE_CHECK: {Role.LINE: ("scale",)},
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
    "scale": "the name of the scale",
}
_MEANING_OF_REF = {Act.PHOTO: "the picture", Act.SEAL: "the number on the seal"}
# Three standard uncertainties; beyond them assays that add up to more than pure contradict.
_FINENESS_SLACK_PPB = 2_000_000


def faults_of_shape(entry: Entry) -> Iterator[Fault]:
    """Tell which lines and columns do not belong, or are missing."""
    if entry.act is Act.WORK and entry.process is None:
        names = ", ".join(process.value for process in Process)
        yield Fault(None, "process", f"This work names no process; one of {names} is needed.")
    if entry.act is not Act.WORK and entry.process is not None:
        yield Fault(None, "process", f"A process belongs to work only, not to “{entry.act.value}”.")
    seen: set[str] = set()
    for at, line in enumerate(entry.lines):
        yield from _line_shape(entry.act, at, line)
        if line.tag:
            # Several pictures of one item are several lines, each with its own.
            name = f"{line.tag} {line.ref}" if entry.act is Act.PHOTO else line.tag
            if name in seen:
                yield Fault(at, "tag", f"{line.tag} stands in this entry twice; name it once.")
            seen.add(name)


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
                f"{_meaning(act, column)}.",
            )
    yield from _words_shape(at, line)
    if line.gross is not None or line.gross_u is not None:
        yield from _weight_shape(at, line)
    yield from _bench_shape(act, at, line)
    if line.contents:
        yield from _contents_shape(act, at, line)
    elif line.how and act is not Act.ASSAY:
        yield Fault(at, "how", "“how” says how contents are known, but no content is given.")


def _meaning(act: Act, column: str) -> str:
    return _MEANING_OF_REF.get(act, _MEANING[column]) if column == "ref" else _MEANING[column]


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


def _bench_shape(act: Act, at: int, line: Line) -> Iterator[Fault]:
    if line.tare is not None and line.gross is None:
        yield Fault(
            at, "tare_g", "A tare is given without the weight; write what lay in it as gross."
        )
    elif line.tare is not None and line.tare.micrograms < 0:
        yield Fault(at, "tare_g", "A tare cannot be below zero.")
    if line.scale and line.gross is None and act is not Act.SCALE_CHECK:
        yield Fault(at, "scale", f"The scale {line.scale} is named, but no weight is given.")
    if line.nominal is not None and act is not Act.SCALE_CHECK:
        yield Fault(
            at,
            "nominal_g",
            "The mass of a test weight belongs to a scale check only; leave it out.",
        )
    if line.furnace and act is not Act.WORK:
        yield Fault(at, "furnace", f"Furnace facts belong to work only, not to “{act.value}”.")
    if line.hold_until is None:
        return
    if line.role is not Role.IN:
        yield Fault(
            at, "hold_until", "Only what is received can be held until a day; leave it empty."
        )
    elif not FIRST_YEAR <= line.hold_until.year <= LAST_YEAR:
        yield Fault(
            at,
            "hold_until",
            f"The year {line.hold_until.year} lies outside {FIRST_YEAR} to {LAST_YEAR}.",
        )


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
