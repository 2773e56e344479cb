"""Paper to a PDF or to a printer."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QBuffer, QByteArray, QIODevice, QMarginsF, QSizeF
from PySide6.QtGui import QPagedPaintDevice, QPageLayout, QPageSize, QPainter, QPdfWriter
from PySide6.QtPrintSupport import QPrinter

from vault.core.errors import VaultError
from vault.screens.printing.page import MM_OF_AN_INCH, UNITS_OF_A_MM, Paper
from vault.screens.words import PROGRAM

# Fine enough that no printer's dots are coarser than what is drawn.
_PDF_DOTS_OF_AN_INCH = 1200


class NotPrinted(VaultError):
    """Paper that could not be saved or printed, and why."""


def pdf_of(paper: Paper) -> bytes:
    """Give paper as a PDF with the program's own face in it."""
    told = QByteArray()
    buffer = QBuffer(told)
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    writer = QPdfWriter(buffer)
    writer.setTitle(paper.title)
    writer.setCreator(PROGRAM)
    writer.setResolution(_PDF_DOTS_OF_AN_INCH)
    writer.setPageLayout(_layout(paper))
    _paint(paper, writer, writer.newPage, _PDF_DOTS_OF_AN_INCH)
    buffer.close()
    return bytes(told.data())


def save_pdf(paper: Paper, path: Path) -> None:
    """Save paper as a PDF; a file that was there is replaced only by a whole one.

    Raises:
        NotPrinted: when it cannot be written there.
    """
    half_done = path.with_name(f".{path.name}.new")
    try:
        half_done.write_bytes(pdf_of(paper))
        half_done.replace(path)
    except OSError as trouble:
        half_done.unlink(missing_ok=True)
        raise NotPrinted(
            f"{path} could not be written ({trouble.strerror}); choose another folder or free "
            "some space."
        ) from trouble


def print_on(paper: Paper, printer: QPrinter) -> None:
    """Print paper on a printer that was chosen.

    Raises:
        NotPrinted: when the printer takes nothing.
    """
    printer.setDocName(paper.title)
    printer.setFullPage(True)
    printer.setPageLayout(_layout(paper))
    _paint(paper, printer, printer.newPage, printer.resolution())


def draw_page(paper: Paper, painter: QPainter, page: int, dots_of_a_mm: float) -> None:
    """Draw one page with a painter that stands at its upper left corner."""
    painter.save()
    painter.scale(dots_of_a_mm / UNITS_OF_A_MM, dots_of_a_mm / UNITS_OF_A_MM)
    paper.draw(painter, page)
    painter.restore()


def _layout(paper: Paper) -> QPageLayout:
    width, height = paper.size_mm
    # Qt keeps a size upright and turns it; given lying, it would be turned twice.
    upright = QSizeF(min(width, height), max(width, height))
    name = f"{width:g} × {height:g} mm"
    size = QPageSize(upright, QPageSize.Unit.Millimeter, name, QPageSize.SizeMatchPolicy.ExactMatch)
    lies = width > height
    turned = QPageLayout.Orientation.Landscape if lies else QPageLayout.Orientation.Portrait
    layout = QPageLayout(size, turned, QMarginsF(0, 0, 0, 0))
    layout.setMode(QPageLayout.Mode.FullPageMode)
    return layout


def _paint(
    paper: Paper, device: QPagedPaintDevice, new_page: Callable[[], bool], dots_of_an_inch: int
) -> None:
    painter = QPainter()
    if not painter.begin(device):
        raise NotPrinted(f"{paper.title} could not be printed; check that the printer is ready.")
    try:
        for page in range(paper.pages):
            if page:
                new_page()
            draw_page(paper, painter, page, dots_of_an_inch / MM_OF_AN_INCH)
    finally:
        painter.end()
