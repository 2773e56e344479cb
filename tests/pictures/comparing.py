"""A drawn picture against the approved one, with a tolerance for the smoothing of edges."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from PySide6.QtGui import QImage

APPROVED = Path(__file__).resolve().parent / "approved"
# A channel may be this far off, and this part of all pixels farther: letters are smoothed a
# little differently by each version of the font library.
CHANNEL_TOLERANCE = 40
PART_OF_PIXELS = 0.004


@dataclass(frozen=True)
class Pictures:
    """Compares pictures by name, or accepts them.

    Attributes:
        is_accepting: whether what is drawn now is to be the approved picture.
        drawn: the folder into which a picture goes that differs.
    """

    is_accepting: bool
    drawn: Path

    def compare(self, name: str, image: QImage) -> None:
        """Fail where a picture differs from the approved one."""
        approved = APPROVED / f"{name}.png"
        if self.is_accepting:
            APPROVED.mkdir(exist_ok=True)
            assert image.save(str(approved))
            return
        assert approved.exists(), f"{approved} is missing; accept it with --accept-pictures"
        differs = part_that_differs(image, QImage(str(approved)))
        if differs > PART_OF_PIXELS:
            now = self.drawn / f"{name}.png"
            image.save(str(now))
            raise AssertionError(
                f"{name} differs from the approved picture in {differs:.2%} of its pixels. Look at "
                f"{now} beside {approved}; if it is meant so, run again with --accept-pictures."
            )


def part_that_differs(one: QImage, other: QImage) -> float:
    """Give the part of all pixels beyond the tolerance; all of them if the sizes differ."""
    if one.size() != other.size():
        return 1.0
    apart = np.abs(_channels(one) - _channels(other)).max(axis=2)
    return float((apart > CHANNEL_TOLERANCE).mean())


def _channels(image: QImage) -> np.ndarray:
    flat = image.convertToFormat(QImage.Format.Format_RGB32)
    bits = np.frombuffer(flat.constBits(), dtype=np.uint8)
    rows = bits.reshape(flat.height(), flat.bytesPerLine() // 4, 4)
    return rows[:, : flat.width(), :3].astype(np.int16)
