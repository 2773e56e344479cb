from __future__ import annotations

import io
from collections.abc import Iterable
from pathlib import Path
from zoneinfo import ZoneInfo

from vault.application.exchange.daybook_csv import read_daybook, write_daybook
from vault.core.daybook import EMPTY_HEAD, Entry, node_of

ROOT = Path(__file__).resolve().parents[2]
EXAMPLE = ROOT / "resources" / "examples" / "example-daybook.csv"
ZONE = ZoneInfo("Europe/Berlin")
ELSEWHERE = ZoneInfo("Asia/Tokyo")


def head_of(entries: Iterable[Entry]) -> bytes:
    head = EMPTY_HEAD
    for entry in entries:
        head = node_of(head, entry.leaf)
    return head


def written(entries: Iterable[Entry], zone: ZoneInfo = ZONE) -> str:
    stream = io.StringIO(newline="")
    write_daybook(entries, stream, zone=zone)
    return stream.getvalue()


def test_the_example_daybook_reads_back_as_it_was_written_out() -> None:
    first = read_daybook(EXAMPLE, zone=ZONE)
    assert first.faults == ()
    assert len(first.entries) == 16
    assert first.rows == 35
    second = read_daybook(written(first.entries).encode(), zone=ELSEWHERE)
    assert second.entries == first.entries
    assert head_of(second.entries) == head_of(first.entries)
