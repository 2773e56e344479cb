"""From entries to the rows of one metal and their plain dense solution, for tests of the rows."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from builders import shop_of
from vault.core.daybook import Entry
from vault.core.flow import flow_of
from vault.reckoning.facts import METAL_CODE, Facts, facts_of
from vault.reckoning.guesses import DEFAULT, Guesses
from vault.reckoning.nominal import feeds_of, keeps_of, nominal_contents
from vault.reckoning.regions import families_of, region_of
from vault.reckoning.row_pile import Ground, Rows
from vault.reckoning.weights import weights_of

Array = NDArray[np.float64]


def facts(*entries: Entry, guesses: Guesses = DEFAULT) -> Facts:
    flow = flow_of(shop_of(*entries))
    return facts_of(flow.items.values(), flow.works.values(), guesses)


def ground(*entries: Entry, metal: str = "Ag", guesses: Guesses = DEFAULT) -> Ground:
    found = facts(*entries, guesses=guesses)
    weights = weights_of(found)
    code = METAL_CODE[metal]
    region = region_of(found, code)
    item_family, work_family = families_of(found, region)
    fine = nominal_contents(found, weights, region, code, keeps_of(guesses, metal))
    feeds = feeds_of(found, fine, weights, code)
    return Ground(found, weights, guesses, metal, item_family, work_family, fine, feeds)


def solved(rows: Rows, *, exact_u: float = 1e-7, vague: float = 1e-9) -> tuple[Array, Array]:
    """Solve rows densely, all at once; exact rows get a tiny u. Gives x and its covariance."""
    count, kinds = len(rows.size), len(rows.factor_u)
    u = np.where(rows.u > 0.0, rows.u, exact_u)
    matrix = np.zeros((len(rows.y) + kinds + count, count + kinds))
    np.add.at(matrix, (rows.entry_row, rows.entry_unknown), rows.coefficient)
    leaning = np.flatnonzero(rows.factor >= 0)
    matrix[leaning, count + rows.factor[leaning]] = rows.factor_g[leaning]
    matrix[: len(u)] /= u[:, None]
    for at, spread in enumerate(rows.factor_u):
        matrix[len(u) + at, count + at] = 1.0 / (spread or 1.0)
    matrix[len(u) + kinds :, :count] = np.eye(count) * vague
    right = np.concatenate([rows.y / u, np.zeros(kinds + count)])
    q, r = np.linalg.qr(matrix)
    inverse = np.linalg.inv(r)
    return np.linalg.solve(r, q.T @ right), inverse @ inverse.T
