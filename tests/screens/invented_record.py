"""An invented yearly record of residues: cupels, slag of which some was never weighed, dust."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from fractions import Fraction

from vault.application.queries.answers.turnover import YearlyRecord, YearOfRecord
from vault.application.reports.residue_record import KeptContainer, ResidueRecord
from vault.core.cautions import LEAD, SILICA
from vault.core.turnover import Amount, ClassYear, Judgement, TurnoverRule

TODAY = date(2031, 3, 14)
HEAD = "9f2c41d07be86a35" * 4
RULE = TurnoverRule(Fraction(3, 4), "Vestland", "waste rule of 2029, section 12")


def kilos(number: float, items: int = 1, not_weighed: int = 0) -> Amount:
    return Amount(items, round(number * 1_000_000_000), not_weighed)


def cupels_of_2030() -> ClassYear:
    return ClassYear(
        "spent cupel", 2030, date(2030, 12, 31),
        opening=kilos(12.0, 30), gained=kilos(14.2, 40), moved_on=kilos(12.0, 31),
        closing=kilos(14.2, 39), sent=kilos(12.0, 31),
    )  # fmt: skip


def cupels_of_2031() -> ClassYear:
    return ClassYear(
        "spent cupel", 2031, TODAY,
        opening=kilos(14.2, 39), gained=kilos(9.6, 30), moved_on=kilos(2.1, 5),
        closing=kilos(21.7, 64), sent=kilos(1.1, 3), worked=kilos(1.0, 2),
    )  # fmt: skip


def slag_of_2031() -> ClassYear:
    return ClassYear(
        "slag", 2031, TODAY,
        opening=kilos(4.0, 9, 3), gained=kilos(2.0, 5), moved_on=kilos(3.5, 6),
        closing=kilos(1.9, 6, 3), sent=kilos(3.5, 6), returned=kilos(0.4), missing=kilos(0.1),
        reshaped=kilos(0.1, 0),
    )  # fmt: skip


def record(rule: TurnoverRule | None = RULE) -> YearlyRecord:
    ruled = YearlyRecord(
        classes={
            "slag": (YearOfRecord(slag_of_2031(), Judgement.NOT_SAID, 0, 292),),
            "spent cupel": (
                YearOfRecord(cupels_of_2030(), Judgement.MET, 0, 0),
                YearOfRecord(cupels_of_2031(), Judgement.OPEN, 8_550_000_000, 292),
            ),
        },
        oldest={"slag": date(2030, 8, 14), "spent cupel": date(2030, 11, 2)},
        rule=rule,
        day=TODAY,
    )
    if rule is not None:
        return ruled
    classes = {
        form: tuple(replace(one, judgement=None, still_ug=0) for one in years)
        for form, years in ruled.classes.items()
    }
    return replace(ruled, classes=classes)


def residue_record(rule: TurnoverRule | None = RULE) -> ResidueRecord:
    return ResidueRecord(
        shop="Tidewater Melt Shop",
        entry=412,
        head=HEAD,
        containers=(
            KeptContainer("", "crucible", Amount(2, 0, 2), date(2031, 1, 20)),
            KeptContainer("drum C", "spent cupel", kilos(21.7, 64), date(2030, 11, 2)),
            KeptContainer("drum D", "slag", kilos(1.9, 6, 3), date(2030, 8, 14)),
        ),
        years=record(rule),
        cautions=(LEAD, SILICA),
    )
