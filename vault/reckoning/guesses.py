"""First guesses: what the reckoning takes for granted where the book says nothing.

Every number comes from the handbook, is generous, and can be replaced by the shop's own.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from math import hypot

import numpy as np
from numpy.typing import NDArray

from vault.core.daybook import Process
from vault.core.forms import is_residue
from vault.core.knowledge import DECLARED
from vault.core.metals import ALL_SYMBOLS
from vault.reckoning.handbook import handbook, told

COLD = frozenset({Process.SORT, Process.DIVIDE, Process.CRUSH, Process.BLEND, Process.SAMPLE})
MOLTEN = frozenset({Process.REMELT, Process.POUR})
# The works whose several products are parts of one well mixed whole.
LIKE_PARTS = frozenset({Process.DIVIDE, Process.SAMPLE, Process.BLEND}) | MOLTEN
# A residue that every such work leaves, whether or not somebody kept it.
LEFT_BY = {Process.SMELT: "slag", Process.CUPEL: "spent cupel"}


@dataclass(frozen=True, slots=True)
class Keep:
    """What residues of one kind keep of a metal.

    Attributes:
        kind: the kind in words.
        share: share of the feed.
        house: relative standard uncertainty of the shop's own mean, shared by all of the kind.
        batch: relative scatter from one work to the next.
        source: where the figure is from.
    """

    kind: str
    share: float
    house: float
    batch: float
    source: str


@dataclass(frozen=True, slots=True)
class OwnKeep:
    """A shop's own figures in place of the handbook's for one residue kind and metal."""

    share: float
    house: float
    batch: float


@dataclass(frozen=True)
class Guesses:
    """What is taken for granted, with what the owner has set.

    Attributes:
        set_aside: entries whose sayings and weights count a thousand times less sure.
        own: the shop's own keeps, by residue kind and metal.
        learned: whether one house factor is shared by all residues of a kind; off only to show
            what that neglect costs.
    """

    set_aside: frozenset[int] = frozenset()
    own: Mapping[tuple[str, str], OwnKeep] = field(default_factory=dict)
    learned: bool = True

    def keep(self, kind: str, metal: str) -> Keep:
        """Give what residues of a kind keep of a metal."""
        table = handbook("residues")["keep"][kind]
        share = table["share"].get(metal, table["share"]["any"])
        own = self.own.get((kind, metal))
        if own is not None:
            return Keep(kind, own.share, own.house, own.batch, "the shop's own figure")
        return Keep(kind, share, table["house"], table["batch"], told(table))


DEFAULT = Guesses()


def residue_kind(form: str, process: Process, *, poor_feed: bool) -> str | None:
    """Give the residue kind of a product of a work, None where it is an aim of the work.

    Dividing, sorting, crushing or blending residues makes no residue: the parts are the aim.
    Smelting what is itself residue leaves a slag that keeps far more.
    """
    if not is_residue(form):
        return None
    if form == "spent cupel":
        return None if process in COLD else "spent cupel"
    if form == "slag":
        return None if process in COLD else _slag_kind(process, poor_feed=poor_feed)
    return form


def _slag_kind(process: Process, *, poor_feed: bool) -> str:
    if poor_feed:
        return "slag of poor feed"
    return "slag of remelting" if process in MOLTEN else "slag of smelting"


@lru_cache(maxsize=512)
def loss_of(process: Process, metal: str) -> tuple[float, float]:
    """Give the share of a metal that a work loses for good, and its standard uncertainty."""
    table = handbook("losses")["process"][process.value]
    share, u = table.get(metal, table["any"])
    return float(share), float(u)


@lru_cache(maxsize=256)
def spread_of(how: str, form: str) -> tuple[float, float]:
    """Give the default spread of a saying: an absolute part (fraction) and a relative part."""
    tables = handbook("assays")
    table = tables["method"].get(how, tables["method"]["other"])
    if how == DECLARED and form in tables["declared_metal"]["forms"]:
        table = tables["declared_metal"]
    return table["permille"] / 1000.0, table["share"]


def fineness_u(how: str, form: str, share: float) -> float:
    """Give the standard uncertainty of a fineness where its entry says none, as a fraction.

    Example:
        >>> fineness_u("XRF", "filings", 0.588)
        0.0041
    """
    absolute, relative = spread_of(how, form)
    return hypot(absolute, relative * share)


@lru_cache(maxsize=256)
def unnamed_share(code: int) -> float:
    """Give the share by mass of a metal, by its code, that may be in a thing and go unnamed.

    Only where other metals of it were named; of a thing without a word nothing is concluded.
    """
    table = handbook("assays")["silence"]["unnamed"]
    return float(table.get(ALL_SYMBOLS[code], table["default"]))


def sampling_constant(form: str) -> float:
    """Give Gy's constant of a form in grams: taking m of G has u² = C (1/m − 1/G), relative."""
    table = handbook("assays")["sampling"]
    return float(table.get(form, table["default"]))


def weight_u(grams: float) -> float:
    """Give the standard uncertainty of a weight where its entry says none, in grams."""
    return float(weights_u(np.array([grams]))[0])


def weights_u(grams: NDArray[np.float64]) -> NDArray[np.float64]:
    """Give the same for many weights at once."""
    table = handbook("residues")["scale"]
    steps = np.array(table["step_g"])[np.searchsorted(table["up_to_g"], grams)]
    found: NDArray[np.float64] = table["u_steps"] * steps
    return found


@lru_cache(maxsize=64)
def closing_share(process: Process) -> float:
    """Give how closely the weights of a work close, as a share of what went in."""
    table = handbook("residues")["weight"]
    if process in COLD:
        return float(table["cold"])
    return float(table["molten"] if process in MOLTEN else table["fire"])
