"""Drafts: kept beside the settings, whole or as they were before, and thrown away when recorded."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path

import pytest

from vault.application.drafts import DraftBroken, DraftShelf

BOOK = "/shop/tidewater.shop"

# Types letter after letter, keeps each field as it is left, and says which was kept last.
TYPIST = """
import sys
from pathlib import Path
from vault.application.drafts import DraftShelf

shelf = DraftShelf(Path(sys.argv[1]))
fields = {}
for number in range(100_000):
    fields[f"field {number % 40}"] = f"{number} " + "x" * 2_000
    fields["last"] = number
    shelf.keep("book", "work", fields)
    print(number, flush=True)
"""


@pytest.fixture
def shelf(tmp_path: Path) -> DraftShelf:
    return DraftShelf(tmp_path / "drafts")


def test_what_was_kept_comes_back_with_its_time(shelf: DraftShelf) -> None:
    before = datetime.now(UTC)
    shelf.keep(BOOK, "work", {"process": "cupel", "weights": ["236.40 g", None], "Tüte": 1})
    kept = shelf.kept(BOOK, "work")
    assert kept is not None
    assert kept.content == {"process": "cupel", "weights": ["236.40 g", None], "Tüte": 1}
    assert before <= kept.at <= datetime.now(UTC)


def test_each_book_and_each_form_has_its_own(shelf: DraftShelf) -> None:
    shelf.keep(BOOK, "work", {"is": "work"})
    shelf.keep(BOOK, "receive", {"is": "receipt"})
    shelf.keep("/shop/other.shop", "work", {"is": "other"})
    shelf.drop(BOOK, "work")
    assert shelf.kept(BOOK, "work") is None
    told = [shelf.kept(BOOK, "receive"), shelf.kept("/shop/other.shop", "work")]
    assert [one and one.content["is"] for one in told] == ["receipt", "other"]


def test_throwing_away_what_is_not_there_is_nothing(shelf: DraftShelf) -> None:
    shelf.drop(BOOK, "work")
    assert shelf.kept(BOOK, "work") is None


@pytest.mark.parametrize("spoilt", ["", "{", "[]", '{"format": 99}', '{"format": 1}'])
def test_a_draft_that_cannot_be_read_is_told_once_and_put_aside(
    shelf: DraftShelf, tmp_path: Path, spoilt: str
) -> None:
    shelf.keep(BOOK, "work", {"process": "cupel"})
    (path,) = (tmp_path / "drafts").iterdir()
    path.write_text(spoilt)
    with pytest.raises(DraftBroken, match="cannot be read back; begin it anew") as told:
        shelf.kept(BOOK, "work")
    assert "unreadable" in str(told.value)
    assert shelf.kept(BOOK, "work") is None
    shelf.keep(BOOK, "work", {"process": "smelt"})
    assert shelf.kept(BOOK, "work") is not None


def test_a_typist_killed_in_the_middle_loses_at_most_the_current_field(tmp_path: Path) -> None:
    """SIGKILL at twelve moments: the death of a process, not the loss of power."""
    shelf = DraftShelf(tmp_path)
    root = Path(__file__).resolve().parents[3]
    for turn in range(12):
        typist = subprocess.Popen(
            [sys.executable, "-c", TYPIST, str(tmp_path)],
            stdout=subprocess.PIPE,
            text=True,
            env={**os.environ, "PYTHONPATH": str(root)},
        )
        assert typist.stdout is not None
        for _ in range(3 + 5 * turn):
            typist.stdout.readline()
        os.kill(typist.pid, signal.SIGKILL)
        said = typist.stdout.read().split()
        typist.stdout.close()
        typist.wait()
        acknowledged = int(said[-1]) if said else 2 + 5 * turn
        kept = shelf.kept("book", "work")
        assert kept is not None
        last = kept.content["last"]
        assert isinstance(last, int)
        # What was acknowledged is there; the one being written may be there already.
        assert last in {acknowledged, acknowledged + 1}
        assert str(kept.content[f"field {last % 40}"]).startswith(f"{last} ")
