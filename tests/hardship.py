"""Ways in which the world lets a program down: fewer rights, and no room on the disk."""

from __future__ import annotations

import os
import resource
from collections.abc import Iterator
from contextlib import contextmanager

NOBODY = 65534


@contextmanager
def lesser_rights() -> Iterator[None]:
    """Go on as a user who may do only what the rights of files say; root may do everything."""
    if os.geteuid() != 0:
        yield
        return
    os.seteuid(NOBODY)
    try:
        yield
    finally:
        os.seteuid(0)


@contextmanager
def no_file_beyond(size: int) -> Iterator[None]:
    """Let no file of this program grow beyond so many bytes, as if the disk were full there.

    Python ignores SIGXFSZ from its start, so what is seen is a write that fails.
    """
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
