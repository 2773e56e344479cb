"""A trace on paper: title and day, the picture, its table, and the head of the chain at the foot.

The same drawing serves PNG, SVG and PDF. Paper is always light.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from enum import Enum
from pathlib import Path
from typing import TypeVar

from PySide6.QtCore import QIODevice, QMarginsF, QRect, QRectF, QSaveFile, QSize, QSizeF, Qt
from PySide6.QtGui import QColor, QImage, QPageLayout, QPageSize, QPainter, QPdfWriter, QPen
from PySide6.QtSvg import QSvgGenerator

from vault.application.queries.answers.trace import Trace
from vault.core.errors import VaultError
from vault.screens.hues import LotHues
from vault.screens.look import LIGHT, Size, face
from vault.screens.numbers import Numbers, metal_name
from vault.screens.trace.layout import Measures
from vault.screens.trace.rows import line_of
from vault.screens.trace.view import TraceScene
from vault.screens.trace.wording import Wording, set_of

T = TypeVar("T")

PAPER = replace(LIGHT, card=QColor("#FFFFFF"))

# At this resolution text and shapes of a PDF keep the proportions that they have on the screen.
PDF_DPI = 96
PNG_SCALE = 2
MARGIN = 44.0
LEAST_WIDTH = 860.0
# Sheets of ISO 216, landscape, in pixels of a PDF; a wide trace takes a larger one.
SHEETS = (
    (QPageSize.PageSizeId.A4, QSizeF(1122.0, 793.0)),
    (QPageSize.PageSizeId.A3, QSizeF(1587.0, 1122.0)),
    (QPageSize.PageSizeId.A2, QSizeF(2245.0, 1587.0)),
)
_LEAST_READABLE = 0.6
_HEADING_HEIGHT = 64.0
_FOOT_HEIGHT = 26.0
_ROW_HEIGHT = 21.0
_TABLE_WIDTH = 560.0
_LEAST_PICTURE = 200.0
_MOST_PIXELS = 60_000_000
_SWATCH = 10.0


class PictureNotSaved(VaultError):
    """The file could not be written; what stood there before is as it was."""


class Kind(Enum):
    """The form in which a trace is saved; the value is the ending of the file's name."""

    PDF = ".pdf"
    SVG = ".svg"
    PNG = ".png"


@dataclass(frozen=True, slots=True)
class TracePage:
    """What is put on paper.

    Attributes:
        trace: the answer.
        numbers: how figures are written.
        day: the day of printing, in words.
        foot: one line at the foot: whose book, and the head of its chain.
    """

    trace: Trace
    numbers: Numbers
    day: str
    foot: str


def save_page(page: TracePage, path: Path) -> None:
    """Save a trace as what the file's name ends in: .png, .svg or .pdf.

    Raises:
        PictureNotSaved: when the file cannot be written, or ends in none of these.
    """
    writers: dict[str, Callable[[_Drawing, QIODevice], None]] = {
        Kind.PDF.value: _write_pdf,
        Kind.SVG.value: _write_svg,
        Kind.PNG.value: _write_png,
    }
    write = writers.get(path.suffix.lower())
    if write is None:
        raise PictureNotSaved(
            f"“{path.name}” says no kind of picture; let its name end in .pdf, .svg or .png."
        )
    file = QSaveFile(str(path))
    if not file.open(QIODevice.OpenModeFlag.WriteOnly):
        raise _not_saved(path, file)
    write(_Drawing(page), file)
    if not file.commit():
        raise _not_saved(path, file)


def _not_saved(path: Path, file: QSaveFile) -> PictureNotSaved:
    return PictureNotSaved(
        f"The picture could not be saved as {path}: {file.errorString()}. Choose another place."
    )


