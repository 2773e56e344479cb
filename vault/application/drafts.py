"""Drafts: what is typed in a form and not recorded yet, kept outside the book against a crash.

One file for each form of each book, in a folder beside the settings, written anew at each field:
first beside itself and down to the disk, then put in its place, so that a program killed at any
moment leaves the draft of now or the one before, and never half of one.
"""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from vault.core.errors import VaultError

_FORMAT = 1


class DraftBroken(VaultError):
    """A draft that cannot be read back; it was put aside."""


@dataclass(frozen=True, slots=True)
class KeptDraft:
    """What stood in a form.

    Attributes:
        content: the form's own words and numbers, as JSON can hold them.
        at: when it was last kept, UTC.
    """

    content: Mapping[str, object]
    at: datetime


class DraftShelf:
    """The folder of drafts; each is found by its book and by the name of its form."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder

    def keep(self, book: str, form: str, content: Mapping[str, object]) -> None:
        """Keep what stands in a form, in place of what was kept before.

        Args:
            book: the file of the book, by which its drafts are told from those of others.
            form: the form's name, such as `work`.
            content: anything that JSON can hold.

        Raises:
            OSError: when the disk does not take it.
        """
        told = {
            "format": _FORMAT,
            "book": book,
            "form": form,
            "at": datetime.now(UTC).isoformat(),
            "content": dict(content),
        }
        path = self._path(book, form)
        path.parent.mkdir(parents=True, exist_ok=True)
        beside = path.with_suffix(".new")
        with beside.open("w", encoding="utf-8") as file:
            json.dump(told, file, ensure_ascii=False)
            file.flush()
            os.fsync(file.fileno())
        beside.replace(path)

    def kept(self, book: str, form: str) -> KeptDraft | None:
        """Give what was kept of a form, None where there is nothing.

        Raises:
            DraftBroken: when it cannot be read; it is put aside, so that this is told once.
        """
        path = self._path(book, form)
        try:
            return _draft_of(json.loads(path.read_text(encoding="utf-8")))
        except FileNotFoundError:
            return None
        except (ValueError, KeyError, TypeError) as trouble:
            aside = path.with_suffix(".unreadable")
            path.replace(aside)
            raise DraftBroken(
                f"What was begun in the form “{form}” cannot be read back; begin it anew. "
                f"The file was put aside as {aside}."
            ) from trouble

    def drop(self, book: str, form: str) -> None:
        """Throw away what was kept of a form; nothing happens where there is nothing."""
        self._path(book, form).unlink(missing_ok=True)

    def _path(self, book: str, form: str) -> Path:
        name = hashlib.sha256(book.encode()).hexdigest()[:16]
        return self._folder / f"{name}-{form}.json"


def _draft_of(told: dict[str, Any]) -> KeptDraft:
    if told["format"] != _FORMAT:
        raise ValueError(told["format"])
    return KeptDraft(dict(told["content"]), datetime.fromisoformat(told["at"]))
