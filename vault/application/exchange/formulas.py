"""Cells that a spreadsheet would run as formulas, made harmless on the way out.

After OWASP's advice on CSV injection, such a cell gets a leading apostrophe. So that reading
takes away exactly what writing added, a word that already looks guarded is guarded once more.
"""

from __future__ import annotations

from vault.core.words import FORMULA_SIGNS

_GUARD = "'"
# A leading tab or line break hides the sign from the eye but not from every spreadsheet.
_RUN = frozenset(FORMULA_SIGNS + "\t\r\n")
_SECOND = _RUN | {_GUARD}


def guarded(word: str) -> str:
    """Give a word that no spreadsheet runs."""
    if word and (word[0] in _RUN or _looks_guarded(word)):
        return _GUARD + word
    return word


def unguarded(word: str) -> str:
    """Give back the word that `guarded` was given."""
    return word[1:] if _looks_guarded(word) else word


def _looks_guarded(word: str) -> bool:
    return len(word) > 1 and word[0] == _GUARD and word[1] in _SECOND
