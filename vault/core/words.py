"""Words: tags, names and notes, kept so that one thing cannot be written in two ways.

A word of the book is composed Unicode (NFC) with single plain spaces, none around it and nothing
invisible in it, so two tags that look alike are alike. A note may have line breaks.
"""

from __future__ import annotations

import re
import unicodedata

from vault.core.numerals import shortened

LONGEST_NAME = 200
LONGEST_NOTE = 10_000

# A spreadsheet takes a cell that begins with one of these as a formula and runs it; the wide
# forms count as well (OWASP, "CSV Injection").
FORMULA_SIGNS = "=+-@\uff1d\uff0b\uff0d\uff20"

# Joiners without which some scripts cannot be written; everything else of kind Cf is refused.
_NEEDED_INVISIBLE = "\u200c\u200d"
# Control, surrogate, invisible formatting, line and paragraph separators. Not the unassigned:
# what is unassigned to one version of Unicode is a letter to the next.
_INVISIBLE_KINDS = frozenset({"Cc", "Cs", "Cf", "Zl", "Zp"})
_SOUGHT = re.compile(r'"([^"]*)(?:"|$)|([^\s"]+)')
_SPACES = re.compile(r"[^\S\t\r\n\x0b\x0c\x1c-\x1f\x85\u2028\u2029]+")


def tidied(text: str, *, is_note: bool = False) -> str:
    """Give a typed word as the book keeps it: composed, single plain spaces, none around it."""
    if not text.isascii():
        text = unicodedata.normalize("NFC", text)
    if is_note:
        lines = text.replace("\r\n", "\n").replace("\r", "\n").replace("\t", " ").split("\n")
        return "\n".join(_SPACES.sub(" ", line).strip(" ") for line in lines).strip(" \n")
    text = text.strip(" \t\r\n")
    if "  " in text or not text.isascii():
        text = _SPACES.sub(" ", text).strip(" \t\r\n")
    return text


def searched_for(text: str) -> tuple[str, ...]:
    """Give what is looked for: each word on its own, and what stands in quotes as a whole.

    A quote that is still open while it is typed reaches to the end.

    Example:
        >>> searched_for('"drum C" slag')
        ('drum C', 'slag')
    """
    found = (quoted or bare for quoted, bare in _SOUGHT.findall(text))
    return tuple(word for word in (" ".join(one.split()) for one in found) if word)


def spelling_of(name: str) -> str:
    """Give what two spellings of one name have in common: letters and digits, no accents.

    Example:
        >>> spelling_of("Pennant Bénch-School") == spelling_of("PENNANT  bench school")
        True
    """
    parts = unicodedata.normalize("NFKD", name.casefold())
    return "".join(sign for sign in parts if sign.isalnum())


def trouble_with(word: str, *, is_note: bool = False) -> str | None:
    """Tell in a sentence why a word cannot stand in the book; None where nothing is wrong."""
    if not word or _is_plain(word):
        return None
    longest = LONGEST_NOTE if is_note else LONGEST_NAME
    if len(word) > longest:
        return f"“{shortened(word)}” is {len(word)} characters long; at most {longest} can be kept."
    if not is_note and word[0] in FORMULA_SIGNS:
        return (
            f"“{shortened(word)}” begins with “{word[0]}”, which a spreadsheet would run as a "
            "formula; write it without."
        )
    for sign in word:
        if _is_invisible(sign) and not (is_note and sign == "\n"):
            return (
                f"“{shortened(word)}” holds a character that cannot be seen "
                f"(U+{ord(sign):04X}); type the word anew."
            )
    if tidied(word, is_note=is_note) != word:
        return (
            f"“{shortened(word)}” has spaces around it, double spaces or letters composed of "
            "parts; type the word anew."
        )
    return None


# A fullmatch of this needs no closer look, and nearly all words are such.
_PLAIN = re.compile(r"[!-*,./-<>?A-~][!-~]*(?: [!-~]+)*")


def _is_plain(word: str) -> bool:
    return len(word) <= LONGEST_NAME and _PLAIN.fullmatch(word) is not None


def _is_invisible(sign: str) -> bool:
    if sign.isprintable() or sign in _NEEDED_INVISIBLE:
        return False
    return unicodedata.category(sign) in _INVISIBLE_KINDS
