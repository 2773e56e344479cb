from __future__ import annotations

from vault.bench.tags import symbol_of
from vault.core.tags import payload_of


def test_a_symbol_has_its_three_corners_and_merged_runs() -> None:
    symbol = symbol_of(payload_of("K-0212"))
    assert symbol.side == 41
    assert symbol.side_with_margin == 49
    # ISO/IEC 18004: each corner begins with seven dark modules in a row.
    first = [(run.column, run.length) for run in symbol.runs if run.row == 0]
    assert first[0] == (0, 7)
    assert first[-1] == (34, 7)
    for one, other in zip(symbol.runs, symbol.runs[1:], strict=False):
        assert one.row < other.row or one.column + one.length < other.column


def test_a_long_name_has_a_larger_symbol() -> None:
    assert symbol_of("drum of spent cupels, " * 9).side > 41
