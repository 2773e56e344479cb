"""The one table of a performance run, its lines in the order of the targets.

A run that measured every target keeps its table in `results.md` and puts it into DEVELOPERS; run
this file to put a table that is kept already into DEVELOPERS.
"""

from __future__ import annotations

import os
import platform
import re
import statistics
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime
from importlib.metadata import version
from pathlib import Path

from sqlcipher3 import dbapi2

RESULTS = Path(__file__).with_name("results.md")
DEVELOPERS = Path(__file__).resolve().parents[2] / "DEVELOPERS.md"
HEADINGS = ("what", "size", "measured", "baseline, same run", "ratio", "target", "met", "remark")
LINES = 12
# In DEVELOPERS: the line that says where and when, the headings, and all that follows of the table.
_TOLD = re.compile(
    r"^[^|\n]+\n\n" + re.escape(f"| {' | '.join(HEADINGS)} |") + r"\n(?:\|.*\n)+", re.MULTILINE
)


@dataclass(frozen=True, slots=True)
class Measured:
    """One line: what was measured, and what it is held against.

    Attributes:
        place: which target it belongs to, from 1 upwards; several lines may share one.
        what, size: what was done, with how much.
        measured: as people read it.
        baseline: the other way of the same run; empty where the target is no ratio.
        ratio: measured by baseline; None where the target is no ratio.
        target: as agreed; empty for a line that only explains another.
        met: whether it is; None where there is no target.
        remark: why not, or what a reader should know.
    """

    place: int
    what: str
    size: str
    measured: str
    baseline: str = ""
    ratio: float | None = None
    target: str = ""
    met: bool | None = None
    remark: str = ""

    def cells(self) -> tuple[str, ...]:
        """Give the cells in the order of the headings."""
        met = "" if self.met is None else ("met" if self.met else "**not met**")
        ratio = "" if self.ratio is None else ratio_words(self.ratio)
        told = (self.what, self.size, self.measured, self.baseline)
        return (*told, ratio, self.target, met, self.remark)


@dataclass(slots=True)
class Table:
    """Gathers the lines of one run."""

    lines: list[Measured] = field(default_factory=list)

    def add(self, line: Measured) -> None:
        """Take one more line, and say it at once: a long run should not be silent."""
        self.lines.append(line)
        print(f"\n{_row(line.cells())}", flush=True)

    @property
    def is_whole(self) -> bool:
        """Whether every target was measured."""
        return {line.place for line in self.lines} == set(range(1, LINES + 1))

    def to_markdown(self) -> str:
        """Give the table under a line that says where and when."""
        rows = [line.cells() for line in sorted(self.lines, key=lambda one: one.place)]
        return "\n".join([surroundings(), "", _row(HEADINGS), "|---" * len(HEADINGS) + "|",
                          *map(_row, rows), ""])  # fmt: skip


def keep(told: str) -> None:
    """Keep a table beside the tests and put it into DEVELOPERS."""
    RESULTS.write_text(told, encoding="utf-8")
    DEVELOPERS.write_text(put_into(DEVELOPERS.read_text(encoding="utf-8"), told), encoding="utf-8")


def put_into(document: str, told: str) -> str:
    """Put a table in the place of the one before it, and leave all else as it is.

    Raises:
        ValueError: when the document has no such table, or several.
    """
    found, places = _TOLD.subn(lambda _: f"{told.rstrip()}\n", document)
    if places != 1:
        raise ValueError(f"the document has {places} tables of performance; it should have one")
    return found


def _row(cells: tuple[str, ...]) -> str:
    return f"| {' | '.join(cells)} |"


def ratio_words(ratio: float) -> str:
    """Give a ratio to two digits; a small one as a part."""
    if ratio <= 0.1:
        return f"1/{1 / ratio:.0f}"
    return f"{ratio:.2g}" if ratio < 10 else f"{ratio:.0f}"


def spaced(count: int) -> str:
    """Give a count with its thousands apart."""
    return f"{count:,}".replace(",", " ")


def time_words(seconds: float) -> str:
    """Give a time in the unit that people would say it in."""
    if seconds >= 1.0:
        return f"{seconds:.1f} s"
    return f"{1000 * seconds:.0f} ms" if seconds >= 0.02 else f"{1000 * seconds:.2g} ms"


def seconds_of(ask: Callable[[], object], times: int = 5) -> float:
    """Give the median of the times that something takes."""
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        ask()
        taken.append(time.perf_counter() - start)
    return statistics.median(taken)


def surroundings() -> str:
    """Say on which machine, when and with which versions the run was done."""
    packages = ("PySide6-Essentials", "SQLAlchemy", "numpy", "scipy")
    versions = ", ".join(f"{name} {version(name)}" for name in packages)
    load = " / ".join(f"{one:.1f}" for one in os.getloadavg()) if hasattr(os, "getloadavg") else "?"
    return (
        f"{datetime.now(UTC):%d %B %Y}, {os.cpu_count()} cores ({_processor()}), "
        f"{platform.system()} {platform.release()}, Python {platform.python_version()}, "
        f"SQLite {dbapi2.sqlite_version}, {versions}; load of the machine over 1 / 5 / 15 "
        f"minutes at the end {load}."
    )


def _processor() -> str:
    told = Path("/proc/cpuinfo")
    if told.exists():
        for line in told.read_text(encoding="utf-8").splitlines():
            if line.startswith("model name"):
                return line.partition(":")[2].strip()
    return platform.processor() or platform.machine()


if __name__ == "__main__":
    keep(RESULTS.read_text(encoding="utf-8"))
