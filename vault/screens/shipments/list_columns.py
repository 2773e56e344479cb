"""The columns of the list of shipments, and the words for how far one is."""

from __future__ import annotations

from vault.application.queries.answers.shipments import ShipmentRow, Way
from vault.screens.models.cells import Column
from vault.screens.numbers import Numbers, day
from vault.screens.words import items as items_words


def list_columns() -> tuple[Column[ShipmentRow], ...]:
    """Give the columns."""
    return (
        Column("Number", lambda row, _: row.ref, "V-2031-0001", lambda row: row.ref, is_bold=True),
        Column(
            "To",
            lambda row, _: row.party,
            "Lowland Residue",
            lambda row: row.party.casefold(),
            share=3,
        ),
        Column("State", lambda row, _: way_words(row), "on the way, day 30 of 30", _rank, share=2),
        Column("Sent", lambda row, _: day(row.sent_on), "14 Mar 2031", lambda row: row.sent_on),
        Column("Goes", _goes, "drum C, 4 870 items", lambda row: row.items, told=_goes, share=3),
        Column("Weight", _weight, "1 000.0 kg", lambda row: row.weight_ug, is_right=True),
    )


def way_words(row: ShipmentRow) -> str:
    """Say how far a shipment is, with its days: `on the way, day 12 of 30`."""
    if row.way is Way.SETTLED:
        return f"settled after {_days(row.days)}"
    if row.way is Way.IN_PART:
        return "settled in part"
    if row.expected is None:
        return f"on the way, {_days(row.days)}"
    if row.way is Way.LATE:
        return f"{_days(row.days - row.expected)} late"
    return f"on the way, day {row.days} of {row.expected}"


def way_in_full(row: ShipmentRow) -> str:
    """Say the same in a sentence."""
    sent = f"Sent on {day(row.sent_on)}"
    if row.settled_on is not None:
        last = f"the last settlement came on {day(row.settled_on)}, after {_days(row.days)}"
        rest = "; not all of it is agreed yet" if row.way is Way.IN_PART else ""
        return f"{sent}; {last}{rest}."
    out = f"{sent}, {_days(row.days)} ago"
    if row.expected is None:
        return f"{out}. Its terms do not say when the settlement is to come."
    if row.way is Way.LATE:
        return (
            f"{out}; by its terms the settlement comes within {_days(row.expected)}. Ask "
            f"{row.party} where it is."
        )
    return f"{out}; by its terms the settlement comes within {_days(row.expected)}."


def _days(number: int) -> str:
    return "1 day" if number == 1 else f"{number} days"


def _rank(row: ShipmentRow) -> tuple[int, int]:
    return (list(Way).index(row.way), -row.days)


def _goes(row: ShipmentRow, numbers: Numbers) -> str:
    many = items_words(row.items, numbers.count(row.items))
    return ", ".join((*row.containers, many))


def _weight(row: ShipmentRow, numbers: Numbers) -> str:
    if not row.weight_ug:
        return "not weighed"
    return numbers.total_weight(row.weight_ug)
