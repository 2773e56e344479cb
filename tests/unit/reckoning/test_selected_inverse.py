"""The selected inverse is the inverse, wherever the factor has an entry."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import sparse
from scipy.sparse import linalg

from vault.reckoning.selected_inverse import selected_inverse


def tangled(count: int, seed: int, wide: int = 0) -> sparse.csc_matrix:
    """A random positive definite matrix; `wide` of its rows lean on many others."""
    random = np.random.default_rng(seed)
    rows, columns = random.integers(0, count, (2, 2 * count))
    data = random.normal(size=2 * count)
    if wide:
        near = np.repeat(np.arange(wide), count // 2)
        far = random.integers(0, count, len(near))
        rows, columns = np.append(rows, near), np.append(columns, far)
        data = np.append(data, random.normal(size=len(near)))
    some = sparse.csr_matrix((data, (rows, columns)), (count, count))
    return (some.T @ some + sparse.eye_array(count)).tocsc()


@pytest.mark.parametrize(
    ("count", "wide"), [(1, 0), (2, 0), (30, 0), (200, 0), (150, 3), (400, 12)]
)
def test_every_entry_in_the_pattern_is_that_of_the_dense_inverse(count: int, wide: int) -> None:
    """Independent of the recursion: numpy's inverse of the full matrix."""
    matrix = tangled(count, 7 * count, wide)
    factor = linalg.splu(
        matrix,
        permc_spec="MMD_AT_PLUS_A",
        diag_pivot_thresh=0.0,
        options={"SymmetricMode": True},
    )
    found = selected_inverse(factor)
    dense = np.linalg.inv(matrix.toarray())
    assert found.diagonal() == pytest.approx(np.diagonal(dense), rel=1e-9)
    one, other = (side.astype(np.int64) for side in matrix.nonzero())
    assert found.at(one, other) == pytest.approx(dense[one, other], rel=1e-7, abs=1e-10)
