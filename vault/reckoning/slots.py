"""Slots: every item's fixed position in the arrays of a book, and its weight there.

A slot is given once and never again, so that an older `Contents` stays right while newer ones are
made. Slots are dealt out in the order of the making of the items.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import numpy as np

from vault.core.turns import in_turns
from vault.reckoning.facts import Bools, Floats, Ints
from vault.reckoning.weights import Weights

_FIRST_ROOM = 1024


class Slots:
    """The slots of a book.

    Attributes:
        slot_of: the slot of every tag of the flow.
        gross_g, gross_u_g, gross_known: by slot; longer than needed.
    """

    def __init__(self) -> None:
        self.slot_of: dict[str, int] = {}
        self.gross_g: Floats = np.full(_FIRST_ROOM, np.nan)
        self.gross_u_g: Floats = np.full(_FIRST_ROOM, np.nan)
        self.gross_known: Bools = np.zeros(_FIRST_ROOM, dtype=bool)
        self._tags: list[str] = []
        self._tags_told: tuple[str, ...] = ()
        self._view: dict[str, int] | None = None

    def __len__(self) -> int:
        return len(self._tags)

    def __contains__(self, tag: str) -> bool:
        return tag in self.slot_of

    def add(self, tags: Iterable[str]) -> None:
        """Give slots to tags that have none yet."""
        for tag in in_turns(tags):
            if tag not in self.slot_of:
                self.slot_of[tag] = len(self._tags)
                self._tags.append(tag)
                self._view = None
        while len(self._tags) > len(self.gross_g):
            room = len(self.gross_g)
            self.gross_g = np.concatenate([self.gross_g, np.full(room, np.nan)])
            self.gross_u_g = np.concatenate([self.gross_u_g, np.full(room, np.nan)])
            self.gross_known = np.concatenate([self.gross_known, np.zeros(room, dtype=bool)])

    def of(self, tags: Iterable[str]) -> Ints:
        """Give the slots of tags."""
        return np.fromiter(map(self.slot_of.__getitem__, in_turns(tags)), dtype=np.int64)

    def weigh(self, slots: Ints, weights: Weights) -> None:
        """Set the weights of some slots."""
        self.gross_g[slots] = weights.gross_g
        self.gross_u_g[slots] = weights.u_g
        self.gross_known[slots] = weights.known

    def forget(self, tags: Iterable[str]) -> None:
        """Drop tags that the flow no longer has; their slots stay empty."""
        for tag in tags:
            slot = self.slot_of.pop(tag, None)
            if slot is not None:
                self.gross_g[slot] = self.gross_u_g[slot] = np.nan
                self.gross_known[slot] = False
                self._view = None

    def tags(self) -> tuple[str, ...]:
        """Give the tag of every slot, those dropped too."""
        if len(self._tags_told) != len(self._tags):
            self._tags_told = tuple(self._tags)
        return self._tags_told

    def view(self) -> Mapping[str, int]:
        """Give the slot of every tag as it is now, never to be changed."""
        if self._view is None:
            self._view = dict(self.slot_of)
        return self._view
