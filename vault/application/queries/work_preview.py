"""What can be said of a work before it is recorded: balances, aids, cautions and findings."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from math import hypot

from vault.application.book import Book
from vault.application.operations.work_draft import WorkDraft
from vault.application.queries.answers.work import (
    BetterKnown,
    Caution,
    MadeMetal,
    MetalPreview,
    WeightPreview,
    WorkPreview,
)
from vault.application.queries.work_aids import aid_figures_of, aids_of
from vault.application.queries.work_findings import (
    balance_warnings,
    in_order,
    lacking_of,
    refusals_of,
    warnings_of,
)
from vault.application.queries.work_reading import Looked, look_at
from vault.application.queries.work_weight import weight_preview, whole_weight_of
from vault.application.wording import PLAIN, WorkNumbers, listed
from vault.core.forms import is_residue
from vault.core.knowledge import NOTHING_KNOWN, Figure, How
from vault.core.metals import BY_SYMBOL
from vault.core.work_cautions import cautions_of_work
from vault.reckoning.closure import LIMIT
from vault.reckoning.contents import Content
from vault.reckoning.foresight import ForeseenMetal
from vault.reckoning.micrograms import PER_GRAM, micrograms

# An item is told to be known better when its doubt falls below this share of what it was.
_BETTER = 0.9
# A metal that nobody knows of and that is less than this share of the charge is not shown.
_OF_NO_ACCOUNT = 0.001
_OF_NO_METAL = "What goes in holds too little precious metal to balance."
_OF_UNKNOWN_METAL = (
    "Nothing is known of the metal in what goes in; an assay, or a word on its fineness when it is "
    "received, would tell."
)
# Metals are heavier than what holds them only where the difference is more than this share of it.
_LEAST_OVER = 0.0005


def preview_work(book: Book, draft: WorkDraft, numbers: WorkNumbers = PLAIN) -> WorkPreview:
    """Give all that can be said of a draft; half-filled ones are told as far as they go."""
    looked = look_at(book, draft)
    weight = whole_weight_of(looked)
    figures = aid_figures_of(looked, weight)
    metals = tuple(_metals(looked, numbers))
    whole = weight_preview(weight)
    closes, sentence = _outcome(metals, whole)
    if looked.items and not metals and closes is None:
        sentence = f"{_silence(looked)} {sentence}".strip()
    preview = WorkPreview(
        metals=metals,
        weight=whole,
        sentence=sentence,
        closes=closes,
        aids=aids_of(figures, weight, numbers),
        cautions=_cautions(looked),
        findings=(),
        figures_of=looked.figures_of,
        stale=_stale(looked),
    )
    findings = [
        *refusals_of(looked),
        *lacking_of(looked, book.operator),
        *balance_warnings(preview),
        *warnings_of(looked, weight, figures, numbers),
    ]
    return replace(preview, findings=in_order(findings))


def _metals(looked: Looked, numbers: WorkNumbers) -> Iterator[MetalPreview]:
    """Give the metals that play a part, that of which most goes in first."""
    shown = [one for one in looked.foresight.metals.values() if _is_of_account(one, looked)]
    heavy = _heavier_than_itself(looked, numbers)
    for one in sorted(shown, key=lambda one: -one.fed.fine_g if one.fed.determinable else 1.0):
        closes, sentence = _metal_outcome(one, looked, heavy, numbers)
        yield MetalPreview(
            metal=one.metal,
            went_in=_figure(one.fed),
            made=tuple(_made(one, looked)),
            lost=_lost(one),
            better=tuple(_better(one, looked)),
            closes=closes,
            sentence=sentence,
        )


def _is_of_account(one: ForeseenMetal, looked: Looked) -> bool:
    if not one.fed.determinable:
        return True
    charge = sum(grams for grams, _ in looked.foresight.gross.values())
    is_sure = one.fed.fine_g > 2.0 * one.fed.u_g
    return is_sure or one.fed.fine_g + 2.0 * one.fed.u_g > _OF_NO_ACCOUNT * charge


def _figure(content: Content) -> Figure:
    if not content.determinable:
        return NOTHING_KNOWN
    return Figure(micrograms(content.fine_g), micrograms(content.u_g), content.how)


def _lost(one: ForeseenMetal) -> Figure:
    loss = one.loss
    if loss is None or not loss.determinable:
        return NOTHING_KNOWN
    return Figure(micrograms(loss.fine_g), micrograms(loss.u_g), How.WORKED_OUT)


def _made(one: ForeseenMetal, looked: Looked) -> Iterator[MadeMetal]:
    for tag, thing in zip(looked.made, looked.draft.made, strict=True):
        content = one.made.get(tag)
        if content is not None:
            yield MadeMetal(thing.tag, thing.form, _figure(content), is_residue(thing.form))


def _better(one: ForeseenMetal, looked: Looked) -> Iterator[BetterKnown]:
    several = len(looked.items) > 1
    for tag, before in one.before.items():
        now = one.after[tag]
        learnt = not before.determinable or now.u_g < _BETTER * before.u_g
        if now.determinable and learnt:
            form = looked.items[tag].form
            name = tag if several else f"the {form}"
            sentence = (
                f"{name} is now known better" if before.determinable else f"{name} is now known"
            )
            yield BetterKnown(tag, form, _figure(before), _figure(now), sentence)


def _metal_outcome(
    one: ForeseenMetal, looked: Looked, heavy: str, numbers: WorkNumbers
) -> tuple[bool | None, str]:
    """Tell whether the balance of a metal closes, and if not, why."""
    name = BY_SYMBOL[one.metal].name
    if not one.fed.determinable:
        blind = [tag for tag, content in one.before.items() if not content.determinable]
        verb = "holds" if len(blind) == 1 else "hold"
        which = f"what {listed(blind)} {verb} is" if blind else "what goes in is"
        return None, f"How much {name} there is nobody can tell: {which} not known."
    if one.loss is None:
        return None, ""
    if heavy:
        return False, heavy
    if one.pull > LIMIT:
        return False, _contradiction(one, looked, numbers)
    return True, ""


def _contradiction(one: ForeseenMetal, looked: Looked, numbers: WorkNumbers) -> str:
    """Say what went in, and what is said of the things that came out."""
    name = BY_SYMBOL[one.metal].name
    said = 0.0
    tags = []
    for thing in looked.draft.made:
        for content in thing.contents:
            if content.metal == one.metal and thing.gross is not None:
                said += thing.gross.grams * content.fineness.share
                tags.append(thing.tag or f"the {thing.form}")
    went_in = numbers.uncut_with_unit(_figure(one.fed))
    if not tags:
        return f"The {name} does not add up with what was known of it before; look at the weights."
    ug = round(said, 2) * PER_GRAM
    return (
        f"{went_in} of {name} went in, but by what is said of {listed(tags)} "
        f"{numbers.span(round(ug), round(ug))} came out; check weights and finenesses."
    )


def _heavier_than_itself(looked: Looked, numbers: WorkNumbers) -> str:
    """Say which thing weighs less than the metal that must be in it; empty where none does."""
    metals = looked.foresight.metals.values()
    for tag, thing in zip(looked.made, looked.draft.made, strict=True):
        if thing.gross is None or tag not in looked.foresight.gross:
            continue
        inside = [one.made[tag] for one in metals if tag in one.made]
        if not inside or not all(one.determinable for one in inside):
            continue
        fine = sum(one.fine_g for one in inside)
        grams, weight_u = looked.foresight.gross[tag]
        u = hypot(weight_u, *(one.u_g for one in inside))
        if fine - grams > max(LIMIT * u, _LEAST_OVER * grams):
            holds = numbers.uncut_with_unit(Figure(micrograms(fine), micrograms(u), How.WORKED_OUT))
            name = thing.tag or f"The {thing.form}"
            return (
                f"{name} weighs {numbers.mass(thing.gross)}, but {holds} of metal should be in "
                "it; check its weight, or what is said of what went in."
            )
    return ""


def _outcome(metals: tuple[MetalPreview, ...], whole: WeightPreview) -> tuple[bool | None, str]:
    """Sum all balances up in one line."""
    verdicts = [one.closes for one in metals] + [whole.closes]
    open_ones = [BY_SYMBOL[one.metal].name for one in metals if one.closes is False]
    if whole.closes is False:
        open_ones.append("whole weight")
    if open_ones:
        verb = "does" if len(open_ones) == 1 else "do"
        return False, f"The {_and(open_ones)} {verb} not close."
    if not metals or None in verdicts:
        closed = [BY_SYMBOL[one.metal].name for one in metals if one.closes]
        if whole.closes:
            closed.append("whole weight")
        verb = "closes" if len(closed) == 1 else "close"
        return None, f"The {_and(closed)} {verb}." if closed else ""
    return True, "Both balances close." if len(verdicts) == 2 else "All balances close."


def _silence(looked: Looked) -> str:
    """Say why there is no balance of any metal though something goes in."""
    return _OF_NO_METAL if looked.foresight.metals else _OF_UNKNOWN_METAL


def _and(names: list[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def _cautions(looked: Looked) -> tuple[Caution, ...]:
    draft = looked.draft
    if draft.process is None:
        return ()
    forms = [item.form for item in looked.items.values()] + [one.form for one in draft.added]
    words: Iterable[str] = (
        *(f"{item.note} {item.lot}" for item in looked.items.values()),
        draft.note,
        *(one.note for one in draft.added),
    )
    return tuple(Caution(*one) for one in cautions_of_work(draft.process, forms, *words))


def _stale(looked: Looked) -> str:
    """Say what the figures do not hold yet; empty where they hold all that matters here."""
    if looked.figures_of is None:
        return (
            "Nothing has been worked out yet; only what was said of these items themselves counts."
            if looked.items
            else ""
        )
    late = looked.not_in_figures
    if not late:
        return ""
    verb = "has" if len(late) == 1 else "have"
    return (
        f"Figures of entry {looked.figures_of}: {listed(late)} {verb} later entries, which count "
        "here only as far as they speak of the item itself."
    )
