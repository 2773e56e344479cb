"""A page as it will be printed, white whatever the look."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget
from typing_extensions import override

from vault.screens.printing.label import LabelPaper
from vault.screens.printing.output import draw_page
from vault.screens.printing.page import RULE, UNITS_OF_A_MM, Paper

_AROUND = 8


class Preview(QWidget):
    """Shows one page, as large as it fits.

    Signals:
        label_pointed_at: the position on the page of the label that was clicked, from 0.
    """

    label_pointed_at = Signal(int)

    def __init__(self, paper: Paper, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._paper = paper
        self._page = 0
        self.setMinimumSize(280, 320)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName("The page as it will be printed")

    @property
    def page(self) -> int:
        """The page shown, from 0."""
        return self._page

    def show_paper(self, paper: Paper) -> None:
        """Show other paper, at the same page if it has so many."""
        self._paper = paper
        self.show_page(self._page)

    def show_page(self, page: int) -> None:
        """Show a page, or the nearest that there is."""
        self._page = max(0, min(page, self._paper.pages - 1))
        self.update()

    def _place(self) -> tuple[QRectF, float]:
        """Give where the page stands, and how many pixels a millimetre has."""
        width, height = self._paper.size_mm
        room = QRectF(self.rect()).adjusted(_AROUND, _AROUND, -_AROUND, -_AROUND)
        scale = min(room.width() / width, room.height() / height)
        page = QRectF(0, 0, width * scale, height * scale)
        page.moveCenter(room.center())
        return page, scale

    @override
    def paintEvent(self, event: QPaintEvent) -> None:
        del event
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        page, scale = self._place()
        painter.fillRect(page, Qt.GlobalColor.white)
        painter.setPen(QPen(RULE, 1))
        painter.drawRect(page)
        painter.setClipRect(page)
        painter.translate(page.topLeft())
        if isinstance(self._paper, LabelPaper) and not self._paper.stock.is_roll:
            self._draw_labels_edges(painter, scale)
        draw_page(self._paper, painter, self._page, scale)

    def _draw_labels_edges(self, painter: QPainter, scale: float) -> None:
        assert isinstance(self._paper, LabelPaper)  # noqa: S101 - asked just before
        painter.setPen(QPen(RULE, 0.7, Qt.PenStyle.DashLine))
        for place, _ in self._paper.places(self._page):
            sides = (place.left(), place.top(), place.width(), place.height())
            painter.drawRect(QRectF(*(side / UNITS_OF_A_MM * scale for side in sides)))

    @override
    def mousePressEvent(self, event: QMouseEvent) -> None:
        paper = self._paper
        if not isinstance(paper, LabelPaper):
            return
        page, scale = self._place()
        at = (event.position() - page.topLeft()) * UNITS_OF_A_MM / scale
        for position, (place, _) in enumerate(paper.places(self._page)):
            if place.contains(QPointF(at)):
                self.label_pointed_at.emit(position)

    @override
    def sizeHint(self) -> QSize:
        return QSize(460, 560)
