"""The shop that the rules are asked with when one entry is recorded, against the whole shop."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from builders import (
    assayed,
    moved,
    priced,
    received,
    sealed,
    sent,
    settled,
    struck,
    thing,
    worked,
)
from random_shop import RandomShop
from vault.application.book import Book
from vault.application.operations.recording import import_entries
from vault.core.daybook import Act, Entry, Line, Role
from vault.core.rules import faults_of
from vault.core.shop import Shop
from vault.store.entries import load_shop, shop_for

Spoil = Callable[[random.Random, Entry, Shop], Entry]


@pytest.fixture
def ledger(tmp_path: Path) -> Iterator[Book]:
    with Book.create(tmp_path / "our.shop", zone="Europe/Berlin", operator="Imke") as ledger:
        yield ledger


def _another_tag(chance: random.Random, entry: Entry, shop: Shop) -> Entry:
    tags = sorted({*shop.given, "nothing", "bench", "drum C"})
    return _with_line(chance, entry, tag=chance.choice(tags))


def _another_ref(chance: random.Random, entry: Entry, shop: Shop) -> Entry:
    refs = [*shop.sent, *map(str, shop.entries), "Ag", "nothing"]
    return _with_line(chance, entry, ref=chance.choice(refs))


def _another_lot(chance: random.Random, entry: Entry, shop: Shop) -> Entry:
    return _with_line(chance, entry, lot=chance.choice([*shop.lots, "L-none"]))


def _another_place(chance: random.Random, entry: Entry, shop: Shop) -> Entry:
    return _with_line(chance, entry, place=chance.choice([*sorted(shop.places), "attic"]))


def _strike_of_anything(chance: random.Random, entry: Entry, shop: Shop) -> Entry:
    ref = str(chance.choice([*shop.entries, 10**8]))
    return replace(entry, act=Act.STRIKE, process=None, lines=(Line(Role.NONE, ref=ref, note="?"),))


def _earlier(chance: random.Random, entry: Entry, shop: Shop) -> Entry:
    when = chance.choice(list(shop.entries.values())).when
    return replace(entry, when=when)


SPOILERS: tuple[Spoil, ...] = (
    lambda _chance, entry, _shop: entry,
    _another_tag,
    _another_ref,
    _another_lot,
    _another_place,
    _strike_of_anything,
    _earlier,
)


def _with_line(chance: random.Random, entry: Entry, **changed: str) -> Entry:
    at = chance.randrange(len(entry.lines))
    lines = list(entry.lines)
    lines[at] = Line(**{**{n: getattr(lines[at], n) for n in Line.__slots__}, **changed})
    return replace(entry, lines=tuple(lines))


@pytest.mark.parametrize("seed", range(12))
def test_the_rules_say_the_same_of_an_entry_with_its_own_part_of_the_shop(
    ledger: Book, seed: int
) -> None:
    shop = RandomShop(seed)
    shop.go_on(70)
    import_entries(ledger, shop.entries)
    chance = random.Random(seed)
    further = RandomShop(seed)
    further.go_on(90)
    told = 0
    with ledger.file.reading() as connection:
        whole = load_shop(connection)
        for entry in further.entries[70:]:
            for spoil in SPOILERS:
                tried = spoil(chance, replace(entry, number=whole.last_number + 1), whole)
                expected = faults_of(tried, whole)
                assert faults_of(tried, shop_for(connection, tried)) == expected, tried
                told += bool(expected)
    assert told > 20


@pytest.mark.parametrize("seed", range(4))
def test_any_entry_can_be_struck_or_not_just_as_the_whole_shop_says(
    ledger: Book, seed: int
) -> None:
    shop = RandomShop(seed + 100)
    shop.go_on(80)
    import_entries(ledger, shop.entries)
    with ledger.file.reading() as connection:
        whole = load_shop(connection)
        for entry in shop.entries:
            strike = struck(whole.last_number + 1, entry.number)
            tried = replace(strike, when=shop.entries[-1].when)
            assert faults_of(tried, shop_for(connection, tried)) == faults_of(tried, whole)


def faults_after(ledger: Book, *entries: Entry, then: Entry) -> list[str]:
    import_entries(ledger, entries)
    with ledger.file.reading() as connection:
        return [fault.sentence for fault in faults_of(then, shop_for(connection, then))]


def test_a_struck_price_cannot_be_struck_again(ledger: Book) -> None:
    said = faults_after(ledger, priced(1, "Ag", "0.95 EUR"), struck(2, 1), then=struck(3, 1))
    assert said == ["Entry 1 was struck already, by entry 2."]


def test_a_shipment_numbered_like_a_struck_entry_is_found(ledger: Book) -> None:
    said = faults_after(
        ledger,
        received(1, thing("A", "scrap", "10")),
        priced(2, "Ag", "0.95 EUR"),
        struck(3, 2),
        sent(4, "A", ref="2"),
        then=settled(5, thing(money="2.21 EUR"), ref="2"),
    )
    assert said == []


def test_a_certificate_numbered_like_a_shipment_does_not_stand_for_it(ledger: Book) -> None:
    said = faults_after(
        ledger,
        received(1, thing("A", "scrap", "10")),
        assayed(2, "A", "Ag 900 ± 1", ref="V-1"),
        then=settled(3, thing(money="2.21 EUR"), ref="V-1"),
    )
    assert said == ["No shipment V-1 was sent; check its number."]


def test_a_place_cannot_be_put_into_what_it_holds(ledger: Book) -> None:
    said = faults_after(
        ledger,
        received(1, thing("A", "scrap", "10", place="tray")),
        moved(2, "tray", "shelf"),
        moved(3, "shelf", "safe"),
        then=moved(4, "safe", "tray"),
    )
    assert said == ["safe cannot be put into itself."]


def test_a_receipt_is_kept_while_a_work_uses_what_it_brought(ledger: Book) -> None:
    said = faults_after(
        ledger,
        received(1, thing("A", "scrap", "10"), thing("B", "scrap", "10")),
        worked(2, "remelt", used="B", made=[thing("C", "bar")]),
        then=struck(3, 1),
    )
    assert len(said) == 1
    assert "while later entries lean on it: 2." in said[0]


def test_a_broken_seal_is_kept_while_something_went_through_the_container_since(
    ledger: Book,
) -> None:
    said = faults_after(
        ledger,
        received(1, thing("A", "scrap", "10", place="tin"), thing("B", "scrap", "10")),
        moved(2, "tin", "drum C"),
        sealed(3, "drum C", "0417"),
        sealed(4, "drum C", "0417", role=Role.BROKEN),
        moved(5, "B", "tin"),
        moved(6, "B", "safe"),
        worked(7, "remelt", used="A", made=[thing("C", "bar")]),
        then=struck(8, 4),
    )
    assert len(said) == 1
    assert "while later entries lean on it: 5, 6, 7." in said[0]


def test_a_settlement_of_one_item_is_kept_while_a_later_one_settles_the_rest(ledger: Book) -> None:
    said = faults_after(
        ledger,
        received(1, thing("A", "slag", "10"), thing("B", "slag", "10")),
        sent(2, "A B"),
        settled(3, thing("A", says="Ag 9")),
        settled(4, thing("", "", "10", "Ag 8")),
        then=struck(5, 3),
    )
    assert len(said) == 1
    assert "while later entries lean on it: 4." in said[0]


def test_a_sealed_drum_leaves_with_all_that_is_in_it_or_not_at_all(ledger: Book) -> None:
    story = (
        received(1, thing("A", "slag", "10", place="tin"), thing("B", "slag", place="drum C")),
        moved(2, "tin", "drum C"),
        sealed(3, "drum C", "0417"),
    )
    told = faults_after(ledger, *story, then=sent(4, "B"))
    assert len(told) == 1
    assert told[0].startswith("B lies in drum C, which is under seal 0417")
    with ledger.file.reading() as connection:
        whole = sent(4, "A B")
        assert faults_of(whole, shop_for(connection, whole)) == []
