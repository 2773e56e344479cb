"""The symbol of a tag: which modules of its QR code are dark, as runs to be drawn."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby

# Level H puts a soiled third of the code words right. A code no larger than it need be would hold
# a tag in 21 modules a side; 41 spread the same tag over more and smaller code words, of which
# a drop of dirt spoils fewer. Measured, see decision 20.
_LEVEL = "H"
_LEAST_VERSION = 6
# The light margin that the standard asks for on each side, in modules (ISO/IEC 18004).
QUIET_MODULES = 4
# Modules on each side, with the margin, of a symbol that carries a tag of our own making.
USUAL_MODULES = 17 + 4 * _LEAST_VERSION + 2 * QUIET_MODULES


@dataclass(frozen=True, slots=True)
class Run:
    """Dark modules beside each other: the row, the first column, and how many."""

    row: int
    column: int
    length: int


@dataclass(frozen=True, slots=True)
class Symbol:
    """A QR code without its light margin.

    Attributes:
        side: modules on each side.
        runs: the dark ones, row by row, merged so that no hairline lies between them.
    """

    side: int
    runs: tuple[Run, ...]

    @property
    def side_with_margin(self) -> int:
        """Modules on each side with the light margin."""
        return self.side + 2 * QUIET_MODULES


def symbol_of(payload: str) -> Symbol:
    """Give the QR code that carries a payload.

    Raises:
        ValueError: when the payload is longer than any QR code holds.
    """
    # It brings half of Python's network with it, which the start would feel.
    import segno  # noqa: PLC0415 - see the line above

    try:
        code = segno.make(payload, error=_LEVEL, version=_LEAST_VERSION, boost_error=False)
    except segno.DataOverflowError:
        code = segno.make(payload, error=_LEVEL, micro=False, boost_error=False)
    rows = [[bool(module) for module in row] for row in code.matrix]
    return Symbol(len(rows), tuple(run for at, row in enumerate(rows) for run in _runs(at, row)))


def _runs(at: int, row: list[bool]) -> list[Run]:
    runs = []
    column = 0
    for is_dark, modules in groupby(row):
        length = len(list(modules))
        if is_dark:
            runs.append(Run(at, column, length))
        column += length
    return runs
