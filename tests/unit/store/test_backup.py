from __future__ import annotations

import threading
from contextlib import closing
from pathlib import Path

import pytest
from sqlalchemy import text

from builders import priced
from hardship import lesser_rights, no_file_beyond
from random_shop import RandomShop
from vault.application.book import Book
from vault.application.operations.recording import import_entries
from vault.store import backup
from vault.store.backup import back_up
from vault.store.book_file import BookFile
from vault.store.entries import head_and_seal, load_entries
from vault.store.errors import BookDamaged, BookExists, BookReadOnly, DiskFull, StoreError
from vault.store.integrity import prove
from vault.store.photos import file_of, folder_of, keep


@pytest.fixture
def filled(book: BookFile) -> BookFile:
    shop = RandomShop(8)
    shop.go_on(60)
    import_entries(Book(book), shop.entries)
    return book


def test_a_backup_is_the_same_book_in_one_file(filled: BookFile, tmp_path: Path) -> None:
    copy = tmp_path / "copies" / "our copy.shop"
    copy.parent.mkdir()
    back_up(filled, copy)
    assert [one.name for one in copy.parent.iterdir()] == ["our copy.shop"]
    with closing(BookFile.open(copy)) as other:
        assert prove(other) == prove(filled)
        assert prove(other).broken == ()
        assert other.setting("shop_name") == "The Assay Yard"
        with other.reading() as one, filled.reading() as two:
            assert list(load_entries(one)) == list(load_entries(two))


def test_a_backup_can_be_made_from_a_book_open_for_reading(
    filled: BookFile, tmp_path: Path
) -> None:
    with closing(BookFile.open(filled.path, writing=False)) as second:
        back_up(second, tmp_path / "copy.shop")
    with closing(BookFile.open(tmp_path / "copy.shop", writing=False)) as copy:
        assert prove(copy).broken == ()


def test_a_backup_never_overwrites(filled: BookFile, tmp_path: Path) -> None:
    (tmp_path / "copy.shop").write_text("last year")
    with pytest.raises(BookExists, match="never overwrites"):
        back_up(filled, tmp_path / "copy.shop")
    with pytest.raises(BookExists, match="never overwrites"):
        back_up(filled, filled.path)
    assert (tmp_path / "copy.shop").read_text() == "last year"


def test_a_backup_made_while_somebody_writes_holds_one_moment(
    book: BookFile, tmp_path: Path
) -> None:
    ledger = Book(book, operator="Imke")
    import_entries(ledger, [priced(number, "Ag", "0.95 EUR") for number in range(1, 3_000)])
    done = threading.Event()
    written = 3_000

    def write_on() -> None:
        nonlocal written
        while not done.is_set():
            import_entries(ledger, [priced(written, "Ag", "0.95 EUR")])
            written += 1

    writer = threading.Thread(target=write_on)
    writer.start()
    try:
        for number in range(5):
            back_up(book, tmp_path / f"copy {number}.shop")
    finally:
        done.set()
        writer.join()
    assert written > 3_000
    for number in range(5):
        with closing(BookFile.open(tmp_path / f"copy {number}.shop", writing=False)) as copy:
            assert prove(copy).broken == ()
            assert 2_999 <= prove(copy).entries < written


def test_a_backup_without_room_leaves_nothing_behind(filled: BookFile, tmp_path: Path) -> None:
    folder = tmp_path / "full"
    folder.mkdir()
    with no_file_beyond(30_000), pytest.raises(DiskFull, match="no room left"):
        back_up(filled, folder / "copy.shop")
    assert list(folder.iterdir()) == []
    assert prove(filled).broken == ()


def test_a_backup_into_a_closed_folder_is_refused(filled: BookFile, open_folder: Path) -> None:
    open_folder.chmod(0o555)
    with filled.reading() as connection:
        head_and_seal(connection)
    with lesser_rights(), pytest.raises(BookReadOnly, match=r"copy\.shop"):
        back_up(filled, open_folder / "copy.shop")
    assert list(open_folder.iterdir()) == []


def test_a_backup_into_no_folder_is_refused(filled: BookFile, tmp_path: Path) -> None:
    with pytest.raises(StoreError, match="nowhere"):
        back_up(filled, tmp_path / "nowhere" / "copy.shop")


def test_a_copy_that_does_not_prove_is_not_kept(
    filled: BookFile, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    copied = backup._copy

    def spoilt(source: object, to: Path) -> None:
        copied(source, to)
        whole = to.read_bytes()
        to.write_bytes(whole[:8192] + bytes(4096) + whole[12288:])

    monkeypatch.setattr(backup, "_copy", spoilt)
    with pytest.raises(BookDamaged, match="copy"):
        back_up(filled, tmp_path / "copy.shop")
    assert not list(tmp_path.glob("copy.shop*"))
    with filled.reading() as connection:
        assert connection.scalar(text("SELECT count(*) FROM entry"))


JPEG = b"\xff\xd8\xff\xe0 a bar on the bench"


def test_photos_go_with_the_backup_and_are_proven(book: BookFile, tmp_path: Path) -> None:
    ref, _ = keep(book.path, JPEG)
    copy = tmp_path / "copy.shop"
    assert back_up(book, copy) == []
    assert file_of(copy, ref).read_bytes() == JPEG
    assert sorted(one.name for one in tmp_path.glob("copy*")) == ["copy.shop", "copy.shop.photos"]


def test_a_book_without_photos_gets_no_folder_for_them(filled: BookFile, tmp_path: Path) -> None:
    back_up(filled, tmp_path / "copy.shop")
    assert not folder_of(tmp_path / "copy.shop").exists()


def test_a_backup_never_overwrites_photos(filled: BookFile, tmp_path: Path) -> None:
    (tmp_path / "copy.shop.photos").mkdir()
    with pytest.raises(BookExists, match=r"copy\.shop\.photos is there already"):
        back_up(filled, tmp_path / "copy.shop")
    assert not (tmp_path / "copy.shop").exists()


def test_a_backup_without_room_for_its_photos_leaves_nothing_behind(
    filled: BookFile, tmp_path: Path
) -> None:
    keep(filled.path, JPEG + bytes(2_000_000))
    folder = tmp_path / "full"
    folder.mkdir()
    with no_file_beyond(1_500_000), pytest.raises(DiskFull, match="no room left"):
        back_up(filled, folder / "copy.shop")
    assert list(folder.iterdir()) == []
