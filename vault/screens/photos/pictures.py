"""Pictures read off the window's thread, no larger than they are shown, the last ones kept."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable
from functools import partial
from pathlib import Path

from PySide6.QtCore import QObject, QSize, Qt
from PySide6.QtGui import QImage, QImageIOHandler, QImageReader

from vault.core.errors import VaultError
from vault.screens.background import Background

_KEPT = 60
# Named here, in the window's thread: a reader must not be the first to name a class of Qt.
_TURNED = QImageIOHandler.Transformation.TransformationRotate90
_FILLING = Qt.AspectRatioMode.KeepAspectRatioByExpanding


class PictureBroken(VaultError):
    """A file that should be a picture and cannot be read as one."""


class Pictures(QObject):
    """Gives pictures by their files; asked again for one it gave, it answers at once."""

    def __init__(self, background: Background, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._asker = background.asker(self)
        self._kept: OrderedDict[tuple[Path, int, int], QImage] = OrderedDict()

    def give(
        self,
        file: Path,
        size: QSize,
        then: Callable[[QImage], None],
        on_failure: Callable[[BaseException], None],
    ) -> None:
        """Give a picture that fills a size; of several wanted only the last is given."""
        name = (file, size.width(), size.height())
        kept = self._kept.get(name)
        if kept is not None:
            self._asker.forget()
            self._kept.move_to_end(name)
            then(kept)
            return
        self._asker.ask(
            partial(read_picture, file, size), partial(self._on_read, name, then), on_failure
        )

    def _on_read(
        self, name: tuple[Path, int, int], then: Callable[[QImage], None], picture: QImage
    ) -> None:
        self._kept[name] = picture
        if len(self._kept) > _KEPT:
            self._kept.popitem(last=False)
        then(picture)


def read_picture(file: Path, size: QSize) -> QImage:
    """Read a picture upright and just as large as fills a size; its file is never changed.

    Raises:
        PictureBroken: when it cannot be read.
    """
    reader = QImageReader(str(file))
    # By its bytes and not by its ending, as the folder of photos keeps it.
    reader.setDecideFormatFromContent(True)
    reader.setAutoTransform(True)
    whole = reader.size()
    if whole.isValid():
        is_lying = reader.transformation() & _TURNED
        wanted = size.transposed() if is_lying else size
        smaller = whole.scaled(wanted, _FILLING)
        if smaller.width() < whole.width():
            reader.setScaledSize(smaller)
    picture = reader.read()
    if picture.isNull():
        raise PictureBroken(
            f"{file.name} cannot be shown ({reader.errorString()}). Its bytes are as they were; "
            "look at it with another program."
        )
    return picture
