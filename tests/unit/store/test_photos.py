from __future__ import annotations

import hashlib
import random
from pathlib import Path

import pytest

from hardship import lesser_rights, no_file_beyond
from vault.store.errors import (
    BookReadOnly,
    DiskFull,
    NoSuchPhoto,
    NotAPicture,
    PhotoTooLarge,
    StoreError,
)
from vault.store.photos import (
    LARGEST_BYTES,
    Named,
    copy_photos,
    file_of,
    files_of,
    folder_of,
    keep,
    kind_of,
    photo_faults,
    read_picture,
    take_back,
    unnamed,
)

# The beginnings of files as their formats have them: JFIF 1.02; PNG (ISO/IEC 15948, 5.2); GIF89a;
# TIFF 6.0, both orders of bytes; RIFF/WebP container; BITMAPFILEHEADER.
JPEG = b"\xff\xd8\xff\xe0\x00\x10JFIF\x00 a bar on the bench"
PICTURES = {
    "jpg": JPEG,
    "png": b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR",
    "gif": b"GIF89a\x01\x00\x01\x00",
    "tif": b"II*\x00\x08\x00\x00\x00",
    "webp": b"RIFF\x24\x00\x00\x00WEBPVP8 ",
    "bmp": b"BM\x3a\x00\x00\x00\x00\x00\x00\x00\x36\x00\x00\x00",
}
HEIC = b"\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic"


@pytest.fixture
def book(tmp_path: Path) -> Path:
    return tmp_path / "tidewater.shop"


def named(ref: str, tag: str = "B-0031", entry: int = 14, *, is_struck: bool = False) -> Named:
    return Named(ref, tag, entry, is_struck)


@pytest.mark.parametrize("kind", PICTURES)
def test_a_photo_is_kept_byte_for_byte_under_its_own_hash(book: Path, kind: str) -> None:
    ref, is_new = keep(book, PICTURES[kind])
    assert ref == hashlib.sha256(PICTURES[kind]).hexdigest()
    assert is_new
    path = file_of(book, ref)
    assert path == book.parent / "tidewater.shop.photos" / ref[:2] / f"{ref}.{kind}"
    assert path.read_bytes() == PICTURES[kind]
    assert photo_faults(book, (named(ref),)) == []


def test_the_big_endian_tiff_is_one_too() -> None:
    assert kind_of(b"MM\x00*\x00\x00\x00\x08") == "tif"


def test_the_same_picture_twice_is_one_file(book: Path) -> None:
    assert keep(book, JPEG)[1] is True
    assert keep(book, JPEG)[1] is False
    assert len(list(files_of(book))) == 1


def test_a_picture_of_20_mb_is_kept_whole(book: Path, tmp_path: Path) -> None:
    picture = JPEG + random.Random(20).randbytes(20_000_000)
    (tmp_path / "IMG_0020.JPG").write_bytes(picture)
    ref, _ = keep(book, read_picture(tmp_path / "IMG_0020.JPG"))
    assert file_of(book, ref).read_bytes() == picture


def test_a_picture_too_large_is_refused_without_being_read(book: Path, tmp_path: Path) -> None:
    path = tmp_path / "scan.tif"
    with path.open("wb") as file:
        file.write(PICTURES["tif"])
        file.truncate(LARGEST_BYTES + 1)
    with pytest.raises(PhotoTooLarge) as told:
        read_picture(path)
    assert str(told.value) == (
        "scan.tif is larger than 50 MB; have the camera take smaller ones, or save it smaller."
    )
    with pytest.raises(PhotoTooLarge, match="This picture is larger"):
        keep(book, JPEG + bytes(LARGEST_BYTES))
    assert not folder_of(book).exists()


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        (b"", "note.jpg is empty; perhaps the camera was still writing it."),
        (
            b"kept with care",
            "note.jpg is no picture known here; take JPEG, PNG, WebP, TIFF, GIF or BMP.",
        ),
        (
            b"BMW 2002 of our customer",
            "note.jpg is no picture known here; take JPEG, PNG, WebP, TIFF, GIF or BMP.",
        ),
        (
            HEIC,
            (
                "note.jpg is a HEIF or AVIF picture, which cannot be shown here. Have the "
                "telephone take pictures as JPEG, or save this one as JPEG."
            ),
        ),
    ],
)
def test_what_is_no_picture_is_refused_in_a_sentence(
    tmp_path: Path, content: bytes, sentence: str
) -> None:
    path = tmp_path / "note.jpg"
    path.write_bytes(content)
    with pytest.raises(NotAPicture) as told:
        read_picture(path)
    assert str(told.value) == sentence


