"""The whole weight of a work that is not recorded yet: its balance line by line, in words."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from vault.application.operations.work_draft import AddedThing, MadeThing
from vault.application.queries.answers.work import WeightLine, WeightPreview
from vault.application.queries.work_reading import Looked
from vault.application.queries.work_wholes import weighed_g
from vault.application.wording import listed
from vault.core.daybook import Process
from vault.core.forms import is_residue
from vault.core.masses import Mass
from vault.reckoning.closure import (
    Closure,
    Part,
    Verdict,
    Weighed,
    closure_of,
    is_vessel,
)
from vault.reckoning.micrograms import micrograms
from vault.reckoning.oxides import is_metallic_lead
from vault.reckoning.spans import Span


@dataclass(frozen=True, slots=True)
class WholeWeight:
    """What is weighed of a draft, and how it closes.

    Attributes:
        used, added, made: one for each line of the form that names anything, in its order.
        closure: None where nothing goes in or comes out yet, or no process is chosen.
    """

    process: Process | None
    used: tuple[Weighed, ...]
    added: tuple[Weighed, ...]
    made: tuple[Weighed, ...]
    closure: Closure | None

    @property
    def cupels(self) -> tuple[Weighed, ...]:
        """The cupels and crucibles that go in."""
        return tuple(one for one in self.added if is_vessel(one.form))

    @property
    def lead_g(self) -> float:
        """Lead that goes in and will take up oxygen."""
        return sum(one.grams or 0.0 for one in self.added if is_metallic_lead(one.form))


def whole_weight_of(looked: Looked) -> WholeWeight:
    """Give what is weighed of a draft, and its closure as far as it has one."""
    draft = looked.draft
    used = []
    for one in draft.used:
        item = looked.items.get(one.tag)
        if item is not None and one.part is None:
            used.append(_weighed(item.tag, item.form, item.gross, item.gross_u))
        elif item is not None and one.part is not None:
            name = one.part.tag or f"the part of {item.tag}"
            used.append(_weighed(name, item.form, one.part.gross, one.part.gross_u))
    added = tuple(_added(one) for one in draft.added if one.form or one.gross is not None)
    made = tuple(_made(one) for one in draft.made if one.form or one.tag)
    closure = None
    if draft.process is not None and used and any(not is_residue(one.form) for one in made):
        closure = closure_of(draft.process, used=used, added=added, made=made)
    return WholeWeight(draft.process, tuple(used), added, made, closure)


def _weighed(name: str, form: str, gross: Mass | None, u: Mass | None) -> Weighed:
    if gross is None or gross.micrograms <= 0:
        return Weighed(name, form, None)
    return Weighed(name, form, *weighed_g(gross, u))


def _added(one: AddedThing) -> Weighed:
    found = _weighed(f"the {one.form}", one.form, one.gross, one.gross_u)
    return Weighed(found.name, found.form, found.grams, found.u, carries_metal=bool(one.contents))


def _made(one: MadeThing) -> Weighed:
    return _weighed(one.tag or f"the {one.form}", one.form, one.gross, one.gross_u)


def weight_preview(weight: WholeWeight) -> WeightPreview:
    """Give the balance of the whole weight, ready to be shown."""
    closure = weight.closure
    if closure is None:
        return WeightPreview((), None, "")
    if closure.verdict is Verdict.NOT_WEIGHED:
        return WeightPreview((), None, _not_weighed(closure.lacking))
    lines = tuple(_line(part, span, weight) for part, span in closure.lines)
    return WeightPreview(lines, closure.verdict is Verdict.CLOSES, _sentence(closure, weight))


def _line(part: Part, span: Span, weight: WholeWeight) -> WeightLine:
    result = part in {Part.MISSING, Part.BURNT_AWAY}
    if part is Part.MISSING and span.high < 0.0:
        return WeightLine(
            "too much", micrograms(-span.high), micrograms(-span.low), is_result=result
        )
    words = _words(part, weight)
    return WeightLine(words, micrograms(span.low), micrograms(span.high), is_result=result)


def _not_weighed(lacking: Sequence[str]) -> str:
    verb = "is" if len(lacking) == 1 else "are"
    names = listed(lacking)
    return f"{names[0].upper()}{names[1:]} {verb} not weighed, so the whole weight is not checked."


def _words(part: Part, weight: WholeWeight) -> str:
    if part is Part.LEFT_THE_METAL:
        lead = ", with the lead" if weight.lead_g > 0.0 else ""
        forms = {one.form for one in weight.used}
        source = f"the {forms.pop()}" if len(forms) == 1 else "what went in"
        return (
            f"metal that left {source}{lead}"
            if weight.process is Process.CUPEL
            else (f"what of {source} stayed no metal{lead}")
        )
    if part is Part.CUPEL_GAINED and _others(weight.made):
        return "cupel and slag gained"
    if part is Part.SLAG_GAINED and not weight.cupels:
        return "the slag weighs"
    return _WORDS[part]


_WORDS = {
    Part.WENT_IN: "went in",
    Part.AS_OXIDES: "the same as oxides",
    Part.AS_SLAG: "the same in the slag",
    Part.FLUX_LEFT: "flux without its gas",
    Part.FLUX_GAS: "gas from the flux",
    Part.CUPEL_GAINED: "the cupel gained",
    Part.SLAG_GAINED: "slag and crucible gained",
    Part.BURNT_AWAY: "burnt away",
    Part.CAME_OUT: "came out",
    Part.MISSING: "missing: fume and handling",
}


def _others(made: Iterable[Weighed]) -> bool:
    return any(is_residue(one.form) and one.form != "spent cupel" for one in made)


def _sentence(closure: Closure, weight: WholeWeight) -> str:
    if closure.verdict is Verdict.CLOSES:
        return ""
    if closure.verdict is Verdict.MORE_METAL:
        return "More metal came out than went in; check its weight, and whether all is named."
    if closure.verdict is Verdict.TOO_MUCH:
        return _TOO_MUCH.get(weight.process, _TOO_MUCH[None])
    return _TOO_LITTLE.get(weight.process, _TOO_LITTLE[None])


_TOO_MUCH: dict[Process | None, str] = {
    Process.CUPEL: (
        "The cupel gained more than the oxides can weigh; check its weight before and after, and "
        "that of the lead."
    ),
    Process.SMELT: (
        "The slag weighs more than flux and dirt can leave; check its weight, and whether all the "
        "flux is named."
    ),
    Process.BURN_OFF: "More came out than went into the fire; check the weights.",
    None: "More came out than went in; check the weights, and whether all that went in is named.",
}
_TOO_LITTLE: dict[Process | None, str] = {
    Process.CUPEL: (
        "The cupel gained clearly less than the oxides weigh; check the weights, and whether "
        "litharge ran out or the bead is lighter than it read."
    ),
    Process.SMELT: (
        "The slag weighs clearly less than flux and dirt should leave; check the weights, and "
        "whether slag is left in the crucible."
    ),
    Process.BURN_OFF: "Nearly all of it burnt away; check the weights.",
    None: "More is missing than such work usually loses; check the weights and the bench.",
}
