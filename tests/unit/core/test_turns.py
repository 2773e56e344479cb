"""What takes long lets others go first, where its thread was told how."""

from __future__ import annotations

import threading
from collections.abc import Callable

from vault.core.turns import give_way, give_way_by, in_turns


def in_a_thread(work: Callable[[], object]) -> None:
    thread = threading.Thread(target=work)
    thread.start()
    thread.join()


def test_a_thread_that_was_told_nothing_goes_on() -> None:
    give_way()
    assert list(in_turns("abc")) == ["a", "b", "c"]


def test_rows_come_as_they_are_and_every_hundredth_lets_others_go_first() -> None:
    turns: list[int] = []
    seen: list[int] = []

    def work() -> None:
        rows = in_turns(range(250))
        give_way_by(lambda: turns.append(len(seen)))
        while (row := next(rows, None)) is not None:
            seen.append(row)

    in_a_thread(work)
    assert seen == list(range(250))
    assert turns == [0, 100, 200]


def test_what_one_thread_was_told_is_no_business_of_another() -> None:
    turns: list[int] = []
    in_a_thread(lambda: give_way_by(lambda: turns.append(1)))
    in_a_thread(give_way)
    give_way()
    assert turns == []
