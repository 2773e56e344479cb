"""Labels: soft, bold and large ones, and one that cuts a long name and tells it when pointed at."""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QFrame, QLabel, QSizePolicy, QWidget
from typing_extensions import override

from vault.screens.look import Size, face


def label(
    text: str = "",
    *,
    size: Size = Size.BODY,
    bold: bool = False,
    kind: str = "",
    wrap: bool = False,
    parent: QWidget | None = None,
) -> QLabel:
    """Give a label; `kind` is `soft`, `attention`, `fine` or nothing."""
    made = QLabel(text, parent)
    dress(made, size=size, bold=bold, kind=kind, wrap=wrap)
    return made


def dress(
    made: QLabel,
    *,
    size: Size = Size.BODY,
    bold: bool = False,
    kind: str = "",
    wrap: bool = False,
) -> None:
    """Give a label its face and kind; its text is never taken for mark-up."""
    made.setTextFormat(Qt.TextFormat.PlainText)
    made.setFont(face(size, bold=bold))
    made.setWordWrap(wrap)
    if kind:
        made.setProperty("kind", kind)


def line() -> QFrame:
    """Give a thin line across."""
    made = QFrame()
    made.setProperty("kind", "line")
    return made


class ElidedLabel(QLabel):
    """One line that is cut with … where it is too long; pointing at it shows the whole.

    Where more is `told` when it is pointed at, that is shown instead, cut or not.
    """

    def __init__(
        self,
        text: str = "",
        *,
        size: Size = Size.BODY,
        bold: bool = False,
        kind: str = "",
        told: str = "",
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(text, parent)
        self._told = told
        dress(self, size=size, bold=bold, kind=kind)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)

    @property
    def is_cut(self) -> bool:
        """Whether the text is longer than its place."""
        return self.fontMetrics().horizontalAdvance(self.text()) > self.width()

    @override
    def setText(self, text: str) -> None:
        super().setText(text)
        self._tell_if_cut()

    @override
    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._tell_if_cut()

    @override
    def minimumSizeHint(self) -> QSize:
        return QSize(0, super().minimumSizeHint().height())

    @override
    def paintEvent(self, event: QPaintEvent) -> None:
        del event
        painter = QPainter(self)
        shown = self.fontMetrics().elidedText(
            self.text(), Qt.TextElideMode.ElideRight, self.contentsRect().width()
        )
        self.style().drawItemText(
            painter,
            self.contentsRect(),
            int(self.alignment().value),
            self.palette(),
            self.isEnabled(),
            shown,
            self.foregroundRole(),
        )

    def _tell_if_cut(self) -> None:
        self.setToolTip(self._told or (self.text() if self.is_cut else ""))
