"""The balance of one metal over a few works, on top of what is known of the items that go in."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import sqrt

import numpy as np

from vault.core.knowledge import How
from vault.reckoning.contents import Joint
from vault.reckoning.dense_families import EXACT, VAGUE_SIZES, stiffest_first
from vault.reckoning.facts import KINDS, METAL_CODE, NOBODY, Bools, Facts, Floats, Ints
from vault.reckoning.guesses import Guesses, unnamed_share
from vault.reckoning.nominal import feeds_of, keeps_of, nominal_contents
from vault.reckoning.row_pile import Ground, RowKind, Rows
from vault.reckoning.rows import rows_of
from vault.reckoning.scales import rescaled
from vault.reckoning.weights import Weights

# Feeds set the scale of doubts; where the solution moves them by less, a second pass says nothing.
_SAME_SCALE = 0.005
_LEAST_REDUNDANCY = 1e-4


@dataclass(frozen=True, slots=True, eq=False)
class Known:
    """What the figures say of the items that a work would use.

    Attributes:
        entry: the last entry that the figures rest on.
        items: for each item that the figures know, its metals and how each is known.
        joints: by metal what is known together of those items that hold it, in their order.
        gross: by item its weight and doubt in grams; left out where nothing says.
    """

    entry: int
    items: Mapping[str, Mapping[str, How]]
    joints: Mapping[str, Joint]
    gross: Mapping[str, tuple[float, float]]


NOTHING_KNOWN = Known(0, {}, {}, {})


def independent(mean: Floats, u: Floats) -> Joint:
    """Give contents that are known each by itself, with the house factors as first guessed."""
    return Joint(
        mean=mean,
        root=np.diag(u),
        lean=np.zeros((len(mean), len(KINDS))),
        factor_mean=np.zeros(len(KINDS)),
        factor_root=np.eye(len(KINDS)),
    )


def beside(one: Joint, other: Joint) -> Joint:
    """Put contents beside each other that hang together by the house factors alone."""
    root = np.zeros((len(one.mean) + len(other.mean), one.root.shape[1] + other.root.shape[1]))
    root[: len(one.mean), : one.root.shape[1]] = one.root
    root[len(one.mean) :, one.root.shape[1] :] = other.root
    return Joint(
        mean=np.concatenate([one.mean, other.mean]),
        root=root,
        lean=np.vstack([one.lean, other.lean]),
        factor_mean=one.factor_mean,
        factor_root=one.factor_root,
    )


@dataclass(frozen=True, slots=True, eq=False)
class Scene:
    """The items on hand, first, and what some works make of them.

    `spoken_of` are the items on hand of whose contents anybody ever said anything.
    """

    facts: Facts
    weights: Weights
    guesses: Guesses
    spoken_of: frozenset[str]


@dataclass(frozen=True, slots=True, eq=False)
class DraftBalance:
    """One metal solved over a scene.

    Attributes:
        scene: what it was solved over.
        unknown_of: by item of the facts its unknown, `NOBODY` where it holds none of the metal.
        x: grams of every unknown.
        root: its covariance is root·root'.
        size: natural size of every unknown in grams.
        rows: of the works and of what was said.
        z: how far every row is from all the others, in standard uncertainties; 0 where nothing
            checks it.
    """

    scene: Scene
    unknown_of: Ints
    x: Floats
    root: Floats
    size: Floats
    rows: Rows
    z: Floats

    def sum_of(self, items: Ints) -> tuple[float, float]:
        """Give the metal of some items together, and its doubt, in grams."""
        mine = self.unknown_of[items]
        mine = mine[mine != NOBODY]
        return float(self.x[mine].sum()), float(np.linalg.norm(self.root[mine].sum(axis=0)))

    def loss_of(self, work: int) -> tuple[float, float, float]:
        """Give what a work leaves over, its doubt, and its natural size, in grams."""
        row = np.flatnonzero((self.rows.kind == RowKind.LOSS) & (self.rows.subject == work))[0]
        mine = self.rows.entry_row == row
        unknown, sign = self.rows.entry_unknown[mine], np.sign(self.rows.coefficient[mine])
        u = float(np.linalg.norm(sign @ self.root[unknown]))
        return float(sign @ self.x[unknown]), u, float(self.size[unknown].max())


def plays_a_part(metal: str, facts: Facts, known: Known) -> bool:
    """Tell whether anything is said of a metal, in the figures or in the works."""
    code = METAL_CODE[metal]
    said = (facts.sayings.metal == code).any() or (facts.additions.metal == code).any()
    return metal in known.joints or bool(said)


def solve_draft(scene: Scene, known: Known, metal: str) -> DraftBalance:
    """Solve one metal; where the first solution moves the feeds, once more at their new scale."""
    facts, weights = scene.facts, scene.weights
    prior = _prior_of(scene, known, metal)
    code, keeps = METAL_CODE[metal], keeps_of(scene.guesses, metal)
    nominal = np.full(len(facts.tags), np.nan)
    sure = ~prior.open_ended
    nominal[prior.items[sure]] = np.maximum(prior.joint.mean[sure], 0.0)
    fine = nominal_contents(facts, weights, prior.region, code, keeps, nominal)
    ground = _ground_of(scene, prior, metal, feeds_of(facts, fine, weights, code))
    found = _solved(scene, prior, ground)
    again = rescaled(ground, found.rows, found.x, np.linalg.norm(found.root, axis=1))
    same = np.allclose(again.feeds, ground.feeds, rtol=_SAME_SCALE, atol=0.0)
    if same and not facts.sayings.relative.any():
        return found
    return _solved(scene, prior, again)


@dataclass(frozen=True, slots=True, eq=False)
class _Prior:
    """What is known before: `joint` is over `items`, positions in the facts.

    Attributes:
        region: by item, whether it may hold the metal at all.
        open_ended: by one of `items`, whether nothing is known of it.
    """

    region: Bools
    items: Ints
    joint: Joint
    open_ended: Bools


def _prior_of(scene: Scene, known: Known, metal: str) -> _Prior:
    facts = scene.facts
    region = _region(scene, known, metal)
    joint = known.joints.get(metal) or independent(np.zeros(0), np.zeros(0))
    holding = [tag for tag, said in known.items.items() if metal in said]
    place = {tag: at for at, tag in enumerate(facts.tags)}
    picked = [at for at, tag in enumerate(holding) if tag in place]
    items = [place[holding[at]] for at in picked]
    unknown = [known.items[holding[at]][metal] is How.NOT_KNOWN for at in picked]
    silent = [
        (place[tag], share * known.gross[tag][0])
        for tag, said in known.items.items()
        if metal not in said and tag in place and region[place[tag]] and tag in known.gross
        for share in [_unnamed(known, tag, metal)]
        if share is not None
    ]
    old, new = len(picked), len(silent)
    root = np.zeros((old + new, joint.root.shape[1] + new))
    root[:old, : joint.root.shape[1]] = joint.root[picked]
    root[old:, joint.root.shape[1] :] = np.diag([u for _, u in silent])
    return _Prior(
        region=region,
        items=np.array([*items, *(at for at, _ in silent)], dtype=np.int64),
        joint=Joint(
            mean=np.concatenate([joint.mean[picked], np.zeros(new)]),
            root=root,
            lean=np.concatenate([joint.lean[picked], np.zeros((new, len(KINDS)))]),
            factor_mean=joint.factor_mean,
            factor_root=joint.factor_root,
        ),
        open_ended=np.array([*unknown, *([False] * new)], dtype=bool),
    )


def _unnamed(known: Known, tag: str, metal: str) -> float | None:
    """Give how much of a metal may be in an item of which only others were told, as a share.

    The same conclusion from silence as in the balance of the book. None where nothing at all is
    known of the item.
    """
    (grams, weight_u), shares, variances = known.gross[tag], [], []
    for other, how in known.items[tag].items():
        if how is How.NOT_KNOWN:
            continue
        joint = known.joints[other]
        at = [one for one, said in known.items.items() if other in said].index(tag)
        shares.append(float(joint.mean[at]) / grams)
        # The doubt of the weight is in every content, and is none about what is left.
        by_weight = shares[-1] * weight_u
        variances.append(max(float(joint.root[at] @ joint.root[at]) - by_weight**2, 0.0))
    if not shares:
        return None
    rest = max(1.0 - sum(shares), 0.0) + sqrt(sum(variances)) / grams
    return min(rest / sqrt(3.0), unnamed_share(METAL_CODE[metal]))


def _region(scene: Scene, known: Known, metal: str) -> Bools:
    """Tell which items may hold the metal, after the same rules as `regions`."""
    facts = scene.facts
    code = METAL_CODE[metal]
    region = np.ones(len(facts.tags), dtype=bool)
    said = facts.sayings.item[facts.sayings.metal == code]
    if unnamed_share(code) >= 1.0 or (facts.maker[said] != NOBODY).any():
        return region
    for at, tag in enumerate(facts.tags):
        hows = known.items.get(tag, {})
        told = tag in scene.spoken_of or any(how is not How.NOT_KNOWN for how in hows.values())
        region[at] = facts.maker[at] == NOBODY and (metal in hows or at in said or not told)
    given = np.zeros(len(facts.works.number), dtype=bool)
    given[facts.additions.work[facts.additions.metal == code]] = True
    for work in range(len(given)):
        given[work] |= region[facts.used.item[facts.used.work == work]].any()
        region[facts.made.item[facts.made.work == work]] = given[work]
    return region


def _ground_of(scene: Scene, prior: _Prior, metal: str, feeds: Floats) -> Ground:
    facts = scene.facts
    works = np.full(len(facts.works.number), NOBODY, dtype=np.int64)
    for side in (facts.used, facts.made):
        works[side.work[prior.region[side.item]]] = 0
    family = np.where(prior.region, 0, NOBODY)
    unscaled = np.full(len(facts.tags), np.nan)
    return Ground(facts, scene.weights, scene.guesses, metal, family, works, unscaled, feeds)


def _solved(scene: Scene, prior: _Prior, ground: Ground) -> DraftBalance:
    facts, rows = scene.facts, rows_of(ground)
    unknown_of = np.full(len(facts.tags), NOBODY, dtype=np.int64)
    unknown_of[rows.items] = np.arange(len(rows.items))
    x, root, z = _least_squares(rows, unknown_of[prior.items], prior.joint)
    return DraftBalance(scene, unknown_of, x, root, rows.size, rows, z)


def _least_squares(rows: Rows, mine: Ints, joint: Joint) -> tuple[Floats, Floats, Floats]:
    """Solve rows over a joint prior of some unknowns; all others have none but a vague one.

    With x = base + T·v, where v are the unknowns without a prior in natural sizes, then ε, then η.

    Returns:
        Grams of every unknown, a root of their covariance, and z by row.
    """
    count, factors = len(rows.size), len(joint.factor_mean)
    free = np.setdiff1d(np.arange(count), mine)
    inner, width = len(free) + joint.root.shape[1], len(free) + joint.root.shape[1] + factors
    base, turn = np.zeros(count), np.zeros((count, width))
    base[mine] = joint.mean
    turn[free, np.arange(len(free))] = rows.size[free]
    turn[mine, len(free) : inner] = joint.root
    turn[mine, inner:] = joint.lean @ joint.factor_root
    matrix = np.zeros((len(rows.y), count))
    np.add.at(matrix, (rows.entry_row, rows.entry_unknown), rows.coefficient)
    leaning = np.zeros((len(rows.y), factors))
    leans = np.flatnonzero(rows.factor >= 0)
    kinds = rows.factor[leans]
    leaning[leans, kinds] = rows.factor_g[leans] * rows.factor_u[kinds]
    across = matrix @ turn
    across[:, inner:] += leaning @ joint.factor_root
    right = rows.y - matrix @ base - leaning @ joint.factor_mean
    length = np.linalg.norm(matrix * rows.size, axis=1)
    u = np.where(rows.u > 0.0, rows.u, EXACT * length)
    vague = np.ones(width)
    vague[: len(free)] = 1.0 / VAGUE_SIZES
    stack = np.zeros((len(u) + width, width + 1))
    stack[: len(u), :width], stack[: len(u), -1] = across / u[:, None], right / u
    stack[len(u) + np.arange(width), np.arange(width)] = vague
    triangle: Floats = np.linalg.qr(stiffest_first(stack[None], inner)[0], mode="r")  # type: ignore[assignment]  # the stubs know no mode
    inverse = np.linalg.inv(triangle[:width, :width])
    v = inverse @ triangle[:width, -1]
    return base + turn @ v, turn @ inverse, _pulls(rows, across @ inverse, right - across @ v)


def _pulls(rows: Rows, reach: Floats, residual: Floats) -> Floats:
    """Give z = r / (u √ρ) of every row that others check, ρ = 1 − h'C h / u²."""
    u = np.where(rows.u > 0.0, rows.u, np.inf)
    redundancy = 1.0 - np.einsum("ij,ij->i", reach, reach) / u**2
    tested = np.isfinite(u) & (redundancy > _LEAST_REDUNDANCY)
    found: Floats = np.where(
        tested, residual / (u * np.sqrt(np.where(tested, redundancy, 1.0))), 0.0
    )
    return found
