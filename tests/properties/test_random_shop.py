"""A random shop that does everything, with all that must always hold looked at after each step."""

from __future__ import annotations

import io
import shutil
import tempfile
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any, TypeVar
from zoneinfo import ZoneInfo

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from builders import thing
from vault.application.book import Book
from vault.application.changes import Changes
from vault.application.checks import check
from vault.application.exchange.daybook_csv import read_daybook, write_daybook
from vault.application.figures import work_out
from vault.application.operations import acts
from vault.application.operations.recording import import_entries
from vault.core.daybook import EMPTY_HEAD, Act, Line, Process, Recorded, Role, Said, Terms, node_of
from vault.core.errors import RuleBroken
from vault.core.fineness import Fineness
from vault.core.flow import flow_of
from vault.core.items import State
from vault.core.masses import Mass
from vault.core.money import Money
from vault.core.shop import Shop
from vault.store.backup import back_up
from vault.store.entries import head_and_seal, load_entries, load_shop
from vault.store.integrity import prove
from vault.store.tables import STANDING_TABLES

T = TypeVar("T")
Action = Callable[[str], Changes]

PLACES = ("bench", "tray", "safe", "drum C")
PARTIES = ("Pennant", "Møller & Søn", "Lowland")
pick = st.integers(0, 999)
grams = st.none() | st.integers(1, 900)
shares = st.none() | st.integers(1, 999)
holds = st.none() | st.none() | st.integers(0, 2)


def one_of(things: Sequence[T], number: int) -> T:
    return things[number % len(things)]