def test_a_file_that_is_not_there_is_a_sentence(tmp_path: Path) -> None:
    with pytest.raises(StoreError, match=r"gone\.jpg cannot be read: No such file"):
        read_picture(tmp_path / "gone.jpg")


def test_a_full_disk_is_a_sentence_and_leaves_nothing_half_written(book: Path) -> None:
    picture = JPEG + bytes(100_000)
    with no_file_beyond(30_000), pytest.raises(DiskFull) as told:
        keep(book, picture)
    assert "There is no room left" in str(told.value)
    assert "The photo was not kept" in str(told.value)
    assert [one for one in folder_of(book).rglob("*") if one.is_file()] == []
    ref, is_new = keep(book, picture)
    assert is_new
    assert file_of(book, ref).read_bytes() == picture


def test_a_folder_that_may_not_be_written_is_a_sentence(open_folder: Path) -> None:
    open_folder.chmod(0o555)
    with lesser_rights(), pytest.raises(BookReadOnly) as told:
        keep(open_folder / "our.shop", JPEG)
    assert str(told.value) == (
        f"{open_folder / 'our.shop.photos'} cannot be written in; check the rights of the file "
        "and of its folder."
    )


def test_a_missing_photo_is_told_and_not_a_crash(book: Path) -> None:
    ref = "ab" * 32
    assert photo_faults(book, (named(ref),)) == [
        (
            "The photo of B-0031 that entry 14 names is not in tidewater.shop.photos; copy it back "
            "from a backup."
        )
    ]
    with pytest.raises(NoSuchPhoto, match=r"abababab… is not in .*tidewater\.shop\.photos"):
        file_of(book, ref)


def test_one_altered_byte_is_told(book: Path) -> None:
    ref, _ = keep(book, JPEG)
    path = file_of(book, ref)
    path.write_bytes(JPEG.replace(b"bar", b"bag"))
    assert photo_faults(book, (named(ref),)) == [
        "The photo of B-0031 that entry 14 names was altered; copy it back from a backup."
    ]


def test_attaching_an_altered_photo_again_puts_its_bytes_back(book: Path) -> None:
    ref, _ = keep(book, JPEG)
    file_of(book, ref).write_bytes(b"spoilt")
    assert keep(book, JPEG) == (ref, True)
    assert photo_faults(book, (named(ref),)) == []


def test_a_photo_of_a_struck_entry_need_not_be_there(book: Path) -> None:
    assert photo_faults(book, (named("ab" * 32, is_struck=True),)) == []


def test_files_that_no_entry_names_are_listed(book: Path) -> None:
    ref, _ = keep(book, JPEG)
    other, _ = keep(book, PICTURES["png"])
    (folder_of(book) / "Thumbs.db").write_bytes(b"?")
    told = unnamed(book, (named(ref, is_struck=True),))
    assert {path.name for path in told} == {f"{other}.png", "Thumbs.db"}


@pytest.mark.parametrize("ref", ["", "../../etc/passwd", "AB" * 32, "ab" * 31, "ab" * 32 + "/x"])
def test_a_word_that_is_no_hash_names_no_file(book: Path, ref: str) -> None:
    with pytest.raises(NoSuchPhoto):
        file_of(book, ref)


def test_a_photo_is_taken_back_when_its_entry_was_refused(book: Path) -> None:
    ref, _ = keep(book, JPEG)
    take_back(book, ref)
    take_back(book, ref)
    assert list(files_of(book)) == []


def test_photos_are_copied_whole_and_a_half_written_one_is_not(book: Path, tmp_path: Path) -> None:
    ref, _ = keep(book, JPEG)
    keep(book, PICTURES["png"])
    (folder_of(book) / "2b").mkdir()
    (folder_of(book) / "2b" / ".2b29.jpg.part").write_bytes(b"half")
    to = tmp_path / "copy.shop"
    assert copy_photos(book, folder_of(to)) == 2
    assert photo_faults(to, (named(ref),)) == []
    assert len(list(folder_of(to).rglob("*.*"))) == 2
