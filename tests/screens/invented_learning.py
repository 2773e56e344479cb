"""Invented factors of a house: learnt over two years, one of them drifting."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from vault.application.queries.answers.learning import (
    FactorDrift,
    FactorMark,
    FactorPoint,
    Learning,
    LearntFactor,
)

TODAY = date(2031, 3, 14)
_MONTH_ENDS = (
    date(2030, 6, 30),
    date(2030, 7, 31),
    date(2030, 8, 31),
    date(2030, 9, 30),
    date(2030, 10, 31),
    date(2030, 11, 30),
    date(2030, 12, 31),
    date(2031, 1, 31),
    date(2031, 2, 28),
)
_BELIEVED = (0.0066, 0.0071, 0.0078, 0.0080, 0.0081, 0.0083, 0.0082, 0.0083, 0.0083)
_DOUBTS = (0.0033, 0.0024, 0.0014, 0.0010, 0.0008, 0.0006, 0.0006, 0.0005, 0.0005)
_MARKS = (
    FactorMark(date(2030, 7, 20), "assay of C-0040", 140, is_settlement=False),
    FactorMark(date(2030, 8, 12), "V-0003 settled", 171, is_settlement=True),
    FactorMark(date(2030, 11, 5), "V-0005 settled", 260, is_settlement=True),
)


def learnt(kind: str, metal: str) -> LearntFactor:
    points = [
        FactorPoint(day, share, u)
        for day, share, u in zip(_MONTH_ENDS, _BELIEVED, _DOUBTS, strict=True)
    ]
    return LearntFactor(
        kind=kind,
        metal=metal,
        guess=0.0066,
        guess_u=0.0033,
        source="Beringer 1904",
        points=(*points, FactorPoint(TODAY, 0.0083, 0.0005)),
        marks=_MARKS,
        measured=24,
        is_enough=True,
        drift=None,
    )


def drifting(kind: str, metal: str) -> LearntFactor:
    since = date(2030, 12, 12)
    drift = FactorDrift(
        since=since,
        entry=312,
        before=FactorPoint(since, 0.0086, 0.0005),
        after=FactorPoint(since, 0.0142, 0.0011),
        chance=0.0004,
        measured=24,
    )
    return replace(learnt(kind, metal), drift=drift)


def learning() -> Learning:
    return Learning(
        (
            learnt("slag of smelting", "Ag"),
            learnt("spent cupel", "Ag"),
            learnt("slag of smelting", "Au"),
        )
    )
