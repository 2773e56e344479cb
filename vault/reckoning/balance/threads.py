"""One BLAS thread while small matrices are solved: two make a small QR 40 % slower."""

from __future__ import annotations

from contextlib import AbstractContextManager
from functools import lru_cache

from threadpoolctl import ThreadpoolController


def one_thread() -> AbstractContextManager[object]:
    """Hold the linear algebra of numpy to one thread for a while."""
    limit: AbstractContextManager[object] = _controller().limit(limits=1, user_api="blas")
    return limit


@lru_cache(maxsize=1)
def _controller() -> ThreadpoolController:
    # Looking for the libraries takes milliseconds, as long as a family; numpy's is loaded by now.
    return ThreadpoolController()
