"""One photo, large, with its day, its caption and where its file lies."""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QImage, QPixmap
from PySide6.QtWidgets import QLabel, QSizePolicy, QWidget

from vault.application.queries.answers.items import PhotoOfItem
from vault.screens.dialogs import ShortDialog
from vault.screens.failures import sentence_of
from vault.screens.look import Size
from vault.screens.numbers import day
from vault.screens.photos.pictures import Pictures
from vault.screens.widgets.labels import ElidedLabel, label

_SIZE = QSize(900, 640)


class PhotoDialog(ShortDialog):
    """Shows a photo as large as the window has room for."""

    def __init__(
        self, tag: str, photo: PhotoOfItem, pictures: Pictures, parent: QWidget | None = None
    ) -> None:
        super().__init__(f"Photo of {tag}", parent)
        self.picture = QLabel()
        self.picture.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.picture.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Ignored)
        told = [f"{day(photo.day)}, entry {photo.entry}", photo.caption]
        self.column.addWidget(label(" · ".join(one for one in told if one), bold=True))
        self.column.addWidget(self.picture, 1)
        self.where = ElidedLabel(photo.trouble or str(photo.file), size=Size.SMALL, kind="soft")
        self.column.addWidget(self.where)
        self.resize(_SIZE)
        if photo.file is not None:
            pictures.give(photo.file, _SIZE, self._on_read, self._on_failed)

    def _on_read(self, image: QImage) -> None:
        room = self.picture.size().expandedTo(QSize(200, 200)) * self.devicePixelRatioF()
        shown = image.scaled(
            room,
            Qt.AspectRatioMode.KeepAspectRatio,
            Qt.TransformationMode.SmoothTransformation,
        )
        shown.setDevicePixelRatio(self.devicePixelRatioF())
        self.picture.setPixmap(QPixmap.fromImage(shown))

    def _on_failed(self, error: BaseException) -> None:
        self.where.setText(sentence_of(error))
