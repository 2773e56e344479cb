"""Attaching a photo: from a file, from the clipboard, or the next one of the camera's folder."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

from PySide6.QtCore import (
    QBuffer,
    QByteArray,
    QFileSystemWatcher,
    QIODevice,
    QSize,
    Qt,
    QTimer,
    QUrl,
)
from PySide6.QtGui import (
    QDragEnterEvent,
    QDropEvent,
    QGuiApplication,
    QImage,
    QImageWriter,
    QPixmap,
)
from PySide6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QWidget
from typing_extensions import override

from vault.application.changes import Changes
from vault.screens.failures import sentence_of
from vault.screens.forms.item_form import ItemForm
from vault.screens.look import Size
from vault.screens.photos.pictures import read_picture
from vault.screens.widgets.fields import Field
from vault.screens.widgets.labels import ElidedLabel

_PREVIEW = QSize(480, 240)
_ENDINGS = frozenset({".jpg", ".jpeg", ".png", ".webp", ".tif", ".tiff", ".gif", ".bmp"})
# A camera writes for a while; a file of which the size stays the same so long is whole.
_STEADY_MS = 700
_NO_PICTURE = "There is no picture yet: choose a file, paste one, or take one with the camera."
_NOTHING_COPIED = "There is no picture in the clipboard; copy one first."


class PhotographForm(ItemForm):
    """Takes a picture of one item, and a few words on it."""

    name = "photograph"
    verb = "Photo of"

    @override
    def build(self) -> None:
        self._picture: Path | bytes | None = None
        self.preview = QLabel()
        self.preview.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.preview.setFixedHeight(_PREVIEW.height())
        self.preview.setText("No picture yet")
        self.source = ElidedLabel(size=Size.SMALL, kind="soft")
        self.file_button = _tall("From a file …")
        self.paste_button = _tall("From the clipboard")
        self.folder_button = _tall("Camera folder …")
        self.file_button.setToolTip("A picture on this computer; it can be dropped here as well")
        self.paste_button.setToolTip("What was copied last: a picture, or its file")
        self.folder_button.setToolTip("Where the camera puts its pictures; the next one is taken")
        self.source.setToolTip("The picture's bytes are kept as they are, beside the book")
        self.caption = Field("caption", "what the picture shows, if it needs saying")
        row = QHBoxLayout()
        for button in (self.file_button, self.paste_button, self.folder_button):
            row.addWidget(button, 1)
        self.body.addWidget(self.preview)
        self.body.addWidget(self.source)
        self.body.addLayout(row)
        self.put("Caption", self.caption)
        self.file_button.clicked.connect(self._on_file_clicked)
        self.paste_button.clicked.connect(self._on_paste_clicked)
        self.folder_button.clicked.connect(self._on_folder_clicked)
        self.setAcceptDrops(True)
        self._watch()

    @override
    def content(self) -> dict[str, object]:
        file = str(self._picture) if isinstance(self._picture, Path) else ""
        return {"file": file, "caption": self.caption.text}

    @override
    def fill(self, content: dict[str, Any]) -> None:
        self.caption.write(str(content.get("caption", "")))
        file = str(content.get("file", ""))
        if file and Path(file).is_file():
            self.take(Path(file))

    @override
    def lacks(self) -> tuple[str, QWidget] | None:
        return None if self._picture is not None else (_NO_PICTURE, self.file_button)

    @override
    def operation(self, key: str) -> Callable[[Any], Changes]:
        return partial(
            self.kit.acts.photograph,
            tag=self.tag,
            picture=self._picture,
            caption=", ".join(one for one in (self.caption.text, self.note.text) if one),
            when=self.when.when(),
            key=key,
        )

    @override
    def told(self) -> str:
        return f"Photo of {self.tag} kept"

    def take(self, file: Path) -> None:
        """Take the picture of a file, once it can be read."""
        kit = self.kit
        self._asker.ask(
            partial(read_picture, file, _PREVIEW * self.devicePixelRatioF()),
            partial(self._on_read, file),
            self._on_not_read,
        )
        kit.choices.remember_text("photo_folder", str(file.parent))

    # --- its own --------------------------------------------------------------------------------

    def _on_read(self, file: Path, image: QImage) -> None:
        self._picture = file
        self.source.setText(str(file))
        self._show(image)

    def _on_not_read(self, error: BaseException) -> None:
        self.refuse(sentence_of(error))

    def _show(self, image: QImage) -> None:
        ratio = self.devicePixelRatioF()
        shown = image.scaled(
            _PREVIEW * ratio,
            Qt.AspectRatioMode.KeepAspectRatio,
            Qt.TransformationMode.SmoothTransformation,
        )
        shown.setDevicePixelRatio(ratio)
        self.preview.setPixmap(QPixmap.fromImage(shown))
        self.caption.setFocus()
        self.on_edited()

    def _on_file_clicked(self) -> None:
        choices = self.kit.choices
        folder = Path(choices.text("photo_folder") or choices.text("camera_folder") or Path.home())
        file = self.kit.choosers.picture_to_attach(self, folder)
        if file is not None:
            self.take(file)

    def _on_paste_clicked(self) -> None:
        # An empty clipboard gives None, whatever its type says.
        urls: list[QUrl] = getattr(QGuiApplication.clipboard().mimeData(), "urls", list)()
        files = [Path(one.toLocalFile()) for one in urls if one.isLocalFile()]
        image = QGuiApplication.clipboard().image()
        if files:
            self.take(files[0])
        elif not image.isNull():
            # The clipboard holds no file, so it is kept as PNG, which loses nothing.
            self._picture = _as_png(image)
            self.source.setText("from the clipboard")
            self._show(image)
        else:
            self.refuse(_NOTHING_COPIED)

    def _on_folder_clicked(self) -> None:
        before = self.kit.choices.text("camera_folder")
        folder = self.kit.choosers.camera_folder(self, Path(before) if before else Path.home())
        if folder is not None:
            self.kit.choices.remember_text("camera_folder", str(folder))
            self._watch()

    def _watch(self) -> None:
        """Wait for the next picture in the camera's folder, if one is set."""
        self._steady = QTimer(self)
        self._steady.setSingleShot(True)
        self._steady.setInterval(_STEADY_MS)
        self._steady.timeout.connect(self._on_steady)
        self._watcher = QFileSystemWatcher(self)
        self._watcher.directoryChanged.connect(self._on_folder_changed)
        self._newest: tuple[Path, int] | None = None
        folder = self.kit.choices.text("camera_folder")
        self._seen = frozenset(_pictures_in(Path(folder))) if folder else frozenset()
        if folder and Path(folder).is_dir():
            self._watcher.addPath(folder)
            self.source.setText(f"Waiting for the camera: {folder}")
            self.folder_button.setToolTip(folder)

    def _on_folder_changed(self, folder: str) -> None:
        new = [one for one in _pictures_in(Path(folder)) if one not in self._seen]
        if new:
            newest = max(new, key=lambda one: one.stat().st_mtime_ns)
            self._newest = (newest, newest.stat().st_size)
            self._steady.start()

    def _on_steady(self) -> None:
        if self._newest is None:
            return
        file, size = self._newest
        now = file.stat().st_size if file.is_file() else 0
        if now and now == size:
            self._newest = None
            self._seen |= {file}
            self.take(file)
        elif now:
            self._newest = (file, now)
            self._steady.start()

    @override
    def done(self, result: int) -> None:
        self._steady.stop()
        super().done(result)

    @override
    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        if any(one.isLocalFile() for one in event.mimeData().urls()):
            event.acceptProposedAction()

    @override
    def dropEvent(self, event: QDropEvent) -> None:
        files = [Path(one.toLocalFile()) for one in event.mimeData().urls() if one.isLocalFile()]
        if files:
            self.take(files[0])


def _pictures_in(folder: Path) -> list[Path]:
    if not folder.is_dir():
        return []
    return [one for one in folder.iterdir() if one.suffix.lower() in _ENDINGS and one.is_file()]


def _as_png(image: QImage) -> bytes:
    content = QByteArray()
    buffer = QBuffer(content)
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    QImageWriter(buffer, QByteArray(b"png")).write(image)
    return bytes(content.data())


def _tall(words: str) -> QPushButton:
    button = QPushButton(words)
    button.setProperty("is_tall", True)  # noqa: FBT003  Qt knows no keywords here
    button.setAutoDefault(False)
    return button
