"""Stock over time."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, slots=True)
class Series:
    """Stock of one metal over time.

    Attributes:
        days: rising; the same for every form.
        forms: names, in stacking order.
        residues: which of the forms are residues.
        fine_g: one row of grams per form.
        total_g, u_g: the total and its standard uncertainty, as now believed.
        as_known_g: the total as it was known on that day (figures as reported), None before the
            first report.
        marks: days worth a line across the chart, with words ("drum A sent").
    """

    metal: str
    days: tuple[date, ...]
    forms: tuple[str, ...]
    residues: tuple[bool, ...]
    fine_g: tuple[tuple[float, ...], ...]
    total_g: tuple[float, ...]
    u_g: tuple[float, ...]
    as_known_g: tuple[float | None, ...] = ()
    marks: tuple[tuple[date, str], ...] = ()
