"""The figures in memory: what queries about origins, budgets and traces are answered from."""

from __future__ import annotations

from dataclasses import dataclass, field

from vault.core.flow import Flow
from vault.core.shop import Shop
from vault.reckoning.contents import Contents
from vault.reckoning.draft_balance import Known
from vault.reckoning.foresight import known_of
from vault.reckoning.mixing import DrawnParts
from vault.reckoning.origins import Origins, masses_of
from vault.reckoning.reckoner import Reckoner
from vault.reckoning.reported import Settled

# A work is entered line by line; a few steps back may be gone again.
_KNOWN_AT_ONCE = 8

Wholes = tuple[tuple[str, tuple[str, ...]], ...]


@dataclass(frozen=True, slots=True)
class Reckoned:
    """One state of the book with everything that was worked out from it; never changed.

    Attributes:
        shop, flow: the facts.
        contents: the figures.
        entry: number of the last entry that they rest on.
        head: the head of the chain at that entry.
        reckoner: takes in what comes next; None where it cannot any more.
        settled: what settlements agreed beside the shop's own estimates of then, by entry, as far
            as that was worked out; what was believed then does not change any more.
    """

    shop: Shop
    flow: Flow
    contents: Contents
    entry: int
    head: bytes
    reckoner: Reckoner | None = field(default=None, compare=False, repr=False)
    settled: dict[int, Settled] = field(default_factory=dict, compare=False, repr=False)
    _origins: list[Origins] = field(default_factory=list, compare=False, repr=False)
    _known: dict[tuple[tuple[str, ...], Wholes], Known] = field(
        default_factory=dict, compare=False, repr=False
    )
    _drawn: dict[str, DrawnParts] = field(default_factory=dict, compare=False, repr=False)

    def records(self) -> list[object]:
        """Give the very many records that it holds, one beside the other, to be let go of."""
        records = self.shop.records() + list(self.flow.works.values())
        return records + (self.reckoner.records() if self.reckoner is not None else [])

    def records_of_origins(self) -> list[object]:
        """Give those that no other state of the book has part in, to be let go of with it."""
        return [one for origins in self._origins for one in origins.records()]

    @property
    def origins(self) -> Origins:
        """Where all metal came from and went; worked out when it is first asked for."""
        if not self._origins:
            masses = masses_of(self.contents, self.flow.items)
            self._origins.append(Origins(self.flow, masses))
        return self._origins[0]

    def known(self, tags: tuple[str, ...], wholes: Wholes = ()) -> Known:
        """Give what is known together of some items, kept while a work with them is entered.

        Args:
            tags: of single items.
            wholes: names of containers with the tags of all that goes in of each, known as one.
        """
        found = self._known.get((tags, wholes))
        if found is None:
            while len(self._known) >= _KNOWN_AT_ONCE:
                self._known.pop(next(iter(self._known)), None)
            found = known_of(self.contents, tags, self.entry, dict(wholes))
            self._known[tags, wholes] = found
        return found

    def drawn(self, metal: str) -> DrawnParts:
        """Give draws of all contents of a metal, made once; they answer how sure shares are."""
        found = self._drawn.get(metal)
        if found is None:
            found = self._drawn[metal] = self.origins.drawn_from(self.contents, metal)
        return found
