"""Symbols of tags read back by an independent decoder (zxing-cpp, Apache-2.0)."""

from __future__ import annotations

import numpy as np
import pytest
import zxingcpp

from vault.bench.tags import QUIET_MODULES, symbol_of
from vault.core.tags import payload_of, tag_of_scan

DOTS = 4


def picture_of(payload: str) -> np.ndarray:
    symbol = symbol_of(payload)
    picture = np.full((symbol.side_with_margin * DOTS,) * 2, 255, dtype=np.uint8)
    for run in symbol.runs:
        top, left = (run.row + QUIET_MODULES) * DOTS, (run.column + QUIET_MODULES) * DOTS
        picture[top : top + DOTS, left : left + run.length * DOTS] = 0
    return picture


@pytest.mark.parametrize("tag", ["K-0212", "B-0001", "MXTR-999999999999", "drum C", "Kübel 7 ⅔"])
def test_a_tag_is_read_back_as_it_was(tag: str) -> None:
    [found] = zxingcpp.read_barcodes(picture_of(payload_of(tag)))
    assert found.format == zxingcpp.BarcodeFormat.QRCode
    assert found.ec_level == "H"
    assert tag_of_scan(found.text, {tag}.__contains__).tag == tag


def test_every_tag_of_a_run_of_numbers_is_read_back() -> None:
    for number in range(1, 10_000, 97):
        tag = f"C-{number:04d}"
        [found] = zxingcpp.read_barcodes(picture_of(payload_of(tag)))
        assert tag_of_scan(found.text, lambda _tag: False).tag == tag
