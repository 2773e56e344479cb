"""Where a book may lie: not on a network drive, where write-ahead logging is not safe."""

from __future__ import annotations

import os
from pathlib import Path

from vault.store.errors import NetworkDrive

# Kinds of file system on which two machines see one file (names as Linux lists them).
_SHARED = frozenset({"nfs", "nfs4", "cifs", "smb3", "smbfs", "afs", "fuse.sshfs", "davfs"})
_MOUNTS = Path("/proc/mounts")


def refuse_network_drive(path: Path, *, mounts: Path = _MOUNTS) -> None:
    """Refuse a book on a network drive, as far as the system tells what kind of drive it is.

    Raises:
        NetworkDrive: when the folder is known to be shared over a network.
    """
    kind = file_system_of(path, mounts=mounts)
    if kind in _SHARED or path.as_posix().startswith("//"):
        raise NetworkDrive(
            f"{path} lies on a network drive ({kind or 'a share'}), where a book could be damaged "
            "when two machines open it. Keep the book on this machine's own disk and put backups "
            "on the network."
        )


def file_system_of(path: Path, *, mounts: Path = _MOUNTS) -> str:
    """Give the kind of file system that a path lies on, empty where the system does not tell."""
    try:
        lines = mounts.read_text(encoding="utf-8", errors="replace").splitlines()
        here = path.absolute().parent.resolve()
    except OSError:
        return ""
    best, kind = Path(), ""
    for line in lines:
        fields = line.split()
        if len(fields) < 3:
            continue
        where = Path(fields[1].replace("\\040", " "))
        if here.is_relative_to(where) and len(where.parts) >= len(best.parts):
            best, kind = where, fields[2]
    return kind


def flush_folder(folder: Path) -> None:
    """Bring a new or changed name in a folder safely to the disk, where the system allows it."""
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
