"""Sheets that were printed to PDF, turned into pixels as a printer would have them."""

from __future__ import annotations

import subprocess
from pathlib import Path

import numpy as np

DOTS_OF_AN_INCH = 200


def pixels_of(sheet: Path) -> list[np.ndarray]:
    """Give the pages of a PDF as grey pixels, by poppler's pdftoppm."""
    pages = sheet.with_suffix("")
    asked = ["pdftoppm", "-r", str(DOTS_OF_AN_INCH), "-gray", str(sheet), str(pages)]
    subprocess.run(asked, check=True)
    return [_pgm(file) for file in sorted(sheet.parent.glob(f"{pages.name}-*.pgm"))]


def _pgm(file: Path) -> np.ndarray:
    """Read a portable greymap: three words of heading and the pixels."""
    magic, size, _, pixels = file.read_bytes().split(b"\n", 3)
    assert magic == b"P5"
    width, height = map(int, size.split())
    return np.frombuffer(pixels, dtype=np.uint8)[: width * height].reshape(height, width).copy()
