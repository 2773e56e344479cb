"""The answer of what stands on a tag."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from vault.bench.tags import Symbol


@dataclass(frozen=True, slots=True)
class TagLabel:
    """What a printed tag says.

    Attributes:
        tag, check: the tag and its check digits; these are empty where the tag has none.
        symbol: the modules that carry the tag.
        form: of the item, or `container`.
        lots, more_lots: the first lots that it came from, and how many there are besides.
        made_on: the day it was made or received; None for a container.
        is_received: whether a customer brought it, rather than a work making it.
        kept_since: the day of the oldest residue in it; None where there is none.
        cautions: the shortest words that warn, each a sentence.
    """

    tag: str
    check: str
    symbol: Symbol
    form: str
    lots: tuple[str, ...]
    more_lots: int
    made_on: date | None
    is_received: bool
    kept_since: date | None
    cautions: tuple[str, ...]
