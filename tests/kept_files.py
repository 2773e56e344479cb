"""The files of the project, with git or without: all that lies there and is not set aside."""

from __future__ import annotations

from collections.abc import Iterator
from fnmatch import fnmatch
from pathlib import Path


def kept_files(folder: Path) -> Iterator[Path]:
    """Give every file below a folder that its list of things not kept does not name."""
    yield from _below(folder, set_aside(folder))


def kept_names(folder: Path) -> set[str]:
    """Give the names that lie in a folder itself."""
    aside = set_aside(folder)
    return {one.name for one in folder.iterdir() if not _is_aside(one, aside)}


def set_aside(folder: Path) -> list[str]:
    """Give the patterns of what is made anew, and git's own."""
    lines = (folder / ".gitignore").read_text("utf-8").splitlines()
    return [".git", *(one.rstrip("/") for one in lines)]


def _below(folder: Path, aside: list[str]) -> Iterator[Path]:
    for one in sorted(folder.iterdir()):
        if _is_aside(one, aside):
            continue
        if one.is_dir():
            yield from _below(one, aside)
        else:
            yield one


def _is_aside(one: Path, aside: list[str]) -> bool:
    return any(fnmatch(one.name, pattern) for pattern in aside)
