"""Photos: attached by the form from file, clipboard and camera folder, shown in the pane."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from PySide6.QtCore import QMimeData, QPoint, QSize, Qt, QUrl
from PySide6.QtGui import QColor, QGuiApplication, QImage
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from conftest import Clock
from screens.bench_books import bench_book, kit_for
from screens.holding import press, texts
from screens.stand_ins import HandsOff
from vault.application.book import Book
from vault.application.checks import back_up_book, check_book
from vault.application.operations.acts import strike_entry
from vault.application.operations.photos import attach_photo
from vault.application.operations.recording import new_key
from vault.application.queries.answers.items import PhotoOfItem
from vault.application.queries.items import item_detail
from vault.core.errors import RuleBroken
from vault.screens.background import Background
from vault.screens.drafts import DraftDesk
from vault.screens.forms.kit import FormKit
from vault.screens.forms.photograph import PhotographForm
from vault.screens.house_style import HouseStyle
from vault.screens.photos.dialog import PhotoDialog
from vault.screens.photos.part import PhotoPart
from vault.screens.photos.pictures import PictureBroken, Pictures, read_picture
from vault.screens.scale.room import ScaleRoom
from vault.screens.settings.choices import Choices
from vault.store.errors import NotAPicture
from vault.store.photos import files_of, folder_of

GREEN, RED = QColor("#2f8f4f"), QColor("#b03020")
SIZE = QSize(640, 480)


def picture(path: Path, colour: QColor = GREEN, size: QSize = SIZE) -> Path:
    """Write a picture of one colour."""
    image = QImage(size, QImage.Format.Format_RGB32)
    image.fill(colour)
    assert image.save(str(path))
    return path


@pytest.fixture
def book(tmp_path: Path, clock: Clock) -> Iterator[Book]:
    with bench_book(tmp_path, clock) as made:
        yield made


@pytest.fixture
def kit(
    book: Book,
    background: Background,
    style: HouseStyle,
    drafts: DraftDesk,
    choices: Choices,
    scales: ScaleRoom,
) -> FormKit:
    return kit_for(book, background, style, drafts, choices, scales)


@pytest.fixture
def form(qtbot: QtBot, kit: FormKit, background: Background) -> Iterator[PhotographForm]:
    made = PhotographForm(kit, "B-0002")
    told: list[str] = []
    made.recorded.connect(lambda sentence, _: told.append(sentence))
    made.told_all = told  # type: ignore[attr-defined]  # what a test looks at
    made.open()
    qtbot.waitUntil(lambda: background.is_idle)
    yield made
    qtbot.waitUntil(lambda: background.is_idle, timeout=20_000)
    try:
        made.reject()
    except RuntimeError:  # it went when its entry was recorded
        return


def told(form: PhotographForm) -> list[str]:
    return list(form.told_all)  # type: ignore[attr-defined]  # see the fixture


def hands(kit: FormKit) -> HandsOff:
    assert isinstance(kit.choosers, HandsOff)
    return kit.choosers


def test_a_picture_from_a_file_is_kept_as_it_is_and_named_by_an_entry(
    qtbot: QtBot, form: PhotographForm, kit: FormKit, book: Book, tmp_path: Path
) -> None:
    file = picture(tmp_path / "IMG_1.JPG")
    hands(kit).answer = file
    sentences = form.told_all  # type: ignore[attr-defined]  # see the fixture
    press(qtbot, form, "From a file …")
    qtbot.waitUntil(lambda: form.source.text() == str(file))
    assert not form.preview.pixmap().isNull()
    qtbot.keyClicks(form.caption.line, "the marked side")
    qtbot.keyClick(form.caption.line, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: sentences == ["Photo of B-0002 kept: entry 5."])
    (photo,) = item_detail(book, "B-0002").photos
    assert (photo.caption, photo.entry, photo.trouble) == ("the marked side", 5, "")
    assert photo.file is not None
    assert photo.file.read_bytes() == file.read_bytes()


def test_a_picture_comes_from_the_clipboard(qtbot: QtBot, form: PhotographForm, book: Book) -> None:
    image = QImage(300, 200, QImage.Format.Format_RGB32)
    image.fill(RED)
    QGuiApplication.clipboard().setImage(image)
    sentences = form.told_all  # type: ignore[attr-defined]  # see the fixture
    press(qtbot, form, "From the clipboard")
    press(qtbot, form, "Record it")
    qtbot.waitUntil(lambda: bool(sentences))
    (photo,) = item_detail(book, "B-0002").photos
    assert photo.file is not None
    assert photo.file.suffix == ".png"
    assert QImage(str(photo.file)).pixelColor(10, 10) == RED


def test_a_copied_file_is_taken_as_the_file_that_it_is(
    qtbot: QtBot, form: PhotographForm, tmp_path: Path
) -> None:
    file = picture(tmp_path / "copied.png")
    copied = QMimeData()
    copied.setUrls([QUrl.fromLocalFile(str(file))])
    QGuiApplication.clipboard().setMimeData(copied)
    press(qtbot, form, "From the clipboard")
    qtbot.waitUntil(lambda: form.source.text() == str(file))


def test_an_empty_clipboard_is_told(qtbot: QtBot, form: PhotographForm) -> None:
    QGuiApplication.clipboard().clear()
    press(qtbot, form, "From the clipboard")
    assert form.refusal.words.text() == "There is no picture in the clipboard; copy one first."


def test_without_a_picture_nothing_is_recorded(qtbot: QtBot, form: PhotographForm) -> None:
    press(qtbot, form, "Record it")
    assert form.refusal.words.text() == (
        "There is no picture yet: choose a file, paste one, or take one with the camera."
    )


def test_a_file_that_is_no_picture_is_told_at_once(
    qtbot: QtBot, form: PhotographForm, kit: FormKit, tmp_path: Path
) -> None:
    file = tmp_path / "note.jpg"
    file.write_text("kept with care")
    hands(kit).answer = file
    press(qtbot, form, "From a file …")
    qtbot.waitUntil(lambda: form.refusal.words.text().startswith("note.jpg cannot be shown ("))


def test_the_next_picture_in_the_camera_folder_is_taken_by_itself(
    qtbot: QtBot, kit: FormKit, background: Background, tmp_path: Path
) -> None:
    folder = tmp_path / "camera"
    folder.mkdir()
    picture(folder / "old.jpg")
    kit.choices.remember_text("camera_folder", str(folder))
    form = PhotographForm(kit, "B-0002")
    form.open()
    qtbot.waitUntil(lambda: background.is_idle)
    assert form.source.text() == f"Waiting for the camera: {folder}"
    new = picture(folder / "new.jpg", RED)
    qtbot.waitUntil(lambda: form.source.text() == str(new), timeout=10_000)
    form.reject()
    qtbot.waitUntil(lambda: background.is_idle)


def test_the_camera_folder_is_chosen_and_remembered(
    qtbot: QtBot, form: PhotographForm, kit: FormKit, tmp_path: Path
) -> None:
    hands(kit).answer = tmp_path
    press(qtbot, form, "Camera folder …")
    assert kit.choices.text("camera_folder") == str(tmp_path)
    assert form.source.text() == f"Waiting for the camera: {tmp_path}"


# --- beside the book ---


def test_a_photo_goes_again_when_its_entry_is_refused(book: Book, tmp_path: Path) -> None:
    with pytest.raises(RuleBroken):
        attach_photo(book, "Q-9999", picture(tmp_path / "a.png"), key=new_key())
    assert list(files_of(book.path)) == []
    with pytest.raises(NotAPicture):
        attach_photo(book, "B-0002", b"no picture", key=new_key())


def test_a_retry_under_the_same_key_is_one_photo(book: Book, tmp_path: Path) -> None:
    file, key = picture(tmp_path / "a.png"), new_key()
    first = attach_photo(book, "B-0002", file, key=key)
    assert attach_photo(book, "B-0002", file, key=key) == first
    assert len(item_detail(book, "B-0002").photos) == 1


def test_check_tells_what_is_missing_altered_and_named_by_nobody(
    book: Book, tmp_path: Path
) -> None:
    for name, colour in (("a", GREEN), ("b", RED)):
        attach_photo(book, "B-0002", picture(tmp_path / f"{name}.png", colour), key=new_key())
    assert check_book(book.path).holds
    missing, altered = sorted(files_of(book.path))
    missing.unlink()
    altered.write_bytes(altered.read_bytes()[:-1])
    picture(folder_of(book.path) / "stray.png")
    report = check_book(book.path)
    assert not report.holds
    assert report.broken == ()
    assert len(report.photos) == 2
    assert "2 photos are missing or altered" in report.verdict
    assert report.findings[-1] == (
        "No entry names 1 file in tidewater.shop.photos, stray.png first; nothing in the book "
        "rests on it. Move elsewhere what is not wanted."
    )


def test_striking_the_entry_of_a_lost_photo_makes_the_book_hold_again(
    book: Book, tmp_path: Path
) -> None:
    attach_photo(book, "B-0002", picture(tmp_path / "a.png"), key=new_key())
    next(files_of(book.path)).unlink()
    assert not check_book(book.path).holds
    strike_entry(book, 5, reason="the picture was lost with the old disk", key=new_key())
    assert check_book(book.path).holds


def test_a_backup_tells_of_photos_that_were_lost_before(book: Book, tmp_path: Path) -> None:
    for name, colour in (("a", GREEN), ("b", RED)):
        attach_photo(book, "B-0002", picture(tmp_path / f"{name}.png", colour), key=new_key())
    next(files_of(book.path)).unlink()
    lost = back_up_book(book.path, tmp_path / "copy.shop")
    assert len(lost) == 1
    assert "is not in copy.shop.photos" in lost[0]
    assert len(check_book(tmp_path / "copy.shop").photos) == 1


# --- shown ---


def photo_of(file: Path | None, day: int, caption: str = "", trouble: str = "") -> PhotoOfItem:
    return PhotoOfItem("ab" * 32, file, date(2031, 3, day), caption, day, trouble)


@pytest.fixture
def pictures(background: Background) -> Pictures:
    return Pictures(background)


def test_the_newest_photo_is_shown_and_the_others_are_paged(
    qtbot: QtBot, pictures: Pictures, style: HouseStyle, tmp_path: Path
) -> None:
    photos = [
        photo_of(picture(tmp_path / "new.png", GREEN), 5, "after the pour"),
        photo_of(picture(tmp_path / "old.png", RED), 2),
    ]
    part = PhotoPart(photos, pictures, style)
    qtbot.addWidget(part)
    part.resize(320, 150)
    part.show()
    qtbot.waitUntil(lambda: part.picture.is_there)
    assert part.words.text() == "after the pour · 1 of 2"
    assert shown_colour(part) == GREEN
    assert not part.newer.isEnabled()
    qtbot.mouseClick(part.older, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: part.picture.is_there and shown_colour(part) == RED)
    assert part.picture.accessibleName() == "Photo of 2 Mar 2031."
    qtbot.mouseClick(part.newer, Qt.MouseButton.LeftButton)
    assert part.shown is photos[0]
    part.hide()


def shown_colour(part: PhotoPart) -> QColor:
    return part.picture.grab().toImage().pixelColor(QPoint(160, 40))


def test_a_missing_photo_says_so_in_its_place(
    qtbot: QtBot, pictures: Pictures, style: HouseStyle
) -> None:
    told = "The photo abababab… is not in the folder."
    part = PhotoPart([photo_of(None, 5, trouble=told)], pictures, style)
    qtbot.addWidget(part)
    part.show()
    assert part.picture.trouble == told
    assert part.picture.toolTip() == told
    part.hide()


def test_a_broken_picture_says_so_in_its_place(
    qtbot: QtBot, pictures: Pictures, style: HouseStyle, tmp_path: Path
) -> None:
    (tmp_path / "broken.png").write_bytes(b"\x89PNG\r\n\x1a\nand no more")
    part = PhotoPart([photo_of(tmp_path / "broken.png", 5)], pictures, style)
    qtbot.addWidget(part)
    part.show()
    qtbot.waitUntil(lambda: part.picture.trouble.startswith("broken.png cannot be shown"))
    part.hide()


def test_a_click_or_enter_opens_it_large(
    qtbot: QtBot, pictures: Pictures, style: HouseStyle, tmp_path: Path
) -> None:
    photo = photo_of(picture(tmp_path / "a.png"), 5)
    part = PhotoPart([photo], pictures, style)
    qtbot.addWidget(part)
    part.show()
    opened: list[PhotoOfItem] = []
    part.opened.connect(opened.append)
    qtbot.mouseClick(part.picture, Qt.MouseButton.LeftButton)
    qtbot.keyClick(part.picture, Qt.Key.Key_Return)
    assert opened == [photo, photo]
    part.hide()


def test_the_large_view_tells_day_entry_and_caption(
    qtbot: QtBot, qapp: QApplication, pictures: Pictures, tmp_path: Path
) -> None:
    photo = photo_of(picture(tmp_path / "a.png"), 5, "after the pour")
    dialog = PhotoDialog("B-0002", photo, pictures)
    dialog.open()
    qtbot.waitUntil(lambda: not dialog.picture.pixmap().isNull())
    assert "5 Mar 2031, entry 5 · after the pour" in texts(dialog)
    dialog.reject()


def test_a_large_picture_is_read_no_larger_than_it_is_shown(tmp_path: Path) -> None:
    file = picture(tmp_path / "large.jpg", GREEN, QSize(4000, 3000))
    found = read_picture(file, QSize(320, 120))
    assert (found.width(), found.height()) == (320, 240)


def test_a_file_that_cannot_be_read_as_a_picture_is_a_sentence(tmp_path: Path) -> None:
    with pytest.raises(PictureBroken, match=r"gone\.jpg cannot be shown"):
        read_picture(tmp_path / "gone.jpg", QSize(10, 10))
