"""The figures in memory: what queries about origins, budgets and traces are answered from."""

from __future__ import annotations

from dataclasses import dataclass, field

from vault.core.flow import Flow
from vault.core.shop import Shop
from vault.reckoning.contents import Contents
from vault.reckoning.draft_balance import Known
from vault.reckoning.foresight import known_of
from vault.reckoning.mixing import DrawnParts
from vault.reckoning.origins import Origins

# A work is entered line by line; a few steps back may be gone again.
_KNOWN_AT_ONCE = 8


@dataclass(frozen=True, slots=True)
class Reckoned:
    """One state of the book with everything that was worked out from it.

    Attributes:
        shop, flow: the facts.
        contents, origins: the figures.
        entry: number of the last entry that they rest on.
        head: the head of the chain at that entry.
    """

    shop: Shop
    flow: Flow
    contents: Contents
    origins: Origins
    entry: int
    head: bytes
    _known: dict[tuple[str, ...], Known] = field(default_factory=dict, compare=False, repr=False)
    _drawn: dict[str, DrawnParts] = field(default_factory=dict, compare=False, repr=False)

    def known(self, tags: tuple[str, ...]) -> Known:
        """Give what is known together of some items, kept while a work with them is entered."""
        found = self._known.get(tags)
        if found is None:
            while len(self._known) >= _KNOWN_AT_ONCE:
                self._known.pop(next(iter(self._known)), None)
            found = self._known[tags] = known_of(self.contents, tags, self.entry)
        return found

    def drawn(self, metal: str) -> DrawnParts:
        """Give draws of all contents of a metal, made once; they answer how sure shares are."""
        found = self._drawn.get(metal)
        if found is None:
            found = self._drawn[metal] = self.origins.drawn_from(self.contents, metal)
        return found
