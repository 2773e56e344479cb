"""Very many records given up bit by bit."""

from __future__ import annotations

import threading
import weakref

from vault.core.turns import give_way_by
from vault.store.garbage import let_go


class Record:
    """Something that can be seen to go."""


def test_records_are_let_go_of_and_others_come_to_their_turn_meanwhile() -> None:
    records: list[object] = [Record() for _ in range(250)]
    seen = [weakref.ref(one) for one in records]
    left: list[int] = []

    def work() -> None:
        give_way_by(lambda: left.append(sum(one() is not None for one in seen)))
        let_go(records)

    thread = threading.Thread(target=work)
    thread.start()
    thread.join()
    assert left == [250, 150, 50]
    assert records == []
    assert not any(one() for one in seen)
