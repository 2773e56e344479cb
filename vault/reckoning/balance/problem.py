"""A problem: the rows of records over unknown masses, before anything is solved.

Unknowns are the columns 0 … n−1, in grams, each with a natural size. Columns n … n+k−1 are house
factors: deviations, shared by the whole shop, of a factor from its handbook value, 0 ± its size.
They are called the border; they tie nothing together when a problem is split into families.
"""

from __future__ import annotations

from array import array
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Flags = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, eq=False)
class Problem:
    """Rows `Σ c·x = y ± u` over n unknowns and k house factors.

    Attributes:
        sizes: (n,) natural size d of every unknown in grams, above 0: what it weighs, or the feed
            it came from. It scales the sums, and "not determinable" is told by it.
        row_start: (m+1,) row j has the places row_start[j] … row_start[j+1]−1.
        columns: column of each place; n and above are house factors. A column twice in one row
            counts with the sum of its coefficients.
        coefficients: coefficient of each place.
        values: (m,) y.
        uncertainties: (m,) u, one standard uncertainty; 0 for an exact row.
        factor_sizes: (k,) one standard uncertainty of each factor's deviation, above 0.
    """

    sizes: Floats
    row_start: Ints
    columns: Ints
    coefficients: Floats
    values: Floats
    uncertainties: Floats
    factor_sizes: Floats

    def __post_init__(self) -> None:
        """Refuse arrays that cannot be a problem.

        Raises:
            ValueError: shapes that do not fit, columns out of range, sizes not above zero,
                uncertainties below zero, figures that are no numbers, an exact row of zeros.
        """
        for fault, sentence in _faults(self):
            if fault:
                raise ValueError(sentence)

    @property
    def unknowns(self) -> int:
        """How many unknowns, n."""
        return len(self.sizes)

    @property
    def rows(self) -> int:
        """How many rows, m."""
        return len(self.values)

    @property
    def factors(self) -> int:
        """How many house factors, k; those of the whole shop, even if no row here leans on them."""
        return len(self.factor_sizes)

    @property
    def place_rows(self) -> Ints:
        """The row of each place."""
        return np.repeat(np.arange(self.rows, dtype=np.int64), np.diff(self.row_start))

    @property
    def scale(self) -> Floats:
        """(n+k,) the sizes of all columns, unknowns first."""
        return np.concatenate([self.sizes, self.factor_sizes])

    def row_norms(self) -> Floats:
        """Give the length of every row, sqrt(Σ(c·d)²), in the unit of y. Shape (m,)."""
        scaled = self.coefficients * self.scale[self.columns]
        return np.sqrt(np.bincount(self.place_rows, scaled**2, minlength=self.rows))

    def times(self, vector: Floats) -> Floats:
        """Multiply the rows by a vector over all columns, shape (n+k,) to (m,)."""
        weighted = self.coefficients * vector[self.columns]
        return np.bincount(self.place_rows, weighted, minlength=self.rows).astype(np.float64)

    def families(self) -> Ints:
        """Number the unknowns by the family they belong to, in order of first unknown. Shape (n,).

        Two unknowns are of one family if a chain of rows leads from one to the other; house
        factors do not count as links.
        """
        from scipy.sparse import csgraph, csr_array  # noqa: PLC0415  # heavy to import

        own = self.columns < self.unknowns
        row, column = self.place_rows[own], self.columns[own]
        follows = np.flatnonzero(np.diff(row) == 0)
        links = csr_array(
            (np.ones(len(follows), dtype=np.int8), (column[follows], column[follows + 1])),
            (self.unknowns, self.unknowns),
        )
        _, label = csgraph.connected_components(links, directed=False)
        _, first, number = np.unique(label, return_index=True, return_inverse=True)
        order = np.empty(len(first), dtype=np.int64)
        order[np.argsort(first)] = np.arange(len(first))
        return order[number]

    def row_families(self, families: Ints) -> Ints:
        """Give the family of every row, −1 for rows over house factors alone. Shape (m,)."""
        found = np.full(self.rows, -1, dtype=np.int64)
        own = self.columns < self.unknowns
        found[self.place_rows[own]] = families[self.columns[own]]
        return found

    def split(self) -> list[Part]:
        """Cut the problem into its families, in order of their first unknown.

        Rows over house factors alone make a last part without unknowns.
        """
        families = self.families()
        count = int(families.max(initial=-1)) + 1
        of_rows = self.row_families(families)
        alone = of_rows < 0
        groups = count + bool(alone.any())
        unknowns = _members(families, groups)
        rows = _members(np.where(alone, count, of_rows), groups)
        position = np.empty(self.unknowns, dtype=np.int64)
        for members in unknowns:
            position[members] = np.arange(len(members))
        return [self._part(one, other, position) for one, other in zip(unknowns, rows, strict=True)]

    def _part(self, unknowns: Ints, rows: Ints, position: Ints) -> Part:
        widths = self.row_start[rows + 1] - self.row_start[rows]
        start = np.concatenate([[0], np.cumsum(widths)]).astype(np.int64)
        places = np.repeat(self.row_start[rows] - start[:-1], widths) + np.arange(start[-1])
        columns = self.columns[places]
        own = columns < self.unknowns
        moved = columns - self.unknowns + len(unknowns)
        moved[own] = position[columns[own]]
        problem = Problem(
            sizes=self.sizes[unknowns],
            row_start=start,
            columns=moved,
            coefficients=self.coefficients[places],
            values=self.values[rows],
            uncertainties=self.uncertainties[rows],
            factor_sizes=self.factor_sizes,
        )
        return Part(problem, unknowns, rows)


