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
class ToSample:
    """What is to be sampled: everything of one form in a container, or one item.

    Attributes:
        place, form: the container, or where the item lies.
        tag: the item; empty where all of the container is blended.
        items: how many things are blended.
        sample_ug: how much is taken.
        share_u: relative standard uncertainty of what sample and assay find.
    """

    place: str
    form: str
    tag: str
    items: int
    sample_ug: int
    share_u: float


@dataclass(frozen=True, slots=True)
class NextAssay:
    """The assay that would make the total of all residues surer by most for what it costs.

    Attributes:
        metal: of which metal.
        samples: one thing, or two that are only worth it together; empty where none helps.
        before, after: the total now; its estimate is the same afterwards, its ± is what is
            expected then.
        not_known: containers and forms of which nothing is known: only an assay can tell, and
            what it would tell is in no figure.
        cost: of taking and assaying the samples; nothing where none helps.
        worth: the loss that it would save on average when it is decided what to do with the
            containers that the samples are of; None where that cannot be told, for want of a
            price or of terms.
        currency: of both.
    """

    metal: str
    samples: tuple[ToSample, ...]
    before: Figure
    after: Figure
    not_known: tuple[tuple[str, str], ...]
    cost: float = 0.0
    worth: float | None = None
    currency: str = ""


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
