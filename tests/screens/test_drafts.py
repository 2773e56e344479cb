"""Drafts of forms: kept off the window's thread, and brought back to the form that they are of."""

from __future__ import annotations

import threading
from collections.abc import Iterator, Mapping
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from vault.application.drafts import DraftShelf, KeptDraft
from vault.screens.drafts import DraftDesk


class SlowShelf(DraftShelf):
    """Holds each writing back until it is let go, and keeps what was written, and where."""

    def __init__(self, folder: Path) -> None:
        super().__init__(folder)
        self.go = threading.Event()
        self.written: list[object] = []
        self.threads: set[str] = set()
        self.trouble: OSError | None = None

    def keep(self, book: str, form: str, content: Mapping[str, object]) -> None:
        self.threads.add(threading.current_thread().name)
        assert self.go.wait(10)
        if self.trouble is not None:
            raise self.trouble
        super().keep(book, form, content)
        self.written.append(content["n"])


@pytest.fixture
def shelf(tmp_path: Path) -> SlowShelf:
    return SlowShelf(tmp_path)


@pytest.fixture
def desk(qtbot: QtBot, shelf: SlowShelf) -> Iterator[DraftDesk]:
    made = DraftDesk(shelf, str)
    yield made
    shelf.go.set()
    made.close()
    made.deleteLater()


def test_the_form_never_waits_and_only_its_last_content_is_written(
    qtbot: QtBot, desk: DraftDesk, shelf: SlowShelf
) -> None:
    draft = desk.draft("work")
    draft.of("a book")
    for number in range(1, 100):
        draft.keep({"n": number})
    shelf.go.set()
    qtbot.waitUntil(lambda: shelf.written[-1:] == [99])
    assert len(shelf.written) <= 2
    assert threading.current_thread().name not in shelf.threads


def test_a_draft_comes_back_to_its_own_form_and_book(
    qtbot: QtBot, desk: DraftDesk, shelf: SlowShelf
) -> None:
    shelf.go.set()
    shelf.keep("a book", "work", {"n": 7})
    work, receive = desk.draft("work"), desk.draft("receive")
    came: list[tuple[str, KeptDraft]] = []
    work.came_back.connect(lambda kept: came.append(("work", kept)))
    receive.came_back.connect(lambda kept: came.append(("receive", kept)))
    receive.of("a book")
    work.of("another book")
    work.of("a book")
    qtbot.waitUntil(lambda: bool(came))
    assert [(form, kept.content) for form, kept in came] == [("work", {"n": 7})]


def test_what_a_session_before_left_is_not_lost_by_typing_before_it_came(
    qtbot: QtBot, desk: DraftDesk, shelf: SlowShelf
) -> None:
    shelf.go.set()
    shelf.keep("a book", "work", {"n": 7})
    draft = desk.draft("work")
    came: list[KeptDraft] = []
    draft.came_back.connect(came.append)
    draft.of("a book")
    draft.keep({"n": 8})
    draft.drop()
    draft.keep({"n": 9})
    qtbot.waitUntil(lambda: bool(came))
    assert came[0].content == {"n": 7}
    desk.close()
    kept = shelf.kept("a book", "work")
    assert kept is not None
    assert kept.content == {"n": 7}


def test_once_it_came_back_a_draft_is_written_anew(
    qtbot: QtBot, desk: DraftDesk, shelf: SlowShelf
) -> None:
    shelf.go.set()
    shelf.keep("a book", "work", {"n": 7})
    draft = desk.draft("work")
    with qtbot.waitSignal(draft.came_back):
        draft.of("a book")
    draft.keep({"n": 8})
    qtbot.waitUntil(lambda: shelf.written[-1] == 8)


def test_what_was_recorded_does_not_come_back(
    qtbot: QtBot, desk: DraftDesk, shelf: SlowShelf
) -> None:
    shelf.go.set()
    draft = desk.draft("work")
    draft.of("a book")
    draft.keep({"n": 1})
    draft.drop()
    desk.close()
    assert shelf.kept("a book", "work") is None


def test_closing_writes_what_still_waits(qtbot: QtBot, desk: DraftDesk, shelf: SlowShelf) -> None:
    draft = desk.draft("work")
    draft.of("a book")
    draft.keep({"n": 1})
    draft.keep({"n": 2})
    shelf.go.set()
    desk.close()
    kept = shelf.kept("a book", "work")
    assert kept is not None
    assert kept.content == {"n": 2}


def test_a_full_disk_is_told_once(qtbot: QtBot, desk: DraftDesk, shelf: SlowShelf) -> None:
    shelf.trouble = OSError(28, "No space left on device")
    shelf.go.set()
    told: list[str] = []
    desk.told.connect(told.append)
    draft = desk.draft("work")
    draft.of("a book")
    for number in range(5):
        draft.keep({"n": number})
        qtbot.wait(10)
    qtbot.waitUntil(lambda: bool(told))
    qtbot.wait(50)
    (sentence,) = told
    assert sentence == (
        "What you type cannot be kept against a crash: No space left on device. "
        "Record it soon, or make room on the disk of your settings."
    )


def test_a_spoilt_draft_is_told(
    qtbot: QtBot, desk: DraftDesk, shelf: SlowShelf, tmp_path: Path
) -> None:
    shelf.go.set()
    shelf.keep("a book", "work", {"n": 1})
    next(tmp_path.glob("*.json")).write_text("{")
    with qtbot.waitSignal(desk.told) as told:
        desk.draft("work").of("a book")
    assert "cannot be read back; begin it anew" in told.args[0]


def test_without_a_book_nothing_is_kept(qtbot: QtBot, desk: DraftDesk, tmp_path: Path) -> None:
    draft = desk.draft("work")
    draft.keep({"n": 1})
    draft.of(None)
    draft.drop()
    desk.close()
    assert list(tmp_path.iterdir()) == [tmp_path / "home"]
