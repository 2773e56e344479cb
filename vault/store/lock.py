"""One writer at a time: a lock beside the book, given back by the system when a program dies."""

from __future__ import annotations

import errno
import json
import os
import platform
import sys
from contextlib import suppress
from datetime import UTC, datetime
from pathlib import Path
from typing import BinaryIO

from vault.store.errors import BookInUse, BookReadOnly, DiskFull


def lock_file_of(path: Path) -> Path:
    """Give the name of the lock beside a book."""
    return path.with_name(f".{path.name}.in-use")


class WriterLock:
    """The right to write in a book, held from its making until `release`."""

    def __init__(self, path: Path) -> None:
        """Take the right to write.

        Raises:
            BookInUse: when another window or program has it.
            BookReadOnly: when the folder may not be written.
        """
        self._lock_path = lock_file_of(path)
        try:
            self._file = _locked(self._lock_path)
        except OSError as trouble:
            if trouble.errno in {errno.ENOSPC, errno.EDQUOT}:
                raise DiskFull(
                    f"There is no room left beside {path}; free some space and open it again."
                ) from trouble
            raise BookReadOnly(
                f"{path} cannot be opened for writing: its folder may not be written. Check the "
                "rights of the folder, or copy the book to one of your own."
            ) from trouble
        if self._file is None:
            raise BookInUse(
                f"{path.name} is open for writing in another window{_holder(self._lock_path)}. "
                "Close it there first; two windows must not write in one book."
            )
        self._tell_who_holds_it()

    def _tell_who_holds_it(self) -> None:
        told = {
            "program": os.getpid(),
            "machine": platform.node(),
            "since": datetime.now(UTC).isoformat(timespec="minutes"),
        }
        # Only a courtesy to the second window; a full disk must not keep the first one out.
        with suppress(OSError):
            self._lock_path.write_text(json.dumps(told), encoding="utf-8")

    def release(self) -> None:
        """Give the right back; the lock's own file goes with it."""
        if self._file is None:
            return
        with suppress(OSError):
            self._lock_path.unlink()
        self._file.close()
        self._file = None


def _locked(lock_path: Path) -> BinaryIO | None:
    """Open and lock the lock file; None when another has it."""
    while True:
        # Held open for as long as the book is: closing it gives the lock back.
        file = lock_path.open("ab")
        if not _lock(file):
            file.close()
            return None
        # The last holder may have removed the file between the two steps; then the lock is on
        # a file that nobody else can see.
        with suppress(OSError):
            if os.path.samestat(os.fstat(file.fileno()), lock_path.stat()):
                return file
        file.close()


def _holder(lock_path: Path) -> str:
    """Say which program holds the lock, in brackets, as far as it has told."""
    try:
        told = json.loads(lock_path.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return ""
    if not isinstance(told, dict) or "since" not in told:
        return ""
    return f" (on {told.get('machine', 'this machine')}, since {told['since']})"


if sys.platform == "win32":
    import msvcrt

    def _lock(file: BinaryIO) -> bool:
        try:
            # Far behind the words at the start, which the second window wants to read.
            file.seek(1 << 20)
            msvcrt.locking(file.fileno(), msvcrt.LK_NBLCK, 1)
        except OSError:
            return False
        return True

else:
    import fcntl

    def _lock(file: BinaryIO) -> bool:
        try:
            fcntl.flock(file.fileno(), fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            return False
        return True
