"""Foresight: what a work that is not recorded yet would give, and what it would teach.

What is known of the items that go in stands as it is: their contents with all covariances, and the
house factors, are the prior. To it come the rows that the work would add to the balance, written by
the builder that writes those of recorded works. The small dense problem

    x = mean + root·ε + lean·(κ − κ̄)   of what goes in,   ε, η ~ N(0, 1),   κ = κ̄ + factor_root·η,
    Σ c·x + b·κ = y ± u                 for every row of the work,

is solved by QR, whatever the size of the book. For given rows this is what a reckoning of the whole
book with the work in it would give; the one thing left out is that such a reckoning also sets anew
the scale of the doubts of earlier works, which follows the contents believed (decision 17).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from vault.core.daybook import Entry, Role
from vault.core.flow import works_of
from vault.core.items import Item, Weighing
from vault.core.knowledge import Figure, How
from vault.core.masses import Mass
from vault.core.metals import ALL_SYMBOLS
from vault.core.shop import Shop
from vault.reckoning.contents import ABSENT, HOWS, Content, Contents, Loss
from vault.reckoning.draft_balance import (
    DraftBalance,
    Known,
    Scene,
    beside,
    independent,
    plays_a_part,
    solve_draft,
)
from vault.reckoning.facts import METAL_CODE, NOBODY, WORD, Facts, facts_of
from vault.reckoning.guesses import DEFAULT, Guesses
from vault.reckoning.marks import declared_doubts
from vault.reckoning.micrograms import PER_GRAM, micrograms
from vault.reckoning.nominal import added_of
from vault.reckoning.one_thread import one_thread
from vault.reckoning.row_pile import RowKind
from vault.reckoning.solved_metal import NOT_DETERMINABLE
from vault.reckoning.weights import weights_of

# A content whose doubt is still near that of somebody's word rests on that word.
_STILL_ITS_WORD = 0.7
# The doubt of what is not known, where nothing better tells: more than any shop holds.
_VAGUE_G = 1e7
# What nothing was known of stays so until its doubt is clearly less.
_LEARNT = 0.9


@dataclass(frozen=True, slots=True)
class ForeseenMetal:
    """One metal of a work that is not recorded yet.

    Attributes:
        fed: what goes in, added metal too, as known before the work.
        before, after: by tag of the items on hand, without the work and with it.
        made: by tag of the items made.
        loss: what the work leaves over, with the work; None where nothing comes out yet.
        pull: by how many standard uncertainties the record that fits worst disagrees with all
            else; 0 where nothing is checked.
        pulling: the kind of that record.
    """

    metal: str
    fed: Content
    before: Mapping[str, Content]
    after: Mapping[str, Content]
    made: Mapping[str, Content]
    loss: Loss | None
    pull: float
    pulling: RowKind | None


@dataclass(frozen=True, slots=True)
class Foresight:
    """What a work would give.

    Attributes:
        metals: by symbol, in the order of the metal list.
        gross: by tag the weight in grams with its doubt, off the scale or worked out.
    """

    metals: Mapping[str, ForeseenMetal]
    gross: Mapping[str, tuple[float, float]]


def known_of(
    contents: Contents,
    tags: Iterable[str],
    entry: int,
    wholes: Mapping[str, Sequence[str]] = MappingProxyType({}),
) -> Known:
    """Give what a reckoning up to an entry says of some items; those it knows not are left out.

    Args:
        contents: a reckoned book.
        tags: of single items.
        entry: the last one that it rests on.
        wholes: by name, the tags of items that are known as one sum. Beside the house factors,
            what hangs together between a sum and anything else is left out.
    """
    mine = _known_to(contents, tags)
    said = {tag: {metal: one.how for metal, one in contents.of(tag).items()} for tag in mine}
    summed = {name: contents.places(_known_to(contents, held)) for name, held in wholes.items()}
    joints = {}
    for metal, balance in contents.balances.items():
        holding = [tag for tag in mine if metal in said[tag]]
        groups = {name: places[balance.how[places] != ABSENT] for name, places in summed.items()}
        groups = {name: places for name, places in groups.items() if len(places)}
        if holding or groups:
            joints[metal] = balance.joint_of(contents.places(holding))
        if groups:
            joints[metal] = beside(joints[metal], balance.joint_of_sums(list(groups.values())))
        for name, places in groups.items():
            said.setdefault(name, {})[metal] = HOWS[int(balance.how[places].max())]
    gross = {}
    for name, places in [*((tag, contents.places([tag])) for tag in mine), *summed.items()]:
        grams = float(contents.gross_g[places].sum())
        if not np.isnan(grams):
            gross[name] = grams, float(np.linalg.norm(contents.gross_u_g[places]))
    return Known(entry, said, joints, gross)


def _known_to(contents: Contents, tags: Iterable[str]) -> list[str]:
    return [tag for tag in dict.fromkeys(tags) if tag in contents.place_of]


def known_from_figures(
    entry: int,
    figures: Mapping[str, Mapping[str, Figure]],
    gross: Mapping[str, tuple[float, float]],
) -> Known:
    """Give what figures that are kept without their covariances say of items, by tag.

    Where a book is too large to be reckoned when it is opened, items count as known each by itself.
    """
    joints = {}
    for metal in ALL_SYMBOLS:
        said = [told[metal] for told in figures.values() if metal in told]
        if said:
            mean = [(one.fine_ug or 0) / PER_GRAM for one in said]
            u = [_VAGUE_G if one.u_ug is None else one.u_ug / PER_GRAM for one in said]
            joints[metal] = independent(np.array(mean), np.array(u))
    hows = {tag: {metal: one.how for metal, one in told.items()} for tag, told in figures.items()}
    return Known(entry, hows, joints, gross)


def foresee(
    known: Known, items: Iterable[Item], entries: Sequence[Entry], guesses: Guesses = DEFAULT
) -> Foresight:
    """Give what the last of some works that are not recorded yet would give, after those before it.

    Args:
        known: what the figures say of the items on hand.
        items: the items on hand that the entries name, as the book has them.
        entries: works that keep the rules, such as a divide and then the work proper. Where the
            last makes nothing yet, only what goes in is told.
        guesses: first guesses and what the owner has set.
    """
    listed = list(items)
    on_hand = [_stand_in(item, known) for item in listed]
    spoken_of = frozenset(item.tag for item in listed if item.sayings)
    last = entries[-1]
    as_said = facts_of(listed, (), guesses)
    earlier = _scene(on_hand, spoken_of, entries[:-1], guesses)
    whole = _scene(on_hand, spoken_of, entries, guesses)
    comes_out = {Role.USED, Role.MADE} <= {line.role for line in last.lines}
    metals = {}
    with one_thread():
        for metal in ALL_SYMBOLS:
            if plays_a_part(metal, whole.facts, known):
                before = solve_draft(earlier, known, metal)
                after = solve_draft(whole, known, metal) if comes_out else before
                metals[metal] = _foreseen(metal, known, last, whole, before, after, as_said)
    return Foresight(metals, _grams(whole))


def _stand_in(item: Item, known: Known) -> Item:
    """Give an item as the source of what follows: what the figures know of it is not said again.

    What was recorded after those figures still is, and all of it where they do not know the item.
    """
    if item.tag not in known.items:
        return item.copy()
    weighings = [one for one in item.weighings if one.entry > known.entry]
    gross = known.gross.get(item.tag)
    if not weighings and gross is not None:
        grams, u = gross
        weighings = [Weighing(0, Mass(micrograms(grams)), Mass(micrograms(u)))]
    sayings = [one for one in item.sayings if one.entry > known.entry]
    found = item.copy()
    found.weighings, found.sayings = weighings, sayings
    return found


def _scene(
    on_hand: Iterable[Item], spoken_of: frozenset[str], entries: Iterable[Entry], guesses: Guesses
) -> Scene:
    shop = Shop()
    shop.items = {item.tag: item.copy() for item in on_hand}
    done = list(entries)
    for entry in done:
        shop.take(entry)
    facts = facts_of(shop.items.values(), works_of(done, {}).values(), guesses)
    return Scene(facts, weights_of(facts), guesses, spoken_of)


def _grams(scene: Scene) -> dict[str, tuple[float, float]]:
    weights = scene.weights
    return {
        tag: (float(weights.gross_g[at]), float(weights.u_g[at]))
        for at, tag in enumerate(scene.facts.tags)
        if not np.isnan(weights.gross_g[at])
    }


def _foreseen(
    metal: str,
    known: Known,
    last: Entry,
    whole: Scene,
    before: DraftBalance,
    after: DraftBalance,
    as_said: Facts,
) -> ForeseenMetal:
    on_hand = [
        tag for at, tag in enumerate(before.scene.facts.tags) if whole.facts.maker[at] == NOBODY
    ]
    made = [] if after is before else [x.tag for x in last.lines if x.role is Role.MADE]
    code = METAL_CODE[metal]
    word_u = dict(
        zip(as_said.tags, declared_doubts(as_said, weights_of(as_said), code), strict=True)
    )
    row = int(np.argmax(np.abs(after.z))) if len(after.z) else NOBODY
    pull = float(after.z[row]) if row != NOBODY else 0.0
    return ForeseenMetal(
        metal=metal,
        fed=_fed(metal, last, whole, before),
        before=_contents(metal, on_hand, before, known, word_u),
        after=_contents(metal, on_hand, after, known, word_u),
        made=_contents(metal, made, after, known, {}),
        loss=None if after is before else _loss(after, len(whole.facts.works.number) - 1),
        pull=abs(pull),
        pulling=RowKind(int(after.rows.kind[row])) if pull else None,
    )


def _fed(metal: str, last: Entry, whole: Scene, before: DraftBalance) -> Content:
    """Give what goes into the last work, as known before it."""
    tags = {tag: at for at, tag in enumerate(before.scene.facts.tags)}
    used = [line.tag for line in last.lines if line.role is Role.USED]
    places = np.array([tags[tag] for tag in used if tag in tags], dtype=np.int64)
    grams, u = before.sum_of(places)
    added, variance = added_of(whole.facts, METAL_CODE[metal])
    grams, u = grams + float(added[-1]), float(np.hypot(u, np.sqrt(variance[-1])))
    unknowns = before.unknown_of[places]
    size = float(before.size[unknowns[unknowns != NOBODY]].sum()) + np.nan_to_num(float(added[-1]))
    sure = not np.isnan(grams) and u <= NOT_DETERMINABLE * size
    return Content(grams, u, How.WORKED_OUT if sure else How.NOT_KNOWN)


def _loss(after: DraftBalance, work: int) -> Loss | None:
    if work < 0 or after.rows.feed[work] == NOBODY:
        return None
    grams, u, size = after.loss_of(work)
    return Loss(grams, u, u <= NOT_DETERMINABLE * size)


def _contents(
    metal: str,
    tags: Iterable[str],
    balance: DraftBalance,
    known: Known,
    word_u: Mapping[str, float],
) -> dict[str, Content]:
    """Give the contents of those items that may hold the metal.

    `word_u` is the doubt of what was declared of items on hand, by tag.
    """
    facts = balance.scene.facts
    place = {tag: at for at, tag in enumerate(facts.tags)}
    own_u = declared_doubts(facts, balance.scene.weights, METAL_CODE[metal])
    found = {}
    for tag in tags:
        unknown = balance.unknown_of[place[tag]]
        if unknown == NOBODY:
            continue
        u = float(np.linalg.norm(balance.root[unknown]))
        told = known.items.get(tag, {}).get(metal)
        how = told or How.NOT_KNOWN
        by_word = u >= _STILL_ITS_WORD * word_u.get(tag, own_u[place[tag]])
        if u > NOT_DETERMINABLE * balance.size[unknown]:
            how = How.NOT_KNOWN
        elif told is How.DECLARED and not by_word:
            how = How.WORKED_OUT
        elif told is None or (told is How.NOT_KNOWN and u < _LEARNT * _doubt_of(known, metal, tag)):
            how = _how_said(metal, balance, place[tag], still_its_word=by_word)
        found[tag] = Content(float(balance.x[unknown]), u, how)
    return found


def _doubt_of(known: Known, metal: str, tag: str) -> float:
    joint = known.joints[metal]
    at = [one for one, said in known.items.items() if metal in said].index(tag)
    return float(
        np.hypot(np.linalg.norm(joint.root[at]), np.linalg.norm(joint.lean[at] @ joint.factor_root))
    )


def _how_said(metal: str, balance: DraftBalance, item: int, *, still_its_word: bool) -> How:
    """Give how a content is known by what the works and the newest entries say themselves."""
    said = balance.scene.facts.sayings
    mine = (said.item == item) & (said.metal == METAL_CODE[metal])
    if (said.source[mine] != WORD).any():
        return How.ASSAYED
    return How.DECLARED if still_its_word else How.WORKED_OUT
