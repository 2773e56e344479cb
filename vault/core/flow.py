"""The flow of items: works in order, what was added to them, and what each item came from."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from vault.core.daybook import Act, Entry, Process, Role, Said, When
from vault.core.items import Item
from vault.core.masses import Mass
from vault.core.shop import Shop


@dataclass(frozen=True, slots=True)
class Added:
    """A thing put into a work that is no item: flux, lead, a new cupel, silver.

    Attributes:
        form: what it is.
        gross: its weight, None where not weighed.
        contents: metal that it carries.
        how: how that is known.
    """

    form: str
    gross: Mass | None
    contents: tuple[Said, ...]
    how: str


@dataclass(frozen=True, slots=True)
class Work:
    """One work as the graph sees it.

    Attributes:
        number: its entry.
        when: when it was done.
        process: what was done.
        used: tags of the items that went in.
        added: what else went in.
        made: tags of the items that came out.
    """

    number: int
    when: When
    process: Process
    used: tuple[str, ...]
    added: tuple[Added, ...]
    made: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Flow:
    """All items and the works that join them.

    Attributes:
        items: every item, by tag, in the order of their making.
        works: every unstruck work by entry number, in order; since an item is made before it is
            used, this order is a topological order of the graph.
    """

    items: dict[str, Item]
    works: Mapping[int, Work]

    def maker_of(self, tag: str) -> Work | None:
        """Give the work that made an item; None where it was received or found."""
        return self.works.get(self.items[tag].made_by)

    def user_of(self, tag: str) -> Work | None:
        """Give the work that used an item up; None where none did."""
        used_by = self.items[tag].used_by
        return None if used_by is None else self.works.get(used_by)

    def ancestors_of(self, tag: str) -> set[str]:
        """Give the tags of every item that this one came from, through any depth."""
        return self._reach(tag, backward=True)

    def descendants_of(self, tag: str) -> set[str]:
        """Give the tags of every item that came from this one, through any depth."""
        return self._reach(tag, backward=False)

    def sources(self) -> Iterator[Item]:
        """Give the items that no work made: received lots and things found at a count."""
        for item in self.items.values():
            if item.made_by not in self.works:
                yield item

    def _reach(self, tag: str, *, backward: bool) -> set[str]:
        reached: set[str] = set()
        waiting = deque([tag])
        while waiting:
            here = waiting.popleft()
            work = self.maker_of(here) if backward else self.user_of(here)
            if work is None:
                continue
            for there in work.used if backward else work.made:
                if there not in reached:
                    reached.add(there)
                    waiting.append(there)
        return reached


def work_of(entry: Entry) -> Work:
    """Give the work that an entry of that act records."""
    if entry.act is not Act.WORK or entry.process is None:
        raise ValueError(f"entry {entry.number} is no work")
    return Work(
        number=entry.number,
        when=entry.when,
        process=entry.process,
        used=tuple(line.tag for line in entry.lines if line.role is Role.USED),
        added=tuple(
            Added(line.form, line.gross, line.contents, line.how)
            for line in entry.lines
            if line.role is Role.ADDED
        ),
        made=tuple(line.tag for line in entry.lines if line.role is Role.MADE),
    )


def flow_of(shop: Shop) -> Flow:
    """Build the flow of a shop from what its unstruck entries say."""
    return Flow(shop.items, works_of(shop.entries.values(), shop.struck))


def works_of(entries: Iterable[Entry], struck: Mapping[int, int]) -> dict[int, Work]:
    """Give every unstruck work among the entries, by number."""
    return {
        entry.number: work_of(entry)
        for entry in entries
        if entry.act is Act.WORK and entry.number not in struck
    }
