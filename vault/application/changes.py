"""What one user action changed, as one record that every screen can judge for itself."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Changes:
    """What changed in the book.

    Attributes:
        entries: numbers of the entries recorded, in order.
        tags: items touched.
        lots: lots touched.
        places: places touched.
        figures: whether figures were worked out anew.
        settings: whether settings that travel with the book changed.
    """

    entries: tuple[int, ...] = ()
    tags: frozenset[str] = frozenset()
    lots: frozenset[str] = frozenset()
    places: frozenset[str] = frozenset()
    figures: bool = False
    settings: bool = False
