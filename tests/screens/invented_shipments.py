"""Invented papers of shipments and own estimates, to be drawn."""

from __future__ import annotations

from datetime import date

from builders import mass
from vault.application.queries.answers.items import BudgetShare
from vault.application.reports.shipment import (
    OwnEstimate,
    PackedForm,
    PackedPart,
    ShipmentPapers,
)
from vault.core.cautions import HAZARDS, LEAD, TRANSPORT
from vault.core.knowledge import Figure, How

HEAD = "9f2c41d07be86a35" * 4
DAY = date(2031, 3, 14)


def drum(name: str = "drum C", *, cupels: int = 4870, seal: str = "000417") -> PackedPart:
    return PackedPart(
        name=name,
        is_container=True,
        forms=(
            PackedForm("slag", 1, mass("412 g"), 0),
            PackedForm("spent cupel", cupels, mass("172.4 kg"), 12),
        ),
        net=mass("183.4 kg"),
        tare=mass("11.2 kg"),
        weighed_on=DAY,
        seal=seal,
    )


def single(tag: str = "S-0212", gross: str = "1.2 kg") -> PackedPart:
    form = PackedForm("slag", 1, mass(gross) if gross else None, int(not gross))
    return PackedPart(
        name=tag, is_container=False, forms=(form,), net=None, tare=None, weighed_on=None, seal=""
    )


def papers(
    *parts: PackedPart, party: str = "Lowland Residue Works", struck_by: int | None = None
) -> ShipmentPapers:
    parts = parts or (drum(), single(), single("S-0213", ""))
    weights = [one.weight for one in parts if one.weight is not None]
    return ShipmentPapers(
        shop="Tidewater Melt Shop",
        entry=412,
        day=DAY,
        by="Imke",
        ref="V-0007",
        party=party,
        terms="by the kilo (version 2)",
        note="Tail lift; ring the bell at the yard.",
        parts=parts,
        total=sum(weights[1:], weights[0]),
        hazards=tuple((form, HAZARDS[form]) for form in ("slag", "spent cupel")),
        cautions=(LEAD, TRANSPORT),
        head=HEAD,
        struck_by=struck_by,
    )


def own(*, metals: tuple[str, ...] = ("Ag", "Au")) -> OwnEstimate:
    figure = Figure(812_000_000, 34_000_000, How.WORKED_OUT)
    little = Figure(3_100_000, 400_000, How.WORKED_OUT)
    return OwnEstimate(
        papers=papers(),
        parts=(dict.fromkeys(metals, figure), {metals[0]: little}, {}),
        whole=dict.fromkeys(metals, figure),
        left_out={"Au": 3},
        not_known=1,
        budget={
            "Ag": (BudgetShare("the guess of what spent cupel usually keeps here", None, 0.62),)
        },
        figures_of=415,
    )
