"""The rows of one metal cut into families, each a small system of its own.

Families share nothing but the house factors; so each is solved by itself, and a new fact touches
only its own family. Everything here is by position within the family.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from vault.core.turns import in_turns
from vault.reckoning.facts import Floats, Ints
from vault.reckoning.row_pile import Ground, Rows


@dataclass(frozen=True, slots=True, eq=False)
class System:
    """The rows of one family.

    Attributes:
        ground, rows: what it was cut from, for words.
        row_ids: position of every row of the family in `rows`.
        unknowns: position of every unknown of the family in `rows`; items come first.
        items: how many of them are items.
        size: natural size of every unknown in grams.
        entry_row, entry_unknown, coefficient: the coefficients, by position in the family, none
            twice.
        y, u: of every row.
        kinds: the residue kinds whose factors the family leans on, rising.
        factor: per row, position in `kinds`, or −1.
        factor_g: per row, grams for one standard uncertainty of the factor.
    """

    ground: Ground
    rows: Rows
    row_ids: Ints
    unknowns: Ints
    items: int
    size: Floats
    entry_row: Ints
    entry_unknown: Ints
    coefficient: Floats
    y: Floats
    u: Floats
    kinds: Ints
    factor: Ints
    factor_g: Floats

    def dense(self) -> Floats:
        """Give the coefficients as a full matrix, rows by unknowns."""
        matrix = np.zeros((len(self.y), len(self.size)))
        matrix[self.entry_row, self.entry_unknown] = self.coefficient
        return matrix

    def leaning(self) -> Floats:
        """Give the coefficients of the factors, rows by `kinds`, for one standard uncertainty."""
        matrix = np.zeros((len(self.y), len(self.kinds)))
        leans = np.flatnonzero(self.factor >= 0)
        matrix[leans, self.factor[leans]] = self.factor_g[leans]
        return matrix


def systems_of(ground: Ground, rows: Rows) -> list[System]:
    """Cut rows into families, in the order of the families' numbers."""
    families = int(rows.unknown_family.max(initial=-1)) + 1
    # A family may be skipped by the region; it then has no unknown and makes no system.
    unknown_order = np.argsort(rows.unknown_family, kind="stable")
    unknown_ends = np.cumsum(np.bincount(rows.unknown_family, minlength=families))
    row_order = np.argsort(rows.family, kind="stable")
    row_ends = np.cumsum(np.bincount(rows.family, minlength=families))
    within = _positions(unknown_order, unknown_ends)
    row_within = _positions(row_order, row_ends)
    entry_family = rows.family[rows.entry_row]
    # Within a family by row, and within a row as the row was written.
    entry_order = np.lexsort((row_within[rows.entry_row], entry_family))
    entry_ends = np.cumsum(np.bincount(entry_family, minlength=families))
    entry_row = row_within[rows.entry_row][entry_order]
    entry_unknown = within[rows.entry_unknown][entry_order]
    coefficient = rows.coefficient[entry_order]
    size, y, u = rows.size[unknown_order], rows.y[row_order], rows.u[row_order]
    factor = rows.factor[row_order]
    scaled = rows.factor_g[row_order] * np.where(factor >= 0, rows.factor_u[factor], 0.0)
    found = []
    a = b = c = 0
    for a_end, b_end, c_end in in_turns(
        zip(unknown_ends.tolist(), row_ends.tolist(), entry_ends.tolist(), strict=True)
    ):
        unknowns, kinds = unknown_order[a:a_end], _kinds_of(factor[b:b_end])
        found.append(
            System(
                ground=ground,
                rows=rows,
                row_ids=row_order[b:b_end],
                unknowns=unknowns,
                items=int(np.searchsorted(unknowns, len(rows.items))),
                size=size[a:a_end],
                entry_row=entry_row[c:c_end],
                entry_unknown=entry_unknown[c:c_end],
                coefficient=coefficient[c:c_end],
                y=y[b:b_end],
                u=u[b:b_end],
                kinds=kinds,
                factor=_position_in(kinds, factor[b:b_end]),
                factor_g=scaled[b:b_end],
            )
        )
        a, b, c = a_end, b_end, c_end
    return found


def _positions(order: Ints, ends: Ints) -> Ints:
    """Give the position of every element within its family."""
    starts = np.concatenate([[0], ends[:-1]])
    counts = ends - starts
    found = np.empty(len(order), dtype=np.int64)
    found[order] = np.arange(len(order)) - np.repeat(starts, counts)
    return found


def _kinds_of(factor: Ints) -> Ints:
    return np.array(sorted({one for one in factor.tolist() if one >= 0}), dtype=np.int64)


def _position_in(kinds: Ints, factor: Ints) -> Ints:
    if not len(kinds):
        return np.full(len(factor), -1, dtype=np.int64)
    return np.where(factor >= 0, np.searchsorted(kinds, factor), -1)
