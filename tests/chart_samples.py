"""Series of stock with invented figures, for the tests of charts."""

from __future__ import annotations

import math
import random
from datetime import date, timedelta

from vault.application.queries.answers.series import Series

FIRST = date(2029, 3, 1)


def stock_series(days: int = 120, *, every: int = 7, seed: int = 3, metal: str = "Ag") -> Series:
    """A shop's stock by form: bars come and go, residues pile up until a drum is sent."""
    chance = random.Random(seed)
    bars, buttons, slag, cupels = 900.0, 300.0, 120.0, 60.0
    rows: list[tuple[float, float, float, float]] = []
    sent = days * 2 // 5
    for day in range(days):
        bars = max(0.0, bars + chance.uniform(-60, 80) - (700 if chance.random() < 0.03 else 0))
        buttons = max(0.0, buttons + chance.uniform(-50, 52))
        slag += chance.uniform(0, 6)
        cupels += chance.uniform(0, 4)
        if day == sent:
            slag, cupels = 10.0, 5.0
        rows.append((bars, buttons, slag, cupels))
    total = tuple(sum(row) for row in rows)
    return Series(
        metal=metal,
        days=tuple(FIRST + timedelta(days=every * day) for day in range(days)),
        forms=("bar", "button", "slag", "spent cupel"),
        residues=(False, False, True, True),
        fine_g=tuple(tuple(row[form] for row in rows) for form in range(4)),
        total_g=total,
        u_g=tuple(0.1 * (row[2] + row[3]) + 2 for row in rows),
        as_known_g=tuple(
            None if day < 10 else one * (1.03 if day < sent else 1.0)
            for day, one in enumerate(total)
        ),
        marks=(
            (FIRST + timedelta(days=every * sent), "drum A sent, settled at 96 % of estimate"),
            (FIRST + timedelta(days=every * (days - 2)), "counted"),
        ),
    )


def residue_series(days: int = 104) -> Series:
    """What is locked up in residues, with a doubt that grows with it."""
    stock = stock_series(days)
    total = tuple(a + b for a, b in zip(stock.fine_g[2], stock.fine_g[3], strict=True))
    return Series(
        metal="Ag",
        days=stock.days,
        forms=("slag", "spent cupel"),
        residues=(True, True),
        fine_g=stock.fine_g[2:],
        total_g=total,
        u_g=tuple(one * 0.14 for one in total),
        marks=stock.marks[:1],
    )


def long_series(points: int, forms: int = 8) -> Series:
    """A series of very many days, for pace: waves upon waves."""
    rows = tuple(
        tuple(50 + 40 * math.sin(day / (300 + 90 * form)) for day in range(points))
        for form in range(forms)
    )
    total = tuple(sum(column) for column in zip(*rows, strict=True))
    first = date(1800, 1, 1)
    return Series(
        metal="Ag",
        days=tuple(first + timedelta(days=day) for day in range(points)),
        forms=tuple(f"form {form}" for form in range(forms)),
        residues=tuple(form >= forms - 2 for form in range(forms)),
        fine_g=rows,
        total_g=total,
        u_g=tuple(3.0 for _ in total),
    )
