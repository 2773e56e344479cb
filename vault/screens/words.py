"""The words of the window: one word per thing, the same everywhere.

Nothing is imported here: these words are needed at the start, before any answer of a book is.
"""

from __future__ import annotations

PROGRAM = "Metal on hand"

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

# What is done first with what was received: the name of the process, and what a button says, with
# the letter that chooses it everywhere behind `&`.
FIRST_WORKS = (
    ("sort", "&Sort it"),
    ("burn off", "&Burn it off"),
    ("smelt", "S&melt it"),
    ("cupel", "&Cupel it"),
)
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
