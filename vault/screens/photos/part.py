"""The newest photo of an item with its day, and the way to the others."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QRect, QSize, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QImage,
    QKeyEvent,
    QLinearGradient,
    QMouseEvent,
    QPainter,
    QPainterPath,
    QPaintEvent,
)
from PySide6.QtWidgets import QHBoxLayout, QToolButton, QVBoxLayout, QWidget
from typing_extensions import override

from vault.application.queries.answers.items import PhotoOfItem
from vault.screens.failures import sentence_of
from vault.screens.house_style import HouseStyle
from vault.screens.look import CARD_RADIUS, Size, face
from vault.screens.numbers import day
from vault.screens.photos.pictures import Pictures
from vault.screens.widgets.labels import ElidedLabel

_HEIGHT = 118
_SHADE = 170
_EDGE = 8


class PhotoPart(QWidget):
    """Shows one photo after the other, the newest first.

    Signals:
        opened: the photo that the reader wants to see large, a `PhotoOfItem`.
    """

    opened = Signal(object)

    def __init__(
        self, photos: Sequence[PhotoOfItem], pictures: Pictures, style: HouseStyle
    ) -> None:
        super().__init__()
        self._photos = photos
        self._at = 0
        self.picture = PictureView(pictures, style)
        self.picture.pressed.connect(self._on_picture_pressed)
        self.words = ElidedLabel(size=Size.SMALL, kind="soft")
        self.newer = _arrow(Qt.ArrowType.LeftArrow, "The newer photo")
        self.older = _arrow(Qt.ArrowType.RightArrow, "The older photo")
        self.newer.clicked.connect(self._on_newer_clicked)
        self.older.clicked.connect(self._on_older_clicked)
        row = QHBoxLayout()
        row.setSpacing(4)
        row.addWidget(self.words, 1)
        row.addWidget(self.newer)
        row.addWidget(self.older)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(2)
        column.addWidget(self.picture)
        column.addLayout(row)
        self._show()

    @property
    def shown(self) -> PhotoOfItem:
        """The photo that is shown."""
        return self._photos[self._at]

    def _show(self) -> None:
        photo, many = self.shown, len(self._photos)
        self.picture.show_photo(photo)
        told = [photo.caption, f"{self._at + 1} of {many}" if many > 1 else ""]
        self.words.setText(" · ".join(one for one in told if one))
        for button, is_there in ((self.newer, self._at > 0), (self.older, self._at + 1 < many)):
            button.setVisible(many > 1)
            button.setEnabled(is_there)
        self.words.setVisible(bool(self.words.text()))

    def _on_newer_clicked(self) -> None:
        self._at -= 1
        self._show()

    def _on_older_clicked(self) -> None:
        self._at += 1
        self._show()

    def _on_picture_pressed(self) -> None:
        self.opened.emit(self.shown)


class PictureView(QWidget):
    """Paints a photo across its place, with its day below; Enter or a click opens it.

    Signals:
        pressed: it is to be seen large.
    """

    pressed = Signal()

    def __init__(self, pictures: Pictures, style: HouseStyle) -> None:
        super().__init__()
        self._pictures = pictures
        self._style = style
        self._photo: PhotoOfItem | None = None
        self._image: QImage | None = None
        self._trouble = ""
        self._asked_for = QSize()
        self.setFixedHeight(_HEIGHT)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)

    @property
    def trouble(self) -> str:
        """Why it cannot be shown; empty where it can, or is not there yet."""
        return self._trouble

    @property
    def is_there(self) -> bool:
        """Whether the picture is painted."""
        return self._image is not None

    def show_photo(self, photo: PhotoOfItem) -> None:
        """Show a photo once it is read."""
        self._photo, self._image, self._trouble = photo, None, photo.trouble
        self._asked_for = QSize()
        self.setAccessibleName(f"Photo of {day(photo.day)}. {photo.caption}".strip())
        self.setToolTip(photo.trouble or "Click to see it large")
        self.update()

    def _on_read(self, image: QImage) -> None:
        self._image = image
        self.update()

    def _on_failed(self, error: BaseException) -> None:
        self._trouble = sentence_of(error)
        self.setToolTip(self._trouble)
        self.update()

    def _ask(self) -> None:
        ratio = self.devicePixelRatioF()
        wanted = QSize(round(self.width() * ratio), round(self.height() * ratio))
        if self._photo is not None and self._photo.file is not None and wanted != self._asked_for:
            self._asked_for = wanted
            self._pictures.give(self._photo.file, wanted, self._on_read, self._on_failed)

    @override
    def paintEvent(self, event: QPaintEvent) -> None:
        del event
        self._ask()
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        path = QPainterPath()
        path.addRoundedRect(self.rect(), CARD_RADIUS, CARD_RADIUS)
        painter.setClipPath(path)
        look = self._style.look
        painter.fillRect(self.rect(), look.band)
        painter.setFont(face(Size.SMALL))
        if self._image is not None:
            painter.drawImage(self.rect(), self._image, _middle_of(self._image, self.size()))
            self._paint_day(painter)
        elif self._trouble:
            painter.setPen(look.attention)
            inside = self.rect().adjusted(_EDGE, _EDGE, -_EDGE, -_EDGE)
            flags = Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap
            painter.drawText(inside, int(flags), self._trouble)
        if self.hasFocus():
            painter.setPen(look.accent)
            painter.drawRoundedRect(self.rect().adjusted(1, 1, -1, -1), CARD_RADIUS, CARD_RADIUS)

    def _paint_day(self, painter: QPainter) -> None:
        if self._photo is None:
            return
        height = painter.fontMetrics().height() + 2 * _EDGE
        foot = QRect(0, self.height() - height, self.width(), height)
        # White on a shade is read on any picture, in both looks.
        shade = QLinearGradient(foot.topLeft(), foot.bottomLeft())
        shade.setColorAt(0, QColor(0, 0, 0, 0))
        shade.setColorAt(1, QColor(0, 0, 0, _SHADE))
        painter.fillRect(foot, shade)
        painter.setPen(Qt.GlobalColor.white)
        words = f"photo taken {day(self._photo.day)}"
        painter.drawText(foot.adjusted(_EDGE, 0, -_EDGE, 0), Qt.AlignmentFlag.AlignVCenter, words)

    @override
    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        if event.button() is Qt.MouseButton.LeftButton and self.rect().contains(
            event.position().toPoint()
        ):
            self.pressed.emit()

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in {Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Space}:
            self.pressed.emit()
        else:
            super().keyPressEvent(event)


def _middle_of(image: QImage, place: QSize) -> QRect:
    """Give the part of a picture, from its middle, that fills a place without being bent."""
    shape = place.scaled(image.size(), Qt.AspectRatioMode.KeepAspectRatio)
    corner_x = (image.width() - shape.width()) // 2
    corner_y = (image.height() - shape.height()) // 2
    return QRect(corner_x, corner_y, shape.width(), shape.height())


def _arrow(way: Qt.ArrowType, tip: str) -> QToolButton:
    button = QToolButton()
    button.setArrowType(way)
    button.setProperty("kind", "plain")
    button.setToolTip(tip)
    button.setAccessibleName(tip)
    return button