class _Drawing:
    """Draws one trace with its words into any painter."""

    def __init__(self, page: TracePage) -> None:
        self._page = page
        wording = Wording(page.trace, page.numbers)
        made = set_of(wording)
        self._layout = made.laid_out(Measures())
        self._scene = TraceScene(wording, made, self._layout, PAPER)

    @property
    def title(self) -> str:
        return self._page.trace.title

    def whole_size(self) -> QSizeF:
        """Give the size of everything on one sheet, at full scale."""
        return QSizeF(
            max(LEAST_WIDTH, self._layout.width + 2 * MARGIN),
            MARGIN
            + _HEADING_HEIGHT
            + self._layout.height
            + self._table_height(len(self._page.trace.rows))
            + _FOOT_HEIGHT
            + MARGIN,
        )

    def draw_whole(self, painter: QPainter) -> None:
        """Draw everything on one sheet."""
        size = self.whole_size()
        painter.fillRect(QRectF(0, 0, size.width(), size.height()), PAPER.card)
        self._draw_heading(painter, size.width())
        top = MARGIN + _HEADING_HEIGHT
        self._draw_picture(
            painter, QRectF(MARGIN, top, size.width() - 2 * MARGIN, self._layout.height)
        )
        lines = self._table_lines()
        self._draw_table(painter, top + self._layout.height, lines)
        self._draw_foot(painter, size)

    def sheet(self) -> tuple[QPageSize.PageSizeId, QSizeF]:
        """Give the smallest sheet on which the picture can still be read, or the largest."""
        for one, size in SHEETS:
            across = (size.width() - 2 * MARGIN) / self._layout.width
            down = (size.height() - 2 * MARGIN - _HEADING_HEIGHT) / self._layout.height
            if min(across, down) >= _LEAST_READABLE:
                return one, size
        return SHEETS[-1]

    def draw_pages(self, painter: QPainter, turn_page: Callable[[], object]) -> None:
        """Draw on sheets: the picture on the first, the table where there is room for it."""
        _, size = self.sheet()
        self._draw_heading(painter, size.width())
        top = MARGIN + _HEADING_HEIGHT
        bottom = size.height() - MARGIN - _FOOT_HEIGHT
        lines = self._table_lines()
        below = self._table_height(len(lines) - 1)
        room = bottom - top
        fits = room - below >= _LEAST_PICTURE
        self._draw_picture(
            painter, QRectF(MARGIN, top, size.width() - 2 * MARGIN, room - below if fits else room)
        )
        self._draw_foot(painter, size)
        if fits:
            self._draw_table(painter, bottom - below, lines)
            return
        for part in _parts(lines, int((bottom - MARGIN) / _ROW_HEIGHT) - 2):
            turn_page()
            self._draw_table(painter, MARGIN, part)
            self._draw_foot(painter, size)

    def _draw_heading(self, painter: QPainter, width: float) -> None:
        painter.setPen(PAPER.ink)
        painter.setFont(face(Size.HEADING, bold=True))
        where = QRectF(MARGIN, MARGIN, width - 2 * MARGIN, 28)
        painter.drawText(where, Qt.AlignmentFlag.AlignLeft, self.title)
        painter.setFont(face(Size.SECOND))
        painter.setPen(PAPER.soft_ink)
        painter.drawText(where, Qt.AlignmentFlag.AlignRight, self._page.day)
        metal = metal_name(self._page.trace.question.metal) or "weight"
        words = (
            f"Ribbons are as wide as the {metal}; what is hatched is residue. "
            "± is one standard uncertainty."
        )
        painter.drawText(where.translated(0, 30), Qt.AlignmentFlag.AlignLeft, words)

    def _draw_picture(self, painter: QPainter, room: QRectF) -> None:
        """Draw the picture into its room, never larger than full scale."""
        layout = self._layout
        scale = min(1.0, room.width() / layout.width, room.height() / layout.height)
        target = QRectF(0, 0, layout.width * scale, layout.height * scale)
        target.moveCenter(room.center())
        target.moveTop(room.top())
        self._scene.render(painter, target, self._scene.sceneRect())

    def _table_height(self, rows: int) -> float:
        return (rows + 3) * _ROW_HEIGHT

    def _table_lines(self) -> list[tuple[str, str, str, str]]:
        """Give the lines of the table: colour, name, grams, percent; the sum comes last."""
        trace, numbers = self._page.trace, self._page.numbers
        hues = LotHues(trace.lots, PAPER)
        lines = []
        for row in trace.rows:
            name, grams, share = line_of(row, numbers)
            colour = hues.of(row.lot or row.name).name() if not row.tag else ""
            words = f"{name} · {row.words}" if row.words else name
            lines.append((colour, words, grams, share))
        lines.append(("", "all", numbers.uncut(trace.total_ug, trace.total_u_ug), ""))
        return lines

    def _draw_table(
        self, painter: QPainter, top: float, lines: list[tuple[str, str, str, str]]
    ) -> None:
        at = QRectF(MARGIN, top + _ROW_HEIGHT, _TABLE_WIDTH, _ROW_HEIGHT)
        unit = self._page.numbers.unit
        for colour, name, grams, share in lines:
            is_sum = name == "all"
            painter.setFont(face(Size.SECOND, bold=is_sum))
            painter.setPen(PAPER.ink)
            if colour:
                square = QRectF(at.left(), at.top() + 5, _SWATCH, _SWATCH)
                painter.fillRect(square, colour)
            painter.drawText(at.adjusted(18, 2, -220, 0), Qt.AlignmentFlag.AlignLeft, name)
            painter.drawText(
                at.adjusted(0, 2, -90, 0), Qt.AlignmentFlag.AlignRight, f"{grams} {unit}"
            )
            painter.drawText(at.adjusted(0, 2, 0, 0), Qt.AlignmentFlag.AlignRight, share)
            painter.setPen(QPen(PAPER.line, 0.8))
            painter.drawLine(at.bottomLeft(), at.bottomRight())
            at.translate(0, _ROW_HEIGHT)
        painter.setPen(PAPER.soft_ink)
        painter.setFont(face(Size.SMALL))
        at.setWidth(LEAST_WIDTH - 2 * MARGIN)
        painter.drawText(at.translated(0, 3), Qt.AlignmentFlag.AlignLeft, self._page.trace.footing)

    def _draw_foot(self, painter: QPainter, size: QSizeF) -> None:
        painter.setFont(face(Size.SMALL))
        painter.setPen(PAPER.soft_ink)
        where = QRectF(MARGIN, size.height() - MARGIN - 16, size.width() - 2 * MARGIN, 16)
        painter.drawText(where, Qt.AlignmentFlag.AlignLeft, self._page.foot)