@dataclass(frozen=True, slots=True, eq=False)
class Part:
    """One family cut out of a problem.

    Attributes:
        problem: its rows, with columns counted anew; house factors are still all of them.
        unknowns: index in the whole of each of its unknowns.
        rows: index in the whole of each of its rows.
    """

    problem: Problem
    unknowns: Ints
    rows: Ints


class ProblemBuilder:
    """Gathers unknowns and rows one by one; house factors are known from the start.

    A house factor's column is written as `builder.factor(c)`, whatever number of unknowns there
    will be in the end.
    """

    def __init__(self, factor_sizes: Sequence[float] = ()) -> None:
        self._factor_sizes = tuple(factor_sizes)
        self._sizes = array("d")
        self._start = array("q", [0])
        self._columns = array("q")
        self._coefficients = array("d")
        self._values = array("d")
        self._uncertainties = array("d")

    def factor(self, number: int) -> int:
        """Give the column that stands for house factor 0 … k−1 in `add_row`; it is below zero."""
        if not 0 <= number < len(self._factor_sizes):
            raise ValueError(f"There is no house factor {number}.")
        return -1 - number

    def add_unknown(self, size: float) -> int:
        """Add an unknown of this natural size in grams; gives its column."""
        self._sizes.append(size)
        return len(self._sizes) - 1

    def add_row(
        self, columns: Iterable[int], coefficients: Iterable[float], value: float, u: float
    ) -> int:
        """Add the row `Σ c·x = value ± u`, exact if u is 0; gives its number."""
        self._columns.extend(columns)
        self._coefficients.extend(coefficients)
        self._start.append(len(self._columns))
        self._values.append(value)
        self._uncertainties.append(u)
        return len(self._values) - 1

    def finish(self) -> Problem:
        """Give the problem so far; the builder may go on afterwards."""
        columns = np.array(self._columns, dtype=np.int64)
        return Problem(
            sizes=np.array(self._sizes, dtype=np.float64),
            row_start=np.array(self._start, dtype=np.int64),
            columns=np.where(columns < 0, len(self._sizes) - 1 - columns, columns),
            coefficients=np.array(self._coefficients, dtype=np.float64),
            values=np.array(self._values, dtype=np.float64),
            uncertainties=np.array(self._uncertainties, dtype=np.float64),
            factor_sizes=np.array(self._factor_sizes, dtype=np.float64),
        )


def _faults(problem: Problem) -> Iterable[tuple[bool, str]]:
    """Give what might be wrong; later checks are made only when earlier ones found nothing."""
    rows, start, columns = problem.rows, problem.row_start, problem.columns
    yield (
        len(start) != rows + 1 or len(problem.uncertainties) != rows,
        "Values, uncertainties and row starts are not of the same rows.",
    )
    yield (
        start[0] != 0 or start[-1] != len(columns) or bool((np.diff(start) < 0).any()),
        "Row starts do not divide the columns into rows.",
    )
    yield (
        len(problem.coefficients) != len(columns),
        "There is not one coefficient for each column.",
    )
    yield (
        bool(((columns < 0) | (columns >= problem.unknowns + problem.factors)).any()),
        "A row names a column that is neither an unknown nor a house factor.",
    )
    figures = (problem.coefficients, problem.values, problem.uncertainties, problem.scale)
    yield (
        not all(np.isfinite(one).all() for one in figures),
        "A coefficient, value, uncertainty or size is not a number.",
    )
    yield bool((problem.scale <= 0).any()), "A size is not above zero."
    yield bool((problem.uncertainties < 0).any()), "An uncertainty is below zero."
    exact = problem.uncertainties == 0.0
    yield bool((exact & (problem.row_norms() == 0.0)).any()), "An exact row has no coefficients."


def _members(numbers: Ints, groups: int) -> list[Ints]:
    """Give the indices that carry each number 0 … groups−1, each list rising."""
    order = np.argsort(numbers, kind="stable")
    ends = np.cumsum(np.bincount(numbers, minlength=groups))
    return np.split(order, ends[:-1]) if groups else []
