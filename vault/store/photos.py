"""Photos beside the book: each file is named by the SHA-256 of its bytes, and never altered.

    tidewater.shop
    tidewater.shop.photos/
        2b/2b29f0c1….jpg        the bytes as they came from the camera

The daybook names a photo by that hash, so the chain covers the picture as well. The file is
written before the entry that names it is recorded: an entry never names what was not there.
"""

from __future__ import annotations

import errno
import hashlib
import os
import re
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import Connection

from vault.store.errors import (
    BookReadOnly,
    DiskFull,
    NoSuchPhoto,
    NotAPicture,
    PhotoTooLarge,
    StoreError,
)
from vault.store.places import flush_folder

Progress = Callable[[int, int], None]

LARGEST_BYTES = 50_000_000
_LARGEST_WORDS = "50 MB"
_STRIDE_BYTES = 1 << 20

# How a file of each kind begins; a kind that is not here could not be shown.
_KINDS = (
    ("jpg", re.compile(rb"\xff\xd8\xff")),
    ("png", re.compile(rb"\x89PNG\r\n\x1a\n")),
    ("webp", re.compile(rb"RIFF....WEBP", re.DOTALL)),
    ("tif", re.compile(rb"II\x2a\x00|MM\x00\x2a")),
    ("gif", re.compile(rb"GIF8[79]a")),
    ("bmp", re.compile(rb"BM.{4}\x00{4}", re.DOTALL)),
)
ENDINGS = tuple(kind for kind, _ in _KINDS)
# What telephones make unless told otherwise (ISO base media files: a size, then “ftyp”).
_FROM_A_TELEPHONE = re.compile(rb"....ftyp(?:hei[cfmsx]|hev|mif|msf|avi)", re.DOTALL)
_REF = re.compile(r"[0-9a-f]{64}")
_PART = ".part"


@dataclass(frozen=True, slots=True)
class Named:
    """A photo as the daybook names it.

    Attributes:
        ref: SHA-256 of its bytes, as hexadecimal digits.
        tag: the item it shows.
        entry: the entry that names it.
        is_struck: whether that entry was struck; its photo need not be there any more.
    """

    ref: str
    tag: str
    entry: int
    is_struck: bool


def folder_of(book: Path) -> Path:
    """Give the folder of a book's photos."""
    return book.with_name(f"{book.name}.photos")


def file_of(book: Path, ref: str) -> Path:
    """Give the file of a photo.

    Raises:
        NoSuchPhoto: when it is not in the book's folder.
    """
    found = _found(folder_of(book), ref)
    if found is None:
        raise NoSuchPhoto(
            f"The photo {_short(ref)} is not in {folder_of(book)}. Copy it back from a backup; "
            "the folder goes wherever the book goes."
        )
    return found


def read_picture(path: Path) -> bytes:
    """Read a picture from its file, whole and unaltered.

    Raises:
        NotAPicture, PhotoTooLarge: when it is nothing that can be kept as a photo.
        StoreError: when the file cannot be read.
    """
    with _told(path, "read"):
        if path.stat().st_size > LARGEST_BYTES:
            raise _too_large(path.name)
        picture = path.read_bytes()
    kind_of(picture, path.name)
    return picture


def kind_of(picture: bytes, name: str = "") -> str:
    """Give the ending that fits a picture's bytes.

    Raises:
        NotAPicture, PhotoTooLarge: when it is nothing that can be kept as a photo.
    """
    whose = name or "This"
    if len(picture) > LARGEST_BYTES:
        raise _too_large(name)
    for kind, beginning in _KINDS:
        if beginning.match(picture):
            return kind
    if not picture:
        raise NotAPicture(f"{whose} is empty; perhaps the camera was still writing it.")
    if _FROM_A_TELEPHONE.match(picture):
        raise NotAPicture(
            f"{whose} is a HEIF or AVIF picture, which cannot be shown here. Have the telephone "
            "take pictures as JPEG, or save this one as JPEG."
        )
    raise NotAPicture(f"{whose} is no picture known here; take JPEG, PNG, WebP, TIFF, GIF or BMP.")


def keep(book: Path, picture: bytes) -> tuple[str, bool]:
    """Keep a picture's bytes; gives its SHA-256, and whether it was not there before.

    Raises:
        NotAPicture, PhotoTooLarge: when it is nothing that can be kept as a photo.
        StoreError: when it cannot be written there; nothing is left behind then.
    """
    kind = kind_of(picture)
    ref = hashlib.sha256(picture).hexdigest()
    folder = folder_of(book)
    found = _found(folder, ref)
    if found is not None and hash_of(found) == ref:
        return ref, False
    path = folder / ref[:2] / f"{ref}.{kind}"
    with _told(folder, "written"):
        is_first = not folder.exists()
        path.parent.mkdir(parents=True, exist_ok=True)
        _write(path, picture)
        if is_first:
            flush_folder(folder.parent)
    return ref, True


def take_back(book: Path, ref: str) -> None:
    """Remove a picture that was kept for an entry which then was refused."""
    found = _found(folder_of(book), ref)
    if found is not None:
        found.unlink()


