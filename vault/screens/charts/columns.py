"""Which points of a long series are drawn: no more than a pixel column can show, no spike lost."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Indices = NDArray[np.int64]


def points_drawn(x: Floats, y: Floats, left: float, right: float, columns: int) -> Indices:
    """Give the points to draw between two bounds, in order.

    Where there are more points than fit, each pixel column keeps its lowest, its highest and its
    last one, so that a spike of a single day stays to be seen. One point beyond either bound is
    kept too, so that lines run on to the edge.

    Args:
        x: rising.
        y: by which lowest and highest are told.
        left: the bound on the left, in the unit of x.
        right: the bound on the right.
        columns: how many pixels lie between them.
    """
    first = max(0, int(np.searchsorted(x, left, side="left")) - 1)
    last = min(len(x), int(np.searchsorted(x, right, side="right")) + 1)
    if last - first <= 2 * columns or columns < 1:
        return np.arange(first, last, dtype=np.int64)
    edges = np.searchsorted(x[first:last], np.linspace(left, right, columns + 1)[1:-1])
    starts = np.unique(np.concatenate(([0], edges[edges < last - first]))).astype(np.int64)
    inside = y[first:last]
    kept = np.concatenate(
        (
            _first_equal(inside, np.minimum.reduceat(inside, starts), starts),
            _first_equal(inside, np.maximum.reduceat(inside, starts), starts),
            np.append(starts[1:], last - first) - 1,
        )
    )
    return np.unique(kept) + first


def _first_equal(values: Floats, wanted: Floats, starts: Indices) -> Indices:
    """Give, for each run of values, the place of the first that equals the wanted one."""
    lengths = np.diff(np.append(starts, len(values)))
    equal = np.flatnonzero(values == np.repeat(wanted, lengths))
    return equal[np.searchsorted(equal, starts)]
