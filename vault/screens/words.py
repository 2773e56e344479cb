"""The words of the window: one word per thing, the same everywhere."""

from __future__ import annotations

from vault.application.queries.answers import GroupBy, Showing
from vault.core.items import State

PROGRAM = "Metal on hand"

GROUPED_BY = {
    GroupBy.PLACE: "place",
    GroupBy.LOT: "lot",
    GroupBy.FORM: "form",
    GroupBy.METAL: "metal",
    GroupBy.OWNER: "owner",
    GroupBy.NOTHING: "nothing",
}
SHOWING = {
    Showing.ON_HAND: "on hand",
    Showing.RESIDUES: "residues on hand",
    Showing.GONE: "gone",
    Showing.ALL: "everything",
}
STATES = {
    State.ON_HAND: "on hand",
    State.USED: "used up in work",
    State.SENT: "sent out",
    State.RETURNED: "returned",
    State.SOLD: "sold",
    State.MISSING: "missing",
}

_FORM_PLURALS = {
    "bar": "bars",
    "button": "buttons",
    "bead": "beads",
    "sample": "samples",
    "sheet": "sheets",
    "concentrate": "concentrates",
    "spent cupel": "spent cupels",
    "crucible": "crucibles",
}

NO_PLACE = "no place noted"


def forms(form: str) -> str:
    """Give the word for things of a form: `bars`, `slag`."""
    return _FORM_PLURALS.get(form, form)


def items(number: int, told: str = "") -> str:
    """Say how many items: `1 item`, `64 items`; `told` is the number as the reader writes it."""
    return f"{told or number} {'item' if number == 1 else 'items'}"


def sentence_of(names: list[str]) -> str:
    """Join names as a sentence does: `Ag, Au and Pd`."""
    if len(names) <= 1:
        return "".join(names)
    return f"{', '.join(names[:-1])} and {names[-1]}"
