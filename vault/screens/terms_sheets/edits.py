"""What was typed of terms sheets and not kept yet: several may be begun, none is lost."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from vault.screens.terms_sheets.texts import Texts

# Refinery, name, version; a sheet that is new has none of them yet.
Key = tuple[str, str, int]
NEW: Key = ("", "", 0)


class Edits:
    """The texts of forms that differ from what is kept, by the version they were begun on."""

    def __init__(self) -> None:
        self._texts: dict[Key, Texts] = {}

    def __contains__(self, key: Key) -> bool:
        return key in self._texts

    def __len__(self) -> int:
        return len(self._texts)

    def of(self, key: Key) -> Texts | None:
        """Give what was typed for a version; None where nothing was."""
        return self._texts.get(key)

    def put(self, key: Key, texts: Texts, kept: Texts | None) -> bool:
        """Take what is typed; where it is what is kept, nothing is left. Tells what changed."""
        before = self._texts.get(key)
        if texts == kept:
            self._texts.pop(key, None)
        else:
            self._texts[key] = texts
        return self._texts.get(key) != before

    def drop(self, key: Key) -> None:
        """Forget what was typed for a version."""
        self._texts.pop(key, None)

    def clear(self) -> None:
        """Forget everything."""
        self._texts.clear()

    def content(self) -> dict[str, object]:
        """Give all of it, as a draft keeps it."""
        return {"edits": [{"of": list(key), "texts": one} for key, one in self._texts.items()]}

    def restore(self, content: Mapping[str, Any]) -> None:
        """Take what a draft kept."""
        for one in content.get("edits", ()):
            party, name, version = one["of"]
            self._texts[str(party), str(name), int(version)] = one["texts"]
