"""Numbers as text: exact millionths for files, and forgiving reading for what people type."""

from __future__ import annotations

import re
from decimal import Decimal

from vault.core.errors import TextNotUnderstood

_LONGEST_NUMBER = 40
# Neither takes exponents: `1e999999` is one short cell and a number of a million digits.
_DECIMAL = re.compile(r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)\Z", re.ASCII)
_PLAIN = re.compile(r"([+-]?)([0-9]{0,20})(?:\.([0-9]{0,6})0*)?\Z", re.ASCII)


def millionths_from_text(text: str) -> int | None:
    """Read plain decimal text as whole millionths, or give None when it is not exactly that.

    >>> millionths_from_text("512.40"), millionths_from_text("-.5"), millionths_from_text("1e3")
    (512400000, -500000, None)
    """
    found = _PLAIN.match(text)
    if not found:
        return None
    sign, whole, decimals = found.groups()
    if not whole and not decimals:
        return None
    size = int(whole or "0") * 1_000_000 + int((decimals or "").ljust(6, "0"))
    return -size if sign == "-" else size


def millionths_to_text(millionths: int) -> str:
    """Write a whole number of millionths as plain decimal text: 512400000 is '512.4'."""
    sign, size = ("-", -millionths) if millionths < 0 else ("", millionths)
    whole, rest = divmod(size, 1_000_000)
    if not rest:
        return f"{sign}{whole}"
    return f"{sign}{whole}.{rest:06d}".rstrip("0")


def number_from_text(text: str, *, decimal_mark: str = ".") -> Decimal:
    """Read a decimal number by the shop's decimal mark, refusing what could mean two things.

    A lone mark of the other kind is taken as the decimal mark when it cannot group thousands
    (`12,5`), and refused when it could (`1,234`).

    Raises:
        TextNotUnderstood: when it is no number, or could mean two.
    """
    packed = re.sub(r"(?<=[0-9])[\s'\u00a0\u202f](?=[0-9]{3}(?:[^0-9]|\Z))", "", text.strip())
    other = "," if decimal_mark == "." else "."
    if other in packed:
        packed = _without_other_mark(packed, decimal_mark, other)
    plain = packed.replace(decimal_mark, ".")
    # Decimal alone would take exponents, NaN, underscores and the digits of every script.
    if len(plain) > _LONGEST_NUMBER or not _DECIMAL.match(plain):
        raise TextNotUnderstood(f"“{shortened(text)}” is no number.")
    return Decimal(plain)


def _without_other_mark(packed: str, mark: str, other: str) -> str:
    whole, _, rest = packed.partition(other)
    if mark in packed:
        # 1,234.5 with the point as mark: a grouping that is regular can only mean one thing.
        groups, _, decimals = packed.partition(mark)
        if re.fullmatch(rf"[+-]?[0-9]{{1,3}}(?:{re.escape(other)}[0-9]{{3}})+", groups):
            return groups.replace(other, "") + mark + decimals
    elif other not in rest and (len(rest) != 3 or not re.fullmatch(r"[+-]?[1-9][0-9]{0,2}", whole)):
        return whole + mark + rest
    raise TextNotUnderstood(
        f"“{shortened(packed)}” could mean two numbers; write it without grouping and with "
        f"“{mark}” as decimal mark."
    )


def shortened(text: str, *, longest: int = 40) -> str:
    """Give a text short and tame enough to stand in a sentence.

    What cannot be seen is marked: a screen or terminal would obey some of it.
    """
    # Four times as much is enough to fill the place even where most of it is white space.
    flat = " ".join(text[: 4 * longest + 1].split())
    if len(flat) > longest or len(text) > 4 * longest + 1:
        flat = flat[: longest - 1] + "…"
    if flat.isprintable():
        return flat
    return "".join(sign if sign.isprintable() else "\N{REPLACEMENT CHARACTER}" for sign in flat)