class RandomShop(RuleBasedStateMachine):
    """Everything that a shop can do; `shop` is what the rules of core make of the same entries."""

    def __init__(self) -> None:
        super().__init__()
        self.folder = Path(tempfile.mkdtemp(prefix="vault-test-"))
        self.now = datetime(2031, 1, 1, 7, tzinfo=UTC)
        self.shop = Shop()
        self.history: list[Recorded] = []
        self.last_action: tuple[Action, str, Changes] | None = None
        self.keys = 0
        self.tags = 0

    @initialize(
        zone=st.sampled_from(("Europe/Oslo", "Pacific/Auckland", "America/St_Johns")),
        weights=st.lists(st.integers(50, 900), min_size=3, max_size=6),
    )
    def open_shop_and_receive_the_first_lot(self, zone: str, weights: list[int]) -> None:
        self.book = Book.create(
            self.folder / "our.shop", zone=zone, operator="Imke", clock=lambda: self.now
        )
        items = [self.something("filings", gross, 600, "bench") for gross in weights]
        self.attempt(
            lambda key: acts.receive_lot(
                self.book, items, lot="L-1", terms=Terms.TOLL, party="Pennant", key=key
            )
        )

    def teardown(self) -> None:
        if hasattr(self, "book"):
            self.the_whole_book_holds_and_can_be_made_again()
            self.book.close()
        shutil.rmtree(self.folder)

    # What it does ------------------------------------------------------------------------------

    def attempt(self, action: Action) -> Changes | None:
        """Do something; what the rules refuse must leave no trace."""
        self.now += timedelta(minutes=7)
        self.keys += 1
        key = f"action {self.keys}"
        try:
            changes = action(key)
        except RuleBroken:
            assert self.recorded() == self.history
            return None
        self.last_action = (action, key, changes)
        self.take_note()
        assert changes.entries == (self.history[-1].entry.number,)
        return changes

    def take_note(self) -> None:
        """Take what was recorded into the shop beside it, and see that nothing else changed."""
        recorded = self.recorded()
        assert len(recorded) == len(self.history) + 1
        entry = recorded[-1].entry
        self.shop.take(entry)
        for before, after in zip(self.history, recorded, strict=False):
            struck = self.shop.struck.get(before.entry.number)
            assert (after.entry, after.head, after.seal) == (before.entry, before.head, before.seal)
            assert after.struck_by == struck
        self.history = recorded

    def recorded(self) -> list[Recorded]:
        with self.book.file.reading() as connection:
            return list(load_entries(connection))

    def on_hand(self) -> list[str]:
        items = self.shop.items
        return [tag for tag, item in items.items() if item.state is State.ON_HAND]

    def shut_away(self) -> list[str]:
        """Give what is on hand and under seal, or in something that is."""
        items = self.shop.items
        return [
            tag
            for tag in self.on_hand()
            if items[tag].seal or self.shop.sealed_around(items[tag].place)
        ]

    def something(self, form: str, gross: int | None, share: int | None, place: str) -> Line:
        self.tags += 1
        said = () if share is None else (Said("Ag", Fineness(share * 10**6), Fineness(10**6)),)
        return Line(
            Role.NONE,
            tag=f"T-{self.tags}",
            form=form,
            place=place,
            gross=None if gross is None else Mass(gross * 10**6),
            contents=said,
            how="declared" if said else "",
        )

    @rule(
        things=st.lists(st.tuples(grams, shares, holds), min_size=1, max_size=3),
        terms=st.sampled_from(Terms),
        lot=st.integers(1, 6),
        party=pick,
    )
    def receive(
        self,
        things: list[tuple[int | None, int | None, int | None]],
        terms: Terms,
        lot: int,
        party: int,
    ) -> None:
        items = [
            replace(
                self.something("filings", gross, share, "bench"),
                hold_until=None if hold is None else self.book.today() + timedelta(days=hold),
                tare=None if gross is None else Mass(gross),
            )
            for gross, share, hold in things
        ]
        whose = "" if terms is Terms.OWN else one_of(PARTIES, party)
        self.attempt(
            lambda key: acts.receive_lot(
                self.book, items, lot=f"L-{lot}", terms=terms, party=whose, key=key
            )
        )

    @precondition(lambda self: self.on_hand())
    @rule(
        used=st.sets(pick, min_size=1, max_size=3),
        process=st.sampled_from(Process),
        made=st.lists(
            st.tuples(st.sampled_from(("bar", "slag", "spent cupel")), grams, shares),
            min_size=1,
            max_size=3,
        ),
        silver=grams,
    )
    def work(
        self,
        used: set[int],
        process: Process,
        made: list[tuple[str, int | None, int | None]],
        silver: int | None,
    ) -> None:
        tags = list(dict.fromkeys(one_of(self.on_hand(), number) for number in sorted(used)))
        items = [self.something(form, gross, share, "tray") for form, gross, share in made]
        added = [thing(form="silver", gross=f"{silver}", says="Ag 999")] if silver else []
        self.attempt(
            lambda key: acts.record_work(
                self.book, process, used=tags, added=added, made=items, key=key
            )
        )

    @precondition(lambda self: self.shop.items)
    @rule(which=pick, share=st.integers(0, 1000))
    def assay(self, which: int, share: int) -> None:
        tag = one_of(list(self.shop.items), which)
        said = (Said("Ag", Fineness(share * 10**6), Fineness(400_000)),)
        self.attempt(lambda key: acts.assay(self.book, tag, said, how="fire assay", key=key))

    @precondition(lambda self: self.on_hand())
    @rule(which=pick, gross=st.integers(1, 900))
    def weigh(self, which: int, gross: int) -> None:
        tag = one_of(self.on_hand(), which)
        self.attempt(lambda key: acts.weigh(self.book, tag, Mass(gross * 10**6), key=key))

    @precondition(lambda self: self.shop.places or self.on_hand())
    @rule(which=pick, where=pick)
    def move(self, which: int, where: int) -> None:
        what = one_of([*self.on_hand(), *sorted(self.shop.places)], which)
        self.attempt(lambda key: acts.move(self.book, [what], one_of(PLACES, where), key=key))

    @precondition(lambda self: self.on_hand())
    @rule(which=pick, way=st.integers(0, 2), party=pick)
    def let_go(self, which: int, way: int, party: int) -> None:
        tags = [one_of(self.on_hand(), which)]
        to = one_of(PARTIES, party)
        ref = f"V-{party % 3}"
        ways: tuple[Action, ...] = (
            lambda key: acts.send(self.book, tags, party=to, ref=ref, terms="by weight", key=key),
            lambda key: acts.return_(self.book, tags, party=to, key=key),
            lambda key: acts.sell(self.book, tags, party=to, key=key),
        )
        self.attempt(ways[way])

    @precondition(lambda self: self.shop.sent)
    @rule(
        which=pick,
        share=st.integers(0, 1000),
        cents=st.integers(-9_999, 9_999),
        whole=st.sampled_from([None, 0, 80_000]),
    )
    def settle(self, which: int, share: int, cents: int, whole: int | None) -> None:
        sent = [tag for tag, item in self.shop.items.items() if item.state is State.SENT]
        ref = one_of(list(self.shop.sent), which)
        said = (Said("Ag", Fineness(share * 10**6), Fineness(10**6)),)
        agreed = [Line(Role.NONE, tag=one_of(sent, which), contents=said)] if sent else []
        if whole is not None:
            gross = Mass(whole * 10**6) if whole else None
            agreed.append(Line(Role.NONE, gross=gross, contents=said))
        charges = [("treatment", Money(cents * 10_000, "EUR"))]
        self.attempt(
            lambda key: acts.settle(self.book, ref, agreed=agreed, charges=charges, key=key)
        )

    @precondition(lambda self: self.shop.items)
    @rule(found=pick, missing=pick, extra=st.booleans(), gross=grams)
    def count(self, found: int, missing: int, gross: int | None, *, extra: bool) -> None:
        tags = list(self.shop.items)
        there, gone = one_of(tags, found), one_of(tags, missing)
        lines = [Line(Role.OF, tag=there, gross=None if gross is None else Mass(gross * 10**6))]
        more = [self.something("dust", gross, None, "safe")] if extra else []
        lost = [gone] if gone != there else []
        self.attempt(
            lambda key: acts.count(self.book, found=lines, missing=lost, extra=more, key=key)
        )

    @precondition(lambda self: len(self.history) % 5 == 0)
    @rule(price=st.integers(1, 10**9))
    def price(self, price: int) -> None:
        self.attempt(lambda key: acts.set_prices(self.book, [("Ag", Money(price, "EUR"))], key=key))

    @precondition(lambda self: len(self.history) > 2)
    @rule(back=st.integers(0, 5))
    def strike(self, back: int) -> None:
        number = self.history[-1 - back % len(self.history)].entry.number
        self.attempt(lambda key: acts.strike_entry(self.book, number, reason="a slip", key=key))

    @precondition(lambda self: self.shop.items)
    @rule(which=pick, picture=pick)
    def photograph(self, which: int, picture: int) -> None:
        tag = one_of(list(self.shop.items), which)
        self.attempt(
            lambda key: acts.photograph(self.book, tag, f"{picture:064x}", caption="so", key=key)
        )

    @precondition(lambda self: self.shop.places or self.on_hand())
    @rule(which=pick, role=st.sampled_from((Role.CHECKED, Role.BROKEN)))
    def seal(self, which: int, role: Role) -> None:
        name = one_of([*sorted(self.shop.places), *self.on_hand()], which)
        on_it = self.shop.seal_on(name)
        number = str(self.keys) if on_it is None else on_it.number
        done = Role.APPLIED if on_it is None else role
        self.attempt(
            lambda key: acts.seal(self.book, name, number, role=done, witness="Ole", key=key)
        )

    @rule(which=pick, showed=st.integers(1, 999))
    def check_a_scale(self, which: int, showed: int) -> None:
        scale = one_of(("bench scale", "floor scale"), which)
        self.attempt(
            lambda key: acts.check_scale(
                self.book, scale, nominal=Mass(200 * 10**6), showed=Mass(showed * 10**6), key=key
            )
        )

    # What must come to nothing -----------------------------------------------------------------

    @precondition(lambda self: self.shop.given)
    @rule(which=pick)
    def give_a_tag_again(self, which: int) -> None:
        tag = one_of(sorted(self.shop.given), which)
        again = [Line(Role.NONE, tag=tag, form="bar")]
        done = self.attempt(
            lambda key: acts.receive_lot(self.book, again, lot="L-9", terms=Terms.OWN, key=key)
        )
        assert done is None

    @precondition(lambda self: self.shut_away())
    @rule(which=pick)
    def use_what_is_under_seal(self, which: int) -> None:
        tag = one_of(self.shut_away(), which)
        made = [self.something("bar", None, None, "")]
        done = self.attempt(
            lambda key: acts.record_work(self.book, Process.REMELT, used=[tag], made=made, key=key)
        )
        assert done is None

    @precondition(lambda self: any(i.state is not State.ON_HAND for i in self.shop.items.values()))
    @rule(which=pick)
    def use_what_is_gone(self, which: int) -> None:
        items = self.shop.items.items()
        tag = one_of([tag for tag, item in items if item.state is not State.ON_HAND], which)
        made = [self.something("bar", None, None, "safe")]
        done = self.attempt(
            lambda key: acts.record_work(self.book, Process.REMELT, used=[tag], made=made, key=key)
        )
        assert done is None

    @precondition(lambda self: self.last_action)
    @rule()
    def do_the_last_thing_again(self) -> None:
        assert self.last_action is not None
        action, key, changes = self.last_action
        self.now += timedelta(minutes=1)
        assert action(key) == changes
        assert self.recorded() == self.history

    @precondition(lambda self: self.on_hand())
    @rule(which=pick, gross=st.integers(1, 900))
    def weigh_and_take_it_back(self, which: int, gross: int) -> None:
        before = self.standing()
        contents = self.figures()["content"]
        tag = one_of(self.on_hand(), which)
        self.attempt(lambda key: acts.weigh(self.book, tag, Mass(gross * 10**6), key=key))
        number = self.history[-1].entry.number
        self.attempt(lambda key: acts.strike_entry(self.book, number, reason="a slip", key=key))
        assert self.history[-1].entry.act is Act.STRIKE
        assert self.standing() == before
        assert self.figures()["content"] == contents

    @rule()
    def close_and_open(self) -> None:
        before = self.standing()
        path = self.book.path
        self.book.close()
        self.book = Book.open(path, operator="Ole", clock=lambda: self.now)
        assert self.recorded() == self.history
        assert self.standing() == before

    @rule()
    def back_up(self) -> None:
        copy = self.folder / f"copy {self.keys}.shop"
        copy.unlink(missing_ok=True)
        back_up(self.book.file, copy)
        with Book.open(copy, writing=False) as other:
            assert prove(other.file) == prove(self.book.file)

    # What must always hold ---------------------------------------------------------------------

    @invariant()
    def the_book_is_proven(self) -> None:
        if hasattr(self, "book"):
            proof = prove(self.book.file)
            assert proof.broken == ()
            assert proof.entries == len(self.history)

    @invariant()
    def the_shop_is_what_core_makes_of_the_same_entries(self) -> None:
        if hasattr(self, "book"):
            with self.book.file.reading() as connection:
                loaded = load_shop(connection)
            assert {name: getattr(loaded, name) for name in vars(self.shop)} == vars(self.shop)

    @invariant()
    def every_item_is_made_once_and_used_at_most_once_and_later(self) -> None:
        flow = flow_of(self.shop)
        made = [tag for work in flow.works.values() for tag in work.made]
        used = [tag for work in flow.works.values() for tag in work.used]
        assert len(made) == len(set(made))
        assert len(used) == len(set(used))
        for tag in used:
            item = self.shop.items[tag]
            assert item.used_by is not None
            assert item.made_by < item.used_by
            assert tag not in flow.ancestors_of(tag)

    @invariant()
    def the_chain_holds_the_facts_in_their_order(self) -> None:
        head = EMPTY_HEAD
        for recorded in self.history:
            head = node_of(head, recorded.entry.leaf)
            assert recorded.head == head

    def standing(self) -> dict[str, list[tuple[Any, ...]]]:
        """Give what a replay gives, but for names that are remembered and for strikes."""
        kept = [table.name for table in STANDING_TABLES if table.name not in {"place", "strike"}]
        with self.book.file.reading() as connection:
            return {
                name: [tuple(row) for row in connection.exec_driver_sql(f"SELECT * FROM {name}")]
                for name in kept
            }

    def the_whole_book_holds_and_can_be_made_again(self) -> None:
        assert check(self.book).broken == ()
        first = self.figures()
        assert self.figures() == first
        stream = io.StringIO(newline="")
        write_daybook([one.entry for one in self.history], stream, zone=self.book.zone)
        reading = read_daybook(stream.getvalue().encode(), zone=ZoneInfo("Asia/Tokyo"))
        assert reading.faults == ()
        with Book.create(self.folder / "again.shop", zone="Asia/Tokyo") as again:
            import_entries(again, reading.entries)
            with again.file.reading() as one, self.book.file.reading() as other:
                assert head_and_seal(one)[0] == head_and_seal(other)[0]

    def figures(self) -> dict[str, list[tuple[Any, ...]]]:
        """Work everything out anew and give the tables of figures."""
        work_out(self.book)
        with self.book.file.reading() as connection:
            return {
                name: [tuple(row) for row in connection.exec_driver_sql(f"SELECT * FROM {name}")]
                for name in ("content", "stock_total", "stock_owner", "series_point", "finding")
            }


class TestARandomShop(RandomShop.TestCase):
    settings = settings(max_examples=15, stateful_step_count=30)


@pytest.mark.slow
class TestARandomShopForLong(RandomShop.TestCase):
    settings = settings(max_examples=150, stateful_step_count=60)