def _parts(lines: list[T], most: int) -> Iterator[list[T]]:
    for start in range(0, len(lines), most):
        yield lines[start : start + most]


def _write_png(drawing: _Drawing, device: QIODevice) -> None:
    size = drawing.whole_size()
    # An overfull trace is drawn smaller rather than refused.
    scale = min(PNG_SCALE, (_MOST_PIXELS / (size.width() * size.height())) ** 0.5)
    image = QImage(
        round(size.width() * scale), round(size.height() * scale), QImage.Format.Format_RGB32
    )
    image.fill(PAPER.card)
    painter = QPainter(image)
    painter.setRenderHints(QPainter.RenderHint.Antialiasing | QPainter.RenderHint.TextAntialiasing)
    painter.scale(scale, scale)
    drawing.draw_whole(painter)
    painter.end()
    image.setText("Title", drawing.title)
    image.save(device, "PNG")  # type: ignore[call-overload]  # the stub wants bytes, Qt a text


def _write_svg(drawing: _Drawing, device: QIODevice) -> None:
    size = drawing.whole_size().toSize()
    writer = QSvgGenerator()
    writer.setOutputDevice(device)
    writer.setSize(QSize(size))
    writer.setViewBox(QRect(0, 0, size.width(), size.height()))
    writer.setTitle(drawing.title)
    writer.setResolution(PDF_DPI)
    painter = QPainter(writer)
    drawing.draw_whole(painter)
    painter.end()


def _write_pdf(drawing: _Drawing, device: QIODevice) -> None:
    writer = QPdfWriter(device)
    writer.setResolution(PDF_DPI)
    writer.setTitle(drawing.title)
    writer.setPageLayout(
        QPageLayout(
            QPageSize(drawing.sheet()[0]),
            QPageLayout.Orientation.Landscape,
            QMarginsF(0, 0, 0, 0),
            QPageLayout.Unit.Point,
        )
    )
    painter = QPainter(writer)
    drawing.draw_pages(painter, writer.newPage)
    painter.end()
