"""The columns of what a shipment is made up of."""

from __future__ import annotations

from collections.abc import Sequence

from vault.application.queries.answers.shipments import PackedRow
from vault.core.knowledge import Figure
from vault.core.metals import ALL_SYMBOLS
from vault.screens.models.cells import Column, content_of, fine_column
from vault.screens.numbers import NOTHING, Numbers, day
from vault.screens.words import forms


def packed_columns(rows: Sequence[PackedRow]) -> tuple[Column[PackedRow], ...]:
    """Give the columns for these rows: one for each metal that any of them holds."""
    held = {metal for one in rows for metal in one.contents}
    return (
        Column("Goes", lambda row, _: row.name, "drum C", is_bold=True, share=2),
        Column("Holds", _holds, "4 870 spent cupels", told=_holds, share=3),
        Column("Weight", _weight, "1 000.0 kg", told=_weight_in_full, is_right=True),
        Column("Seal", lambda row, _: row.seal or NOTHING, "000417"),
        *(_metal_column(metal) for metal in ALL_SYMBOLS if metal in held),
    )


def holds_words(counts: Sequence[tuple[str, int]], numbers: Numbers) -> str:
    """Say what goes, form by form: `4 870 spent cupels, 12 slag`."""
    return ", ".join(
        f"{numbers.count(many)} {forms(form) if many > 1 else form}" for form, many in counts
    )


def _holds(row: PackedRow, numbers: Numbers) -> str:
    return holds_words(row.forms, numbers) or "nothing that could go"


def _weight(row: PackedRow, numbers: Numbers) -> str:
    if row.shipped_ug is None and row.not_weighed == row.items:
        return "not weighed"
    return numbers.total_weight(row.weight_ug)


def _weight_in_full(row: PackedRow, numbers: Numbers) -> str:
    """Tell both weights, that of the whole on the scale and that of the items one by one."""
    told = []
    if row.is_container and row.shipped_ug is not None:
        when = "now" if row.weighed_on is None else f"on {day(row.weighed_on)}"
        told.append(f"On the scale {when}, without the container: {numbers.weight(row.shipped_ug)}")
    if row.tare_ug is not None:
        told.append(f"The empty container: {numbers.weight(row.tare_ug)}")
    weighed = row.items - row.not_weighed
    told.append(f"Its items one by one: {numbers.weight(row.book_ug)}" if weighed else "")
    if row.not_weighed:
        told.append(f"Not weighed by themselves: {numbers.count(row.not_weighed)}")
    return "\n".join(one for one in told if one)


def _metal_column(metal: str) -> Column[PackedRow]:
    def of(row: PackedRow) -> Figure | None:
        return content_of(row.contents, metal)

    return fine_column(metal, of)
