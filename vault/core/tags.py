"""Tags: the next number for a form, what a printed tag carries, and what a scan of it says.

A tag of our own making is capitals, a hyphen and a number: `K-0212`. What the printed symbol
carries, its *payload*, is the same without the hyphen and with two check digits behind:
`K021219`. A hand scanner types it as a keyboard does, and keyboards disagree on where
the hyphen, Y and Z lie; digits and the other capitals come through.

The check digits are those of ISO/IEC 7064, MOD 97-10, over the characters written as two figures
each (0 = 00 … 9 = 09, A = 10 … X = 33). Every wrong character changes the number by d · 100ⁿ with
0 < d < 97, and every swap of neighbours by d · 99 · 100ⁿ; 97 is prime and divides neither, so
both are always noticed. See decision 16.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

from vault.core.errors import TextNotUnderstood

# What a shop that says nothing else gives; the names of forms are those of `forms.py`.
PREFIXES: Mapping[str, str] = {
    "bar": "B",
    "button": "K",
    "bead": "K",
    "grain": "K",
    "slag": "S",
    "spent cupel": "C",
    "crucible": "H",
    "sample": "A",
    "dust": "D",
}
# Keys beside the forms: what a customer brought in whatever form, what a count found besides,
# and every form that has no prefix of its own.
RECEIVED = "received"
FOUND = "found"
OTHER = "anything else"
_BY_OCCASION = {RECEIVED: "R", FOUND: "X", OTHER: "R"}
DEFAULTS: Mapping[str, str] = {**PREFIXES, **_BY_OCCASION}

# Capitals that lie on the same key of the layouts of English and German; Y and Z do not.
SAFE_CAPITALS = "ABCDEFGHIJKLMNOPQRSTUVWX"
_PREFIX = re.compile(f"[{SAFE_CAPITALS}]{{1,4}}")
# More digits than any shop will need, and fewer than a whole number of the database holds.
_TAG = re.compile(f"([{SAFE_CAPITALS}]{{1,4}})-([0-9]{{1,12}})")
_WITH_CHECK = re.compile(f"([{SAFE_CAPITALS}]{{1,4}})([0-9]{{1,12}})([0-9]{{2}})")
_DIGITS = 4

# What a scanner set to an English keyboard gives where the computer has another one, whose
# upper row gives digits only with Shift (French, Belgian, Czech; from memory). A reading put
# right in this way counts only if its check digits hold.
_ENGLISH = "1234567890AQWZM"
_OTHER_LAYOUTS = (
    "&é\"'(-è_çàQAZW?",
    "&é\"'(§è!çàQAZW?",
    "+ěščřžýáíéAQWZM",
)


@dataclass(frozen=True, slots=True)
class Scan:
    """What a scanned or typed text says.

    Attributes:
        text: as it came.
        tag: the tag it names; empty where it names none.
        is_misread: whether it is the payload of a tag with something wrong in it.
    """

    text: str
    tag: str = ""
    is_misread: bool = False


def prefix_of(form: str, prefixes: Mapping[str, str] = DEFAULTS) -> str:
    """Give the capitals before the number for a form or an occasion (`RECEIVED`, `FOUND`)."""
    return prefixes.get(form) or prefixes.get(OTHER) or DEFAULTS[OTHER]


def prefixes_from_text(text: str) -> dict[str, str]:
    """Give the prefixes of a book from its setting; what it does not say has its default."""
    try:
        said = json.loads(text) if text else {}
    except ValueError:
        said = {}
    kept = said if isinstance(said, dict) else {}
    good = {str(form): one for form, one in kept.items() if is_prefix(one)}
    return {**DEFAULTS, **good}


def prefixes_to_text(prefixes: Mapping[str, str]) -> str:
    """Give prefixes as a book keeps them.

    Raises:
        TextNotUnderstood: when one of them could not be scanned safely.
    """
    for form, prefix in prefixes.items():
        if not is_prefix(prefix):
            raise TextNotUnderstood(
                f"“{prefix}” cannot stand before the numbers of {form}; write one to four of the "
                "capitals A to X. Keyboards disagree on Y and Z, so a scanner may change those."
            )
    return json.dumps(dict(prefixes), ensure_ascii=False, sort_keys=True)


def is_prefix(prefix: object) -> bool:
    """Tell whether capitals may stand before a number: one to four of A to X."""
    return isinstance(prefix, str) and _PREFIX.fullmatch(prefix) is not None


def next_tags(
    forms: Sequence[str],
    last: Mapping[str, int],
    prefixes: Mapping[str, str] = DEFAULTS,
    shown: Collection[str] = (),
) -> list[str]:
    """Give a tag for each form, one after the other, none of them given before.

    Args:
        forms: forms or occasions, in the order in which tags are wanted.
        last: the highest number ever given behind a prefix, struck or not; none where missing.
        prefixes: which prefix a form has.
        shown: tags that stand somewhere already and are passed over.

    Example:
        >>> next_tags(["bead", "spent cupel", "button"], {"K": 212}, shown={"K-0214"})
        ['K-0213', 'C-0001', 'K-0215']
    """
    reached = dict(last)
    tags: list[str] = []
    for form in forms:
        prefix = prefix_of(form, prefixes)
        tag = ""
        while not tag or tag in shown:
            reached[prefix] = reached.get(prefix, 0) + 1
            tag = f"{prefix}-{reached[prefix]:0{_DIGITS}d}"
        tags.append(tag)
    return tags


def is_safe(tag: str) -> bool:
    """Tell whether a scanner on any keyboard brings this tag through, with check digits."""
    return _TAG.fullmatch(tag) is not None


def check_digits(tag: str) -> str:
    """Give the two check digits of a tag; empty for one that is not made of safe characters.

    Example:
        >>> check_digits("K-0212")
        '19'
    """
    match = _TAG.fullmatch(tag)
    return "" if match is None else mod_97_10(_in_figures(match[1] + match[2]))


def mod_97_10(figures: str) -> str:
    """Give the two check digits of a string of decimal digits by ISO/IEC 7064, MOD 97-10.

    The number with them appended leaves 1 when divided by 97. Of the two ways to write that where
    both would do, this is 98 less the remainder (02 to 98), as ISO 13616 has it for accounts.
    """
    return f"{98 - int(figures) * 100 % 97:02d}"


def payload_of(tag: str) -> str:
    """Give what the printed symbol of a tag carries.

    A tag with other characters is carried as it stands, without check digits: it works wherever
    the scanner and the computer agree on the keyboard.
    """
    match = _TAG.fullmatch(tag)
    return tag if match is None else f"{match[1]}{match[2]}{check_digits(tag)}"


def tag_of_scan(text: str, is_known: Callable[[str], bool]) -> Scan:
    """Give what a scanned or typed text says.

    A tag is understood as it stands, as its payload, and typed by hand with or without hyphen,
    spaces, capitals and check digits.

    Args:
        text: what came.
        is_known: tells whether the book has ever given this tag.
    """
    text = text.strip()
    if is_known(text):
        return Scan(text, text)
    bare = text.upper().replace("-", "").replace(" ", "")
    checked = _checked(bare)
    # Another keyboard changes digits into other signs. Where all are digits and capitals a slip
    # could pass for its work, so that it counts only if it names a tag that was given.
    is_plain = bare.isascii() and bare.isalnum()
    read_otherwise = filter(None, map(_checked, _as_typed(text)))
    elsewhere = next((one for one in read_otherwise if not is_plain or is_known(one)), "")
    typed = _HYPHEN_LOST.fullmatch(bare)
    plain = f"{typed[1]}-{typed[2]}" if typed else ""
    for tag in (checked, elsewhere, plain, text.upper()):
        if tag and is_known(tag):
            return Scan(text, tag)
    if checked or elsewhere:
        return Scan(text, checked or elsewhere)
    return Scan(text, is_misread=_looks_like_a_payload(text))


_HYPHEN_LOST = re.compile("([A-Z]{1,4})([0-9]{1,12})")


def _in_figures(characters: str) -> str:
    return "".join(f"{int(one, 36):02d}" for one in characters)


def _checked(payload: str) -> str:
    """Give the tag of a payload whose check digits hold; empty otherwise."""
    match = _WITH_CHECK.fullmatch(payload)
    if match is None or mod_97_10(_in_figures(match[1] + match[2])) != match[3]:
        return ""
    return f"{match[1]}-{match[2]}"


def _as_typed(text: str) -> Iterable[str]:
    """Give what the scanner meant if the computer's keyboard is one of the other layouts."""
    for layout in _OTHER_LAYOUTS:
        yield text.translate(str.maketrans(layout, _ENGLISH)).upper()


# Ours have four digits or more and two check digits; one character more or less may be lost.
_MISREAD = re.compile("[A-Z]{1,4}[A-Z0-9]{4,14}")


def _looks_like_a_payload(text: str) -> bool:
    digits = sum(one.isdigit() for one in text)
    return _MISREAD.fullmatch(text.upper()) is not None and digits >= len(text) - 4
