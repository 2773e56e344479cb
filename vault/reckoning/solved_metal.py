"""The solved balance of one metal: estimates, and the variance of any sum of them.

With x0, S and C of every family at given house factors, and the factors κ ± Cκ of the house,

    x = x0 + S κ,     var(c'x) = Σ_families c'C c + (Σ S'c)' Cκ (Σ S'c).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from math import sqrt

import numpy as np
from numpy.typing import NDArray
from scipy import sparse

from vault.core.turns import in_turns
from vault.reckoning.contents import BudgetLine, Joint, LearnedFactor, Loss, Places
from vault.reckoning.dense_families import DenseFamily
from vault.reckoning.doubts import Doubts, budget_by_kind, budget_lines, doubts_of
from vault.reckoning.facts import KINDS, Floats, Ints
from vault.reckoning.families import Family
from vault.reckoning.guesses import Guesses
from vault.reckoning.house import House
from vault.reckoning.row_pile import RowKind
from vault.reckoning.sparse_family import SparseFamily

# The sd of "anywhere between nothing and the whole": beyond it nothing is known.
NOT_DETERMINABLE = 1.0 / np.sqrt(12.0)
# How many sums go through a large family at a time.
_CHUNK = 64


@dataclass(frozen=True, eq=False)
class SolvedMetal:
    """One metal of a book; see `contents.MetalBalance`.

    Attributes:
        metal: its symbol.
        estimates, uncertainties, how: by place.
        shift: S by place and residue kind.
        families: the solved families by number.
        family, position: by place, the family's number (−1 where absent) and the place within it.
        places: by family, the places of its items.
        work_family: number of the family of every work that the metal takes part in.
        house: the factors as now believed.
        guesses: what was taken for granted.
        tests: how many records of the whole book are tested against each other.
    """

    metal: str
    estimates: Floats
    uncertainties: Floats
    how: NDArray[np.int8]
    shift: Floats
    families: Mapping[int, Family]
    family: Ints
    position: Ints
    places: Mapping[int, Places]
    work_family: Mapping[int, int]
    house: House
    guesses: Guesses
    tests: int

    def variances_of(self, groups: list[Places]) -> Floats:
        """Give the variance of the sum over each group of places, in g²."""
        if not groups:
            return np.zeros(0)
        sizes = [len(places) for places in groups]
        columns = sparse.csc_array(
            (
                np.ones(sum(sizes)),
                np.concatenate(groups) if sum(sizes) else np.zeros(0, dtype=np.int64),
                np.concatenate([[0], np.cumsum(sizes)]),
            ),
            shape=(len(self.estimates), len(groups)),
        )
        columns.sum_duplicates()
        latent = self._root.T @ columns
        variance = np.asarray(latent.multiply(latent).sum(axis=0)).ravel()
        for number, family in self._sparse_families:
            variance += _sparse_variances(family, self.places[number], columns)
        lean: Floats = np.asarray(columns.T @ self.shift)
        variance += np.einsum("gk,kl,gl->g", lean, self.house.covariance, lean)
        found: Floats = np.maximum(variance, 0.0)
        return found

    def covariance_with(self, places: Places) -> Floats:
        """Give the covariance of every content with the sum over some places, in g²."""
        found = np.zeros(len(self.estimates))
        lean = self.shift[places].sum(axis=0)
        found += self.shift @ (self.house.covariance @ lean)
        for number in np.unique(self.family[places]).tolist():
            family, mine = self.families[number], self.places[number]
            c = np.zeros((len(family.x0), 1))
            np.add.at(c, (self.position[places[self.family[places] == number]], 0), 1.0)
            found[mine] += family.times(c)[: len(mine), 0]
        return found

    def joint_of(self, places: Places) -> Joint:
        """Give what is known of the contents of some places together."""
        numbers = np.unique(self.family[places]).tolist()
        roots = []
        for number in numbers:
            mine = np.flatnonzero(self.family[places] == number)
            small = self.families[number].root_of(self.position[places[mine]])
            root = np.zeros((len(places), small.shape[1]))
            root[mine] = small
            roots.append(root)
        factor_root: Floats = np.linalg.cholesky(self.house.covariance).astype(np.float64)
        return Joint(
            mean=self.estimates[places],
            root=np.hstack(roots) if roots else np.zeros((0, 0)),
            lean=self.shift[places],
            factor_mean=self.house.mean,
            factor_root=factor_root,
        )

    def joint_of_sums(self, groups: list[Places]) -> Joint:
        """Give what is known of sums over groups, each for itself at given house factors."""
        lean = np.array([self.shift[places].sum(axis=0) for places in groups])
        shared = np.einsum("gk,kl,gl->g", lean, self.house.covariance, lean)
        own = np.sqrt(np.maximum(self.variances_of(groups) - shared, 0.0))
        factor_root: Floats = np.linalg.cholesky(self.house.covariance).astype(np.float64)
        return Joint(
            mean=np.array([self.estimates[places].sum() for places in groups]),
            root=np.diag(own),
            lean=lean,
            factor_mean=self.house.mean,
            factor_root=factor_root,
        )

    def loss_of(self, work: int) -> Loss | None:
        """Give what a work leaves over; None where the metal takes no part in it."""
        number = self.work_family.get(work)
        if number is None:
            return None
        family = self.families[number]
        system = family.system
        at = int(np.searchsorted(system.ground.facts.works.number, work))
        row = np.flatnonzero(
            (system.rows.kind[system.row_ids] == RowKind.LOSS)
            & (system.rows.subject[system.row_ids] == at)
        )[0]
        mine = system.entry_row == row
        unknown, sign = system.entry_unknown[mine], np.sign(system.coefficient[mine])
        c = np.zeros(len(system.size))
        c[unknown] = sign
        lean = self.expand(family, family.shift.T @ c)
        near = family.times(c[:, None])[:, 0]
        variance = float(c @ near + lean @ self.house.covariance @ lean)
        grams = c @ family.x0 + lean @ self.house.mean
        u = sqrt(max(variance, 0.0))
        feed = float(np.max(system.size[unknown]))
        return Loss(float(grams), u, u <= NOT_DETERMINABLE * feed)

    def budget_of(self, places: Places) -> list[BudgetLine]:
        """Give every record's share in the variance of a sum, largest first."""
        return budget_lines(self, places)

    def budget_by_kind(self, places: Places) -> list[BudgetLine]:
        """Give the share of every kind of record in the variance of a sum, largest first."""
        return budget_by_kind(self, places)

    def noticeable_of(self, place: int) -> float | None:
        """Give the smallest error, in grams, of the item's own record that would be noticed."""
        number = int(self.family[place])
        if number < 0:
            return None
        return self.doubts(number).noticeable(int(self.position[place]), self.tests)

    def misfit(self) -> tuple[float, float]:
        """Give Σ (r/u)² over every record and guess of the metal, and its degrees of freedom."""
        mean, covariance = self.house.mean, self.house.covariance
        misfit = float(mean @ mean)
        freedom = float(np.sum(1.0 - np.diagonal(covariance)))
        for number in self.families:
            doubts = self.doubts(number)
            misfit += doubts.misfit
            freedom += doubts.freedom
        return misfit, freedom

    def misfit_of(self, number: int) -> float:
        """Give Σ (r/u)² of one family at the house factors as now believed."""
        return self.misfit_at(self.families[number])

    def misfit_at(self, family: Family) -> float:
        """Give the same of a family that may be no part of the book."""
        mean = self.house.mean[family.system.kinds]
        return (
            family.misfit
            - 2.0 * float(mean @ family.pull)
            + float(mean @ family.information @ mean)
        )

    def values_of(self, family: Family) -> Floats:
        """Give all unknowns of a family as now believed."""
        found: Floats = family.x0 + family.shift @ self.house.mean[family.system.kinds]
        return found

    def doubts(self, number: int) -> Doubts:
        """Give how well every record of a family is checked by the others."""
        if number not in self._doubts:
            self._doubts[number] = doubts_of(self.families[number], self)
        return self._doubts[number]

    def draws(self, count: int, generator: np.random.Generator) -> Floats:
        """Give `count` draws of all contents, shape (count, places), NaN where absent."""
        deviation = (self._root @ generator.standard_normal((self._root.shape[1], count))).T
        for number, family in self._sparse_families:
            items = self.places[number]
            deviation[:, items] += family.drawn(count, generator)[:, : len(items)]
        triangle = np.linalg.cholesky(self.house.covariance)
        factors = generator.standard_normal((count, len(KINDS))) @ triangle.T
        found: Floats = self.estimates + deviation + factors @ self.shift.T
        return found

    def factors(self) -> tuple[LearnedFactor, ...]:
        """Give what residues keep, as guessed and as now believed."""
        found = []
        for code, kind in enumerate(KINDS):
            if self.house.fed_g[code] <= 0.0:
                continue
            keep = self.guesses.keep(kind, self.metal)
            share = float(self.house.kept_g[code] / self.house.fed_g[code])
            unit = share * keep.house
            found.append(
                LearnedFactor(
                    kind=kind,
                    metal=self.metal,
                    guess=share,
                    guess_u=unit,
                    now=share + unit * float(self.house.mean[code]),
                    now_u=unit * float(np.sqrt(self.house.covariance[code, code])),
                    source=keep.source,
                )
            )
        return tuple(found)

    def expand(self, family: Family, values: Floats) -> Floats:
        """Spread values by a family's own residue kinds over all kinds."""
        whole = np.zeros((*values.shape[:-1], len(KINDS)))
        whole[..., family.system.kinds] = values
        return whole

    @cached_property
    def in_order(self) -> list[tuple[int, Family]]:
        """The families by their first place: the same order, whatever was taken in when."""
        if not self.families:
            return []
        numbers = list(self.families)
        lists = [self.places[one] for one in in_turns(numbers)]
        starts = np.concatenate([[0], np.cumsum([len(one) for one in lists])[:-1]])
        first = np.minimum.reduceat(np.concatenate(lists), starts)
        ordered = (numbers[at] for at in np.argsort(first).tolist())
        return [(one, self.families[one]) for one in in_turns(ordered)]

    @cached_property
    def _doubts(self) -> dict[int, Doubts]:
        return {}

    @cached_property
    def _sparse_families(self) -> list[tuple[int, SparseFamily]]:
        return [
            (number, family)
            for number, family in in_turns(self.in_order)
            if isinstance(family, SparseFamily)
        ]

    @cached_property
    def _root(self) -> sparse.csr_array:
        """The roots of all small families, places by independent unit normals."""
        dense = [
            (number, family)
            for number, family in in_turns(self.in_order)
            if isinstance(family, DenseFamily)
        ]
        places = [self.places[number] for number, _ in in_turns(dense)]
        roots = [
            family.root[: len(mine)]
            for (_, family), mine in in_turns(zip(dense, places, strict=True))
        ]
        if not dense:
            return sparse.csr_array((len(self.estimates), 0))
        widths = np.array([root.shape[1] for root in in_turns(roots)], dtype=np.int64)
        past = np.cumsum(widths)
        # By place: how many columns its family has, and the first of them.
        lengths = [len(mine) for mine in places]
        wide, first = np.repeat(widths, lengths), np.repeat(past - widths, lengths)
        before = np.repeat(np.cumsum(wide) - wide, wide)
        columns = np.repeat(first, wide) + np.arange(len(before)) - before
        rows = np.repeat(np.concatenate(places), wide)
        whole = sparse.csr_array(
            (np.concatenate([root.ravel() for root in in_turns(roots)]), (rows, columns)),
            shape=(len(self.estimates), int(past[-1])),
        )
        whole.eliminate_zeros()
        return whole


def _sparse_variances(family: SparseFamily, places: Places, columns: sparse.csc_array) -> Floats:
    """Give the part of one large family in the variance of every sum."""
    mine = columns.tocsr()[places].tocsc()
    touched = np.flatnonzero(np.diff(mine.indptr))
    found = np.zeros(columns.shape[1])
    for start in range(0, len(touched), _CHUNK):
        some = touched[start : start + _CHUNK]
        c = np.zeros((len(family.x0), len(some)))
        c[: len(places)] = mine[:, some].toarray()
        found[some] = family.variances_of(c)
    return found
