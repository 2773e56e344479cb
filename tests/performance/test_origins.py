"""How long origins take in a book of 100 000 items, beside a recursive walk inside SQLite."""

from __future__ import annotations

import random
import sqlite3
import statistics
import sys
import time
from collections.abc import Callable
from datetime import date

import numpy as np

from performance.table import Measured, Table, time_words
from vault.core.daybook import Process, When
from vault.core.flow import Flow, Work
from vault.core.items import Item, Passage, State
from vault.reckoning.chief_sources import chief_sources
from vault.reckoning.edges import edges_of
from vault.reckoning.mixing import mixing_of
from vault.reckoning.origins import Origins

DAY = date(2031, 1, 1)


def tell(words: str) -> None:
    sys.stdout.write(f"{words}\n")


def milliseconds(ask: Callable[[], object], times: int = 5) -> float:
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        ask()
        taken.append(1000 * (time.perf_counter() - start))
    return statistics.median(taken)


class Busy:
    """A shop that melts lots into bars and works its residues again every 25 lots."""

    def __init__(self, seed: int = 1) -> None:
        self.chance = random.Random(seed)
        self.items: dict[str, Item] = {}
        self.works: dict[int, Work] = {}
        self.grams: list[float] = []
        self.number = 0
        self._place: dict[str, int] = {}

    def receive(self, grams: float) -> str:
        self.number += 1
        tag = f"R-{self.number}"
        terms = self.chance.choice(["toll", "toll", "bought"])
        party = f"customer {self.chance.randint(1, 60)}"
        self.items[tag] = Item(tag, "scrap", self.number, DAY, f"L-{self.number}", party, terms)
        self.grams.append(grams)
        return tag

    def work(self, used: list[str], parts: dict[str, float]) -> list[str]:
        self.number += 1
        feed = sum(self.grams[self._place[tag]] for tag in used)
        tags = []
        for form, part in parts.items():
            tag = f"{form[0].upper()}-{self.number}"
            self._place[tag] = len(self.grams)
            self.items[tag] = Item(tag, form, self.number, DAY)
            self.grams.append(feed * part)
            tags.append(tag)
        for tag in used:
            self.items[tag].used_by = self.number
        when = When(DAY)
        self.works[self.number] = Work(
            self.number, when, Process.SMELT, tuple(used), (), tuple(tags)
        )
        return tags

    def fill(self, items: int) -> Flow:
        lots = 0
        beads: list[str] = []
        residues: list[str] = []
        while len(self.items) < items:
            tag = self.receive(self.chance.uniform(20, 800))
            self._place[tag] = len(self.grams) - 1
            lots += 1
            bags = self.work([tag], {"filings": 0.5, "grain": 0.5})
            for bag in bags:
                button, slag = self.work([bag], {"button": 0.98, "slag": 0.015})
                bead, cupel = self.work([button], {"bead": 0.975, "cupel": 0.02})
                beads.append(bead)
                residues += [slag, cupel]
            if len(beads) >= 10:
                bars = self.work(beads, {"ingot": 0.997, "dross": 0.002})
                if self.chance.random() < 0.5:
                    self.items[bars[0]].passages.append(Passage(self.number, State.SOLD))
                residues.append(bars[1])
                beads = []
            if lots % 25 == 0:
                bead, slag = self.work(residues, {"bead": 0.95, "slag": 0.04})
                beads.append(bead)
                residues = [slag]
        self.work(beads + residues, {"ingot": 0.99, "dross": 0.005})
        return Flow(self.items, self.works)


def test_origins_in_a_book_of_100_000_items() -> None:
    shop = Busy()
    flow = shop.fill(100_000)
    grams = np.array(shop.grams)
    edges = edges_of(flow)
    origins = Origins(flow, {"Ag": grams}, edges)
    bar = list(flow.items)[-2]
    reach = len(flow.ancestors_of(bar))
    tell(f"\n{len(flow.items)} items, {len(flow.works)} works; the last bar has {reach} ancestors")
    ends = [item.tag for item in flow.items.values() if item.state is State.ON_HAND]
    asked: dict[str, Callable[[], object]] = {
        "the flow as numbers, once per book": lambda: edges_of(flow),
        "mixing, once per metal": lambda: mixing_of(edges, grams, "Ag"),
        "the sources of that bar": lambda: origins.of_item(bar, "Ag"),
        "the fate of the first lot": lambda: origins.fate_of("L-1", "Ag"),
        f"all {len(ends)} items on hand, by source": lambda: origins.by_source(ends, "Ag"),
        "the chief sources of every item": lambda: chief_sources(origins, flow.items),
    }
    for words, ask in asked.items():
        tell(f"{milliseconds(ask, 3):9.1f} ms  {words}")
    assert len(origins.of_item(bar, "Ag")) > 1000


def test_a_bar_of_10_000_ancestors_beside_a_recursive_query(table: Table) -> None:
    shop = Busy()
    flow = shop.fill(100_000)
    bar = next(
        tag for tag in flow.items if tag.startswith("I-") and len(flow.ancestors_of(tag)) > 10_000
    )
    origins = Origins(flow, {"Ag": np.array(shop.grams)})
    ask = sqlite3.connect(":memory:")
    ask.execute(
        "create table edge (made integer, used integer, primary key (made, used)) without rowid"
    )
    place = origins.edges.place_of
    ask.executemany(
        "insert into edge values (?, ?)",
        (
            (place[made], place[used])
            for work in flow.works.values()
            for made in work.made
            for used in work.used
        ),
    )
    walk = (
        "with recursive behind(item) as (select ? union "
        "select used from behind join edge on made = item) select count(*) from behind"
    )
    found = ask.execute(walk, (place[bar],)).fetchone()[0] - 1
    assert found == len(flow.ancestors_of(bar))
    origins.of_item(bar, "Ag")
    query = milliseconds(lambda: ask.execute(walk, (place[bar],)).fetchone(), 9)
    ours = milliseconds(lambda: origins.of_item(bar, "Ag"), 9)
    table.add(
        Measured(
            6, "origins of a bar, with the share of every lot", f"{found} ancestors",
            time_words(ours / 1000), f"{time_words(query / 1000)}: recursive SQL walk, no shares",
            ours / query, "≤ 2", ours <= 2 * query,
        )
    )  # fmt: skip
    drawn = origins.drawn("Ag", np.tile(np.array(shop.grams), (100, 1)))
    tell(f"with 100 draws {milliseconds(lambda: origins.of_item(bar, 'Ag', drawn), 1):.0f} ms")
    ask.close()
