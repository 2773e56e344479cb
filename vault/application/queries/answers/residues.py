"""What is locked up, where, and what the house keeps."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from vault.application.queries.answers.items import BudgetShare
from vault.application.queries.answers.safe import Worth
from vault.application.queries.answers.seals import SealFacts
from vault.core.knowledge import Figure


@dataclass(frozen=True, slots=True)
class Container:
    """A drum, tub, tin or rack with the residues of one form in it.

    Attributes:
        not_known: tags of items of which no metal is known at all.
        left_out: by metal, how many further items may hold it and are in no figure of it.
        seal: that is on the container, None where none is.
    """

    place: str
    form: str
    items: int
    gross_ug: int
    not_weighed: int
    contents: Mapping[str, Figure]
    not_known: tuple[str, ...]
    oldest: date
    owners: tuple[str, ...]
    cautions: tuple[str, ...]
    left_out: Mapping[str, int] = field(default_factory=dict)
    seal: SealFacts | None = None


@dataclass(frozen=True, slots=True)
class HouseFactor:
    """What residues of one kind keep of a metal, as first guessed and as now believed."""

    kind: str
    metal: str
    guess: float
    guess_u: float
    now: float
    now_u: float
    source: str


@dataclass(frozen=True, slots=True)
class Residues:
    """What is still locked up.

    Attributes:
        not_known: tags of items of which no metal is known at all.
        budget: by metal, what the doubt about its total comes from, largest first.
        figures_of: number of the entry up to which this holds; None where it is not worked out.
        left_out: by metal, how many further items may hold it and are in no total of it.
    """

    totals: Mapping[str, Figure]
    worth: Worth
    containers: tuple[Container, ...]
    not_known: tuple[str, ...]
    budget: Mapping[str, tuple[BudgetShare, ...]]
    factors: tuple[HouseFactor, ...]
    figures_of: int | None
    left_out: Mapping[str, int] = field(default_factory=dict)