def named_in(connection: Connection) -> tuple[Named, ...]:
    """Give every photo that the daybook names, in the order of its entries."""
    rows = connection.exec_driver_sql(
        "SELECT l.ref, l.tag, l.entry, s.struck FROM entry e JOIN line l ON l.entry = e.number "
        "LEFT JOIN strike s ON s.struck = e.number WHERE e.act = 'photo' AND l.ref != '' "
        "ORDER BY l.entry, l.position"
    )
    return tuple(Named(ref, tag, entry, struck is not None) for ref, tag, entry, struck in rows)


def photo_faults(
    book: Path, named: tuple[Named, ...], progress: Progress | None = None
) -> list[str]:
    """Tell which of the photos named are not there, or are not what was named."""
    folder = folder_of(book)
    told: list[str] = []
    hashes: dict[str, str | None] = {}
    wanted = [one for one in named if not one.is_struck]
    for done, one in enumerate(wanted):
        if progress is not None:
            progress(done, len(wanted))
        if one.ref not in hashes:
            hashes[one.ref] = _hash_kept(folder, one.ref)
        if hashes[one.ref] is None:
            told.append(
                f"The photo of {one.tag} that entry {one.entry} names is not in {folder.name}; "
                "copy it back from a backup."
            )
        elif hashes[one.ref] != one.ref:
            told.append(
                f"The photo of {one.tag} that entry {one.entry} names was altered; copy it back "
                "from a backup."
            )
    return told


def unnamed(book: Path, named: tuple[Named, ...]) -> list[Path]:
    """List the files among the photos that no entry names."""
    refs = {one.ref for one in named}
    return [path for path in files_of(book) if path.stem not in refs]


def files_of(book: Path) -> Iterator[Path]:
    """Give every file in the folder of photos but those half written, in the order of names."""
    folder = folder_of(book)
    if folder.is_dir():
        for path in sorted(folder.rglob("*")):
            if path.is_file() and not path.name.endswith(_PART):
                yield path


def copy_photos(book: Path, to: Path) -> int:
    """Copy every photo of a book into a new folder and prove each copy; gives how many.

    A file that is no longer what its name says is copied as it lies.

    Raises:
        StoreError: when one cannot be read or written, or a copy is not what was read.
    """
    count = 0
    for path in files_of(book):
        target = to / path.relative_to(folder_of(book))
        with _told(path, "read"):
            picture = path.read_bytes()
        with _told(to, "written"):
            target.parent.mkdir(parents=True, exist_ok=True)
            _write(target, picture)
        if hash_of(target) != hashlib.sha256(picture).hexdigest():
            raise StoreError(f"The copy of {path.name} is not what was read; check the disk.")
        count += 1
    return count


def hash_of(path: Path) -> str:
    """Give the SHA-256 of a file, as hexadecimal digits.

    Raises:
        StoreError: when it cannot be read.
    """
    told = hashlib.sha256()
    with _told(path, "read"), path.open("rb") as file:
        while some := file.read(_STRIDE_BYTES):
            told.update(some)
    return told.hexdigest()


def _hash_kept(folder: Path, ref: str) -> str | None:
    """Give the hash of the file that stands for a photo; None where there is none to be read."""
    found = _found(folder, ref)
    try:
        return None if found is None else hash_of(found)
    except StoreError:
        return None


def _found(folder: Path, ref: str) -> Path | None:
    # A word from the daybook names a file only where it can be nothing but a hash.
    if not _REF.fullmatch(ref):
        return None
    files = (folder / ref[:2] / f"{ref}.{ending}" for ending in ENDINGS)
    return next((path for path in files if path.is_file()), None)


def _write(path: Path, picture: bytes) -> None:
    """Write a file wholly or not at all, and see it on the disk."""
    half_done = path.with_name(f".{path.name}{_PART}")
    try:
        with half_done.open("wb") as file:
            file.write(picture)
            file.flush()
            os.fsync(file.fileno())
        half_done.replace(path)
        flush_folder(path.parent)
    finally:
        half_done.unlink(missing_ok=True)


_NO_ROOM = frozenset({errno.ENOSPC, errno.EDQUOT, errno.EFBIG, errno.EIO})
_NO_RIGHT = frozenset({errno.EACCES, errno.EPERM, errno.EROFS})
_MEANINGS: Mapping[str, str] = {"read": "cannot be read", "written": "cannot be written in"}


@contextmanager
def _told(path: Path, verb: str) -> Iterator[None]:
    """Turn what the system says of a file into the sentence that an owner can act on."""
    try:
        yield
    except OSError as trouble:
        if trouble.errno in _NO_ROOM and verb == "written":
            raise DiskFull(
                f"There is no room left in {path}, or its disk does not answer. The photo was not "
                "kept; free some space and do it again."
            ) from trouble
        if trouble.errno in _NO_RIGHT:
            raise BookReadOnly(
                f"{path} {_MEANINGS[verb]}; check the rights of the file and of its folder."
            ) from trouble
        said = trouble.strerror or trouble
        raise StoreError(f"{path} {_MEANINGS[verb]}: {said}.") from trouble


def _too_large(name: str) -> PhotoTooLarge:
    return PhotoTooLarge(
        f"{name or 'This picture'} is larger than {_LARGEST_WORDS}; have the camera take smaller "
        "ones, or save it smaller."
    )


def _short(ref: str) -> str:
    return f"{ref[:8]}…"
