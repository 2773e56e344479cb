"""The figures in memory: what queries about origins, budgets and traces are answered from."""

from __future__ import annotations

from dataclasses import dataclass, field

from vault.core.flow import Flow
from vault.core.shop import Shop
from vault.reckoning.contents import Contents
from vault.reckoning.mixing import DrawnParts
from vault.reckoning.origins import Origins


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
    _drawn: dict[str, DrawnParts] = field(default_factory=dict, compare=False, repr=False)

    def drawn(self, metal: str) -> DrawnParts:
        """Give draws of all contents of a metal, made once; they answer how sure shares are."""
        found = self._drawn.get(metal)
        if found is None:
            found = self._drawn[metal] = self.origins.drawn_from(self.contents, metal)
        return found
