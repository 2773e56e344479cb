"""What a person looking over one's shoulder would say about a work before it is recorded.

Only what the rules of the book refuse is refused here, in their own words. What is not filled in
yet is told as lacking; all else warns.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence

from vault.application.operations.work_draft import WorkDraft
from vault.application.queries.answers.work import Gravity, Side, WorkFinding, WorkPreview
from vault.application.queries.work_aids import AidFigures
from vault.application.queries.work_reading import Looked
from vault.application.queries.work_weight import WholeWeight
from vault.application.wording import WorkNumbers
from vault.core.cautions import ACID, CADMIUM, CYANIDE, MERCURY, WET, spoken_of
from vault.core.daybook import Process
from vault.core.errors import Fault
from vault.core.forms import is_residue
from vault.core.work_cautions import is_heated
from vault.reckoning.aids import Passes
from vault.reckoning.guesses import MOLTEN
from vault.reckoning.micrograms import micrograms

_FIELDS = {"gross_g": "gross", "gross_u_g": "gross", "how": "contents", "role": ""}
_SILVER_IN = frozenset({"sample"})


def refusals_of(looked: Looked) -> Iterator[WorkFinding]:
    """Give what the rules refuse, in their words, but for what is only not filled in yet."""
    draft = looked.draft
    parts = [at for at, one in enumerate(draft.used) if one.part is not None]
    # Of a container that goes in, one thing that stands in the way is told, not all of them.
    told: set[int] = set()
    for place, fault in looked.faults:
        if place < len(parts):
            field = "tag" if fault.line == 0 else "part"
            yield _refused(Side.USED, parts[place], field, fault)
            continue
        side, line = _line_of(draft, fault)
        if side is Side.USED and line is not None and draft.used[line].held:
            if line in told:
                continue
            told.add(line)
        field = _FIELDS.get(fault.column, fault.column)
        if fault.column[:2] in {"Ag", "Au", "Pt", "Pd", "Rh", "Ir", "Ru", "Os"}:
            field = "contents"
        if not _is_only_missing(draft, side, line, fault):
            yield _refused(side, line, field, fault)


def _refused(side: Side, line: int | None, field: str, fault: Fault) -> WorkFinding:
    return WorkFinding(Gravity.REFUSES, side, line, field, fault.sentence)


def _line_of(draft: WorkDraft, fault: Fault) -> tuple[Side, int | None]:
    if fault.line is None:
        return Side.WHOLE, None
    # A container that goes in has a line of the entry for each thing in it.
    owners = [at for at, one in enumerate(draft.used) for _ in one.going_in]
    if fault.line < len(owners):
        return Side.USED, owners[fault.line]
    at = fault.line - len(owners)
    for side, count in ((Side.ADDED, len(draft.added)), (Side.MADE, len(draft.made))):
        if at < count:
            return side, at
        at -= count
    return Side.WHOLE, None


def _is_only_missing(draft: WorkDraft, side: Side, line: int | None, fault: Fault) -> bool:
    """Tell whether a fault says no more than that something is not filled in."""
    if side is Side.WHOLE:
        return fault.column in {"role", "process", "by", "act"}
    at = line or 0
    if side is Side.USED:
        return fault.column == "tag" and not all(draft.used[at].going_in)
    if side is Side.ADDED:
        return fault.column == "form" and not draft.added[at].form
    made = draft.made[at]
    return (fault.column == "tag" and not made.tag) or (fault.column == "form" and not made.form)


def lacking_of(looked: Looked, operator: str) -> Iterator[WorkFinding]:
    """Give what the book cannot do without and is not filled in yet."""
    draft = looked.draft
    if draft.process is None:
        yield _lacks(Side.WHOLE, None, "process", "Choose what is done.")
    if not any(one.tag for one in draft.used):
        yield _lacks(Side.USED, None, "tag", "Scan or pick what goes in.")
    else:
        yield from _lacking_used(draft)
    for at, thing in enumerate(draft.added):
        if not thing.form:
            yield _lacks(Side.ADDED, at, "form", "Say what is added, or remove the line.")
    if not draft.made:
        yield _lacks(Side.MADE, None, "tag", "Name what came out.")
    yield from _lacking_made(draft)
    if not operator.strip():
        yield _lacks(Side.WHOLE, None, "by", "Say who is working.")


def _lacking_used(draft: WorkDraft) -> Iterator[WorkFinding]:
    for at, one in enumerate(draft.used):
        if one.part is not None and not (one.part.tag and one.part.rest_tag):
            sentence = f"Give the part taken of {one.tag} and what stays a tag each."
            yield _lacks(Side.USED, at, "part", sentence)
        elif not one.tag:
            sentence = "A line of what goes in is empty; fill it or remove it."
            yield _lacks(Side.USED, at, "tag", sentence)


def _lacking_made(draft: WorkDraft) -> Iterator[WorkFinding]:
    for at, made in enumerate(draft.made):
        if not made.form:
            name = made.tag or "what came out"
            yield _lacks(Side.MADE, at, "form", f"Say what {name} is, such as button or slag.")
        elif not made.tag:
            yield _lacks(Side.MADE, at, "tag", f"Give the {made.form} a tag.")


def _lacks(side: Side, line: int | None, field: str, sentence: str) -> WorkFinding:
    return WorkFinding(Gravity.LACKS, side, line, field, sentence)


def warnings_of(
    looked: Looked, weight: WholeWeight, figures: AidFigures, numbers: WorkNumbers
) -> Iterator[WorkFinding]:
    """Give what is worth a look and can be recorded all the same."""
    draft = looked.draft
    yield from _unsteady(draft)
    yield from _not_weighed(looked)
    if draft.process is not None:
        yield from _words_that_warn(looked, draft.process)
    if draft.process is Process.CUPEL:
        yield from _lead(figures, numbers)
        yield from _room(figures, numbers)
        yield from _cupels(looked, weight)
        yield from _heat(figures)
    if draft.process is Process.SMELT and draft.made:
        yield from _no_slag(draft)
    yield from _parting(looked, figures, numbers)


def balance_warnings(preview: WorkPreview) -> Iterator[WorkFinding]:
    """Give what does not close in a preview."""
    for metal in preview.metals:
        if metal.closes is False:
            yield _warns(Side.WHOLE, None, "", metal.sentence)
    if preview.weight.closes is False:
        yield _warns(Side.WHOLE, None, "gross", preview.weight.sentence)


def _warns(side: Side, line: int | None, field: str, sentence: str) -> WorkFinding:
    return WorkFinding(Gravity.WARNS, side, line, field, sentence)


def _unsteady(draft: WorkDraft) -> Iterator[WorkFinding]:
    said = "was read while the scale still moved; weigh it again."
    for at, thing in enumerate(draft.added):
        if not thing.steady and thing.gross is not None:
            yield _warns(Side.ADDED, at, "gross", f"The weight of the {thing.form} {said}")
    for at, made in enumerate(draft.made):
        if not made.steady and made.gross is not None:
            name = made.tag or f"the {made.form}"
            yield _warns(Side.MADE, at, "gross", f"The weight of {name} {said}")


def _not_weighed(looked: Looked) -> Iterator[WorkFinding]:
    draft = looked.draft
    for at, one in enumerate(draft.used):
        item = looked.items.get(one.tag)
        if item is not None and item.gross is None and one.part is None:
            name = f"Something in {one.tag}" if one.held else one.tag
            sentence = f"{name} was never weighed; weigh it before it goes in."
            yield _warns(Side.USED, at, "gross", sentence)
    for at, thing in enumerate(draft.added):
        if thing.form and thing.gross is None:
            sentence = f"The {thing.form} has no weight; the whole weight cannot be checked."
            yield _warns(Side.ADDED, at, "gross", sentence)
    for at, made in enumerate(draft.made):
        if made.gross is None and made.form:
            name = made.tag or f"the {made.form}"
            sentence = f"{_capital(name)} is not weighed: its weight is worked out, less surely."
            yield _warns(Side.MADE, at, "gross", sentence)


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]


def _words_that_warn(looked: Looked, process: Process) -> Iterator[WorkFinding]:
    """Look through forms, notes and names for what can hurt or does not belong in the fire."""
    for at, one in enumerate(looked.draft.used):
        item = looked.items.get(one.tag)
        if item is None:
            continue
        said = f"{item.form} {item.note} {item.lot}"
        for sentence in _said_to_warn(process, said):
            yield _warns(Side.USED, at, "tag", sentence.format(tag=item.tag))
        if process in MOLTEN and _OXIDISED.search(said):
            yield _warns(Side.USED, at, "tag", _IS_OXIDISED.format(tag=item.tag))
    draft = looked.draft
    said = " ".join((draft.note, *(f"{thing.form} {thing.note}" for thing in draft.added)))
    for sentence in _said_to_warn(process, said):
        yield _warns(Side.WHOLE, None, "note", sentence.format(tag="This work"))


def _said_to_warn(process: Process, said: str) -> Iterator[str]:
    heated = is_heated(process)
    sentences = {
        MERCURY: _MERCURY if heated else _MERCURY_COLD,
        CADMIUM: _CADMIUM if heated else "",
        ACID: _ACID if heated else "",
        CYANIDE: _ACID if heated else "",
        WET: _WET if heated else "",
    }
    found = (sentences.get(caution, "") for caution in spoken_of(said))
    yield from dict.fromkeys(sentence for sentence in found if sentence)


_OXIDISED = re.compile(r"\b(?:oxidi[sz]ed|scaled|rusty)\b", re.IGNORECASE)
_PARTED = re.compile(r"\b(?:part(?:ed|ing)|inquart\w*)\b", re.IGNORECASE)
_MERCURY = (
    "{tag} speaks of what can hold mercury. Never heat it untested: the vapour poisons and is not "
    "seen."
)
_MERCURY_COLD = "{tag} speaks of what can hold mercury; keep it shut and cold until it is tested."
_CADMIUM = (
    "{tag} speaks of solder or cadmium. Cadmium fume can kill: make sure that there is none in it "
    "before it is melted."
)
_ACID = "{tag} speaks of acid or cyanide; nothing of that may come to the fire."
_WET = "{tag} is noted as wet. Dry it first: water in a crucible explodes with steam."
_IS_OXIDISED = (
    "{tag} is noted as oxidised; without some flux it loses more than a melt usually does."
)


def _lead(figures: AidFigures, numbers: WorkNumbers) -> Iterator[WorkFinding]:
    lead = figures.lead
    if lead is None:
        return
    base = numbers.span(*(micrograms(round(lead.base_g, 1)),) * 2)
    if lead.passes is Passes.NO_LEAD:
        sentence = (
            f"No lead is named for {base} of base metal; name it, unless there is lead in it "
            "already."
        )
        yield _warns(Side.ADDED, None, "form", sentence)
    elif lead.passes is Passes.TOO_LITTLE:
        given = numbers.span(*(micrograms(round(lead.given_g, 1)),) * 2)
        sentence = (
            f"{given} of lead is too little for {base} of base metal, even in several passes; it "
            "is likely to freeze. Take at least as much lead as base metal."
        )
        yield _warns(Side.ADDED, None, "gross", sentence)


def _room(figures: AidFigures, numbers: WorkNumbers) -> Iterator[WorkFinding]:
    room = figures.room
    if room is None or room.fits is True:
        return
    oxides = numbers.span(micrograms(room.oxides.low), micrograms(room.oxides.high))
    most = numbers.span(*(micrograms(round(room.takes.high)),) * 2)
    if room.fits is False:
        sentence = (
            f"The cupel is too small: the oxides would weigh {oxides}, and it takes {most} at the "
            "most. Take a larger one, or several."
        )
    else:
        sentence = (
            f"The cupel may be too small: the oxides would weigh {oxides}, and it takes {most} at "
            "the most."
        )
    yield _warns(Side.ADDED, None, "gross", sentence)


def _cupels(looked: Looked, weight: WholeWeight) -> Iterator[WorkFinding]:
    if not weight.cupels and looked.items:
        sentence = "No new cupel is named; without its weight nobody can tell what it took up."
        yield _warns(Side.ADDED, None, "form", sentence)
    made = looked.draft.made
    if made and not any(one.form == "spent cupel" for one in made):
        sentence = "No spent cupel came out; it keeps some of the metal, and is lead waste."
        yield _warns(Side.MADE, None, "form", sentence)


def _heat(figures: AidFigures) -> Iterator[WorkFinding]:
    heat = figures.heat
    if heat is None or heat.celsius is None:
        return
    if heat.celsius < heat.finish:
        sentence = (
            f"{heat.celsius:.0f} °C is cool for a cupel: litharge melts at {heat.melts:.0f} °C, "
            f"and a bead finishes at {heat.finish:.0f} °C or more."
        )
        yield _warns(Side.WHOLE, None, "furnace", sentence)
    elif heat.celsius > heat.high:
        sentence = (
            f"{heat.celsius:.0f} °C is hot for a cupel; above {heat.high:.0f} °C it takes up more "
            "silver than it need."
        )
        yield _warns(Side.WHOLE, None, "furnace", sentence)


def _no_slag(draft: WorkDraft) -> Iterator[WorkFinding]:
    if not any(is_residue(one.form) for one in draft.made):
        sentence = "No slag came out of this smelting; it keeps some of the metal, so name it."
        yield _warns(Side.MADE, None, "form", sentence)


def _parting(looked: Looked, figures: AidFigures, numbers: WorkNumbers) -> Iterator[WorkFinding]:
    """Speak of silver for parting where an assay or the note says that it will be parted."""
    parting = figures.parting
    if parting is None or parting.enough or looked.draft.process is not Process.CUPEL:
        return
    forms = {item.form for item in looked.items.values()}
    if not (forms & _SILVER_IN or _PARTED.search(looked.draft.note)):
        return
    wanted = numbers.span(*(micrograms(round(parting.to_add_g, 3)),) * 2)
    sentence = (
        f"For parting there is too little silver with the gold; add {wanted}, so that it is two "
        "and a half times the gold."
    )
    yield _warns(Side.ADDED, None, "form", sentence)


_ORDER = {Gravity.REFUSES: 0, Gravity.LACKS: 1, Gravity.WARNS: 2}


def in_order(findings: Iterable[WorkFinding]) -> tuple[WorkFinding, ...]:
    """Put refusals first, then what is lacking, then warnings; the same is told once."""
    once: Sequence[WorkFinding] = tuple(dict.fromkeys(findings))
    return tuple(sorted(once, key=lambda one: _ORDER[one.gravity]))
