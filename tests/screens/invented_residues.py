"""Invented residues: drums, tubs and tins of a shop that does not exist."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date

import chart_samples
from screens.invented import LONG_NAME, figure
from screens.invented_choice import choice
from screens.invented_learning import learning
from screens.invented_record import record
from vault.application.queries.answers.items import BudgetShare
from vault.application.queries.answers.learning import Learning
from vault.application.queries.answers.residues import (
    Container,
    HouseFactor,
    NextAssay,
    Residues,
    ToSample,
)
from vault.application.queries.answers.safe import Worth
from vault.application.queries.answers.send_out import SendOut
from vault.application.queries.answers.series import Series
from vault.application.queries.answers.turnover import YearlyRecord
from vault.core.cautions import cautions_for
from vault.core.knowledge import Figure
from vault.screens.residues.questions import ResiduesQuestions

G = 1_000_000


def container(
    place: str,
    form: str,
    items: int,
    grams: float,
    *,
    ag: Figure | None = None,
    au: Figure | None = None,
    oldest: date = date(2030, 11, 2),
    owners: tuple[str, ...] = ("ours",),
    not_known: tuple[str, ...] = (),
    not_weighed: int = 0,
    left_out: dict[str, int] | None = None,
) -> Container:
    held = {metal: one for metal, one in (("Ag", ag), ("Au", au)) if one is not None}
    return Container(
        place=place,
        form=form,
        items=items,
        gross_ug=round(grams * G),
        not_weighed=not_weighed,
        contents=held,
        not_known=not_known,
        oldest=oldest,
        owners=owners,
        cautions=cautions_for(form),
        left_out=left_out or {},
    )


def few_containers() -> tuple[Container, ...]:
    return (
        container(
            "drum C",
            "spent cupel",
            64,
            21_700,
            ag=figure(312, 17),
            au=figure(2.1, 0.4),
            owners=("Pennant Bench School", "ours"),
            left_out={"Au": 2},
        ),
        container(
            "drum D",
            "slag",
            38,
            58_300,
            ag=figure(421, 25),
            au=figure(7.7, 0.7),
            oldest=date(2030, 8, 14),
            owners=(LONG_NAME,),
            not_weighed=3,
        ),
        container("tub 2", "slag", 22, 6_100, ag=figure(68, 9), oldest=date(2030, 9, 9)),
        container("tin 5", "dust", 5, 1_900, not_known=("D-0001", "D-0002", "D-0003")),
        container("", "crucible", 9, 0, ag=figure(11, 6), oldest=date(2031, 1, 20), not_weighed=9),
    )


def many_containers(number: int) -> tuple[Container, ...]:
    return tuple(
        container(f"drum {at:05}", "slag", at + 1, 100.0 * at + 1, ag=figure(at + 1, 1))
        for at in range(number)
    )


def whole(containers: tuple[Container, ...]) -> Residues:
    return Residues(
        totals={"Ag": figure(812, 34), "Au": figure(10.6, 0.9)},
        worth=Worth("EUR", 24310.0, 190.0, 9720.0, 2080.0, 170.0, date(2031, 3, 14), ("Pd",)),
        containers=containers,
        not_known=("D-0001", "D-0002", "D-0003"),
        budget={
            "Ag": (
                BudgetShare("the guess of what slag of smelting usually keeps here", None, 0.48),
                BudgetShare("how slag of smelting of entry 5 differs from the usual", 5, 0.27),
                BudgetShare("everything else, each of it smaller", None, 0.25),
            ),
            "Au": (BudgetShare("the assay of S-0049", 31, 0.9),),
        },
        factors=(
            HouseFactor("slag of smelting", "Ag", 0.01, 0.008, 0.0083, 0.0012, "no figure known"),
            HouseFactor("spent cupel", "Ag", 0.006, 0.003, 0.006, 0.003, "Beringer 1904"),
            HouseFactor("slag of smelting", "Au", 0.004, 0.0032, 0.004, 0.0032, "no figure known"),
        ),
        figures_of=412,
        left_out={"Au": 2},
    )


def nothing_priced(residues: Residues) -> Residues:
    worth = replace(residues.worth, amount=None, u=None, locked=None, locked_u=None)
    return replace(residues, worth=worth)


def to_sample(place: str, *, tag: str = "") -> ToSample:
    return ToSample(place, "slag", tag, 1 if tag else 38, 500 * G, 0.037)


def next_assay(*places: str, tag: str = "") -> NextAssay:
    """What to sample in these places: all of each, or the one item of this tag."""
    return NextAssay(
        metal="Ag",
        samples=tuple(to_sample(place, tag=tag) for place in places),
        before=figure(812, 34),
        after=figure(812, 21),
        not_known=(("tin 5", "dust"),),
    )


def not_yet() -> Residues:
    worth = Worth("EUR", None, None, None, None, None, None, ())
    return Residues({}, worth, (), (), {}, (), None)


@dataclass
class InventedResidues:
    """Answers what the screen asks, and keeps of which metal a series was asked."""

    residues: Residues = field(default_factory=lambda: whole(few_containers()))
    asked: list[str] = field(default_factory=list)
    record: YearlyRecord = field(default_factory=record)
    learning: Learning = field(default_factory=learning)
    next_assay: NextAssay = field(default_factory=lambda: next_assay("drum D"))
    choice: SendOut = field(default_factory=choice)
    choices_asked: list[tuple[tuple[str, str], ...]] = field(default_factory=list)

    def series(self, book: object, metal: str) -> Series:
        self.asked.append(metal)
        return replace(chart_samples.residue_series(), metal=metal)

    def questions(self) -> ResiduesQuestions:
        return ResiduesQuestions(
            residues=lambda _: self.residues,
            residue_series=self.series,
            learning=lambda _: self.learning,
            next_assay=lambda _, metal: self.next_assay if metal == "Ag" else None,
            choice=lambda _, keys, _numbers: self.choice_of(keys),
            yearly_record=lambda _: self.record,
        )

    def choice_of(self, keys: Sequence[tuple[str, str]]) -> SendOut:
        self.choices_asked.append(tuple(keys))
        return self.choice
