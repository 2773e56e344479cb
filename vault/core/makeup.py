"""What residues of a form are made of beside precious metal: how dry they are, which elements.

A terms sheet may go by the dry weight, and charge for elements that disturb. No entry says them, so
the owner does, for each form: `dry 98 %, Pb 55 %, As 0.1 %`. What is left out nobody said.

>>> read = makeup_from_text("dry 98 %; Pb 55 %, As 200 g/t")
>>> read.dry.to_text(), [(one, part.to_text()) for one, part in read.shares.items()]
('980', [('Pb', '550'), ('As', '0.2')])
>>> makeup_to_text(read)
'dry 98 %, Pb 55 %, As 0.02 %'
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal

from vault.core.errors import TextNotUnderstood
from vault.core.fineness import WHOLE_PPB, Fineness, typed_part
from vault.core.metals import BY_SYMBOL
from vault.core.numerals import shortened
from vault.core.words import LONGEST_NAME, tidied

DRY = "dry"
# A name without figures, then a number with its unit; a comma within a number is followed by one.
_PIECE = re.compile(r"([^\d,;±]+?)\s*(\d[\d.,]*\s*[^\d\s,;]+)\s*(?:[,;]\s*|$)")
_PER_PERCENT = Decimal(WHOLE_PPB) / 100


@dataclass(frozen=True, slots=True)
class Makeup:
    """What residues of one form are made of, as the owner says.

    Attributes:
        dry: dry part of the weight; None where nobody said.
        shares: parts of the weight, by element as the sheets name it.
    """

    dry: Fineness | None = None
    shares: Mapping[str, Fineness] = field(default_factory=dict)


def makeup_from_text(text: str, *, decimal_mark: str = ".") -> Makeup:
    """Read what a person types: `dry 98 %, Pb 55 %`; empty is nothing said.

    Raises:
        TextNotUnderstood: at the first part that cannot be read, or cannot be.
    """
    told = tidied(text)
    parts: dict[str, Fineness] = {}
    at = 0
    while at < len(told):
        piece = _PIECE.match(told, at)
        if piece is None:
            raise TextNotUnderstood(
                f"“{shortened(told[at:])}” is no part of it; type name, number and unit, such as "
                "dry 98 %, Pb 55 %."
            )
        name = piece[1].strip()
        _insist(name, parts)
        parts[name] = typed_part(piece[2], decimal_mark=decimal_mark)
        at = piece.end()
    named = {one: part for one, part in parts.items() if one.casefold() != DRY}
    if sum(part.ppb for part in named.values()) > WHOLE_PPB:
        raise TextNotUnderstood(f"{' and '.join(named)} together are more than all of it.")
    dry = next((part for one, part in parts.items() if one.casefold() == DRY), None)
    if dry is not None and dry.ppb == 0:
        raise TextNotUnderstood("Dry 0 % would be nothing but water; type how much of it is dry.")
    return Makeup(dry, named)


def makeup_to_text(makeup: Makeup, *, decimal_mark: str = ".") -> str:
    """Write it so that it reads back as the same."""
    parts = dict(makeup.shares)
    if makeup.dry is not None:
        parts = {DRY: makeup.dry, **parts}
    return ", ".join(f"{one} {_percent(part, decimal_mark)} %" for one, part in parts.items())


def _percent(part: Fineness, decimal_mark: str) -> str:
    percent = (Decimal(part.ppb) / _PER_PERCENT).normalize()
    return f"{percent:f}".replace(".", decimal_mark)


def _insist(name: str, known: Mapping[str, Fineness]) -> None:
    if name.casefold() in {one.casefold() for one in known}:
        raise TextNotUnderstood(f"{shortened(name)} stands there twice.")
    if len(name) > LONGEST_NAME:
        raise TextNotUnderstood(f"“{shortened(name)}” is too long for the name of an element.")
    metals = {one.casefold(): metal.name for one, metal in BY_SYMBOL.items()}
    metals |= {metal: metal for metal in metals.values()}
    if name.casefold() in metals:
        raise TextNotUnderstood(
            f"How much {metals[name.casefold()]} is in it the program works out from the book; "
            "leave it out here, and record an assay where one says it."
        )
