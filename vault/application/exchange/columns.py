"""The columns of the daybook file, and how the header row of a given file lays them out."""

from __future__ import annotations

import difflib
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from operator import itemgetter

from vault.application.exchange.faults import RowFault
from vault.core.metals import ALL_SYMBOLS, SYMBOLS
from vault.core.numerals import shortened

REQUIRED = ("entry", "when", "by", "act")
BEFORE_METALS = (
    *REQUIRED,
    "process",
    "role",
    "tag",
    "form",
    "lot",
    "party",
    "terms",
    "place",
    "gross_g",
    "gross_u_g",
)
AFTER_METALS = ("how", "ref", "amount", "currency", "note")
# Written only where an entry uses them, so that a book without them has the file it always had.
WHEN_USED = ("tare_g", "nominal_g", "hold_until", "scale", "witness", "furnace")
# In the order in which `Layout.cells_of` gives them.
PLAIN_COLUMNS = BEFORE_METALS + AFTER_METALS + WHEN_USED
_METAL_COLUMNS = tuple(name for symbol in ALL_SYMBOLS for name in (symbol, f"{symbol}_u"))
_NAMES = PLAIN_COLUMNS + _METAL_COLUMNS
_BY_FOLDED = {name.casefold(): name for name in _NAMES}


def header_for(metals: Sequence[str], used: Iterable[str] = ()) -> list[str]:
    """Give the header of a daybook that has these metals and uses these of `WHEN_USED`."""
    said = [name for symbol in metals for name in (symbol, f"{symbol}_u")]
    later = set(used)
    return [*BEFORE_METALS, *said, *AFTER_METALS, *(one for one in WHEN_USED if one in later)]


def metals_to_write(used: set[str]) -> list[str]:
    """Give the metals that get columns: the four, and the rarer ones that are used."""
    return [symbol for symbol in ALL_SYMBOLS if symbol in SYMBOLS or symbol in used]


# From left to right, as a daybook of all metals has them; "" is the row as a whole.
_RANKS = {name: at for at, name in enumerate(("", *header_for(ALL_SYMBOLS, WHEN_USED)))}


def place_of(fault: RowFault) -> tuple[int, int]:
    """Give the key that sorts faults as an eye goes over the sheet."""
    return fault.row, _RANKS.get(fault.column, -1)


@dataclass(frozen=True, slots=True)
class Layout:
    """Where each column of one file stands.

    Attributes:
        width: number of cells that a row has.
        unnamed: places of header cells that are empty; nothing may stand under them.
        metals: symbols of the metals that have columns.
        cells_of: picks the plain columns from a row, in the order of `PLAIN_COLUMNS`.
        contents_of: picks fineness and uncertainty of each metal in `metals`, in turn.
    """

    width: int
    unnamed: tuple[int, ...]
    metals: tuple[str, ...]
    cells_of: Callable[[Sequence[str]], tuple[str, ...]]
    contents_of: Callable[[Sequence[str]], tuple[str, ...]]

    def fitted(self, row: list[str]) -> list[str]:
        """Give a row of exactly the width, and one empty cell for the columns that are missing."""
        if len(row) == self.width:
            return [*row, ""]
        return [*row[: self.width], *[""] * (max(0, self.width - len(row)) + 1)]

    def strays_of(self, row: list[str]) -> list[str]:
        """List what stands in cells that belong to no column."""
        beyond = row[self.width :]
        under = [row[at] for at in self.unnamed if at < len(row)]
        return [cell for cell in [*beyond, *under] if cell.strip()]


def layout_of(header: Sequence[str]) -> tuple[Layout | None, list[RowFault]]:
    """Read a header row; without a layout nothing below it can be read."""
    names = [cell.strip() for cell in header]
    while names and not names[-1]:
        names.pop()
    places: dict[str, int] = {}
    faults: list[RowFault] = []
    for at, written in enumerate(names):
        name = _BY_FOLDED.get(written.casefold())
        if name is None:
            if written:
                faults.append(RowFault(1, shortened(written), _unknown(written)))
        elif name in places:
            faults.append(RowFault(1, name, f"The column “{name}” stands twice; keep one."))
        else:
            places[name] = at
    missing = [name for name in REQUIRED if name not in places]
    if len(missing) > len(REQUIRED) // 2:
        return None, [_no_header(header)]
    faults += [
        RowFault(1, name, f"The column “{name}” is missing; every daybook needs it.")
        for name in missing
    ]
    return None if missing else _laid_out(names, places), faults


def _laid_out(names: list[str], places: dict[str, int]) -> Layout:
    absent = len(names)
    metals = tuple(
        symbol for symbol in ALL_SYMBOLS if symbol in places or f"{symbol}_u" in places
    ) or (ALL_SYMBOLS[0],)
    said = [name for symbol in metals for name in (symbol, f"{symbol}_u")]
    return Layout(
        width=absent,
        unnamed=tuple(at for at, name in enumerate(names) if not name),
        metals=metals,
        cells_of=itemgetter(*(places.get(name, absent) for name in PLAIN_COLUMNS)),
        contents_of=itemgetter(*(places.get(name, absent) for name in said)),
    )


def _unknown(written: str) -> str:
    near = difflib.get_close_matches(written[:40].casefold(), _BY_FOLDED, n=1, cutoff=0.5)
    hint = f"did you mean “{_BY_FOLDED[near[0]]}”?" if near else "take it out, or use “note”."
    return f"A daybook has no column “{shortened(written)}”; {hint}"


def _no_header(header: Sequence[str]) -> RowFault:
    whole = ",".join(header)
    for sign, name in ((";", "semicolons"), ("\t", "tabs"), ("|", "upright bars")):
        if whole.count(sign) >= len(REQUIRED) - 1:
            return RowFault(
                1,
                "",
                f"This file separates its cells by {name}; save it as CSV separated by commas, "
                "with the decimal point.",
            )
    return RowFault(
        1,
        "",
        f"This is no header of a daybook, it reads “{shortened(whole)}”; the first row names the "
        f"columns: {', '.join(REQUIRED)} and the others.",
    )
