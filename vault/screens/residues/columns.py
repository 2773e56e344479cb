"""The columns of the table of containers, and the words for a container."""

from __future__ import annotations

from collections.abc import Sequence

from vault.application.queries.answers.residues import Container, Residues
from vault.core.cautions import LEAD, MERCURY, SILICA
from vault.core.knowledge import Figure
from vault.core.metals import ALL_SYMBOLS
from vault.screens.models.cells import Column, content_of, fine_column
from vault.screens.numbers import NOTHING, Numbers, day
from vault.screens.words import NO_PLACE, forms
from vault.screens.words import items as items_words

_CARE = {LEAD: "lead", SILICA: "silica", MERCURY: "mercury"}


def container_columns(containers: Sequence[Container]) -> tuple[Column[Container], ...]:
    """Give the columns for these containers: one for each metal that any of them holds."""
    held = {metal for one in containers for metal in one.contents}
    return (
        Column("Container", _place, "safe, top shelf", _place_key, is_bold=True, share=3),
        Column("Holds", _holds, "spent cupels", lambda one: one.form, share=3),
        Column("Items", _items, "10 000", lambda one: one.items, is_right=True, share=1),
        Column("Weight", _weight, "10 000.0 kg", lambda one: one.gross_ug, is_right=True, share=1),
        *(_metal_column(metal) for metal in ALL_SYMBOLS if metal in held),
        Column("Oldest", _oldest, "28 Nov 2031", lambda one: one.oldest, share=1),
        Column("Whose", _whose, "Pennant Bench", lambda one: one.owners, share=4),
        Column("Care", _care, "mercury", _care_key, told=_cautions, wants_attention=True),
    )


def place_of(container: Container) -> str:
    """Give where a container is."""
    return container.place or NO_PLACE


def care_words(cautions: Sequence[str]) -> str:
    """Name the dangers of a container, a word for each."""
    return ", ".join(_CARE.get(one, one.partition(".")[0].lower()) for one in cautions)


def weight_words(container: Container, numbers: Numbers) -> str:
    """Say what a container weighs, and how much of it was never on the scale."""
    if container.not_weighed == container.items:
        return "not weighed"
    weighed = numbers.total_weight(container.gross_ug)
    missing = numbers.count(container.not_weighed)
    return f"{weighed}, {missing} not weighed" if container.not_weighed else weighed


def not_known_words(of: Container | Residues, numbers: Numbers) -> str:
    """Say what is not known and so not counted; empty where all is known."""
    whole = len(of.not_known)
    told = [f"every metal of {items_words(whole, numbers.count(whole))}"] if whole else []
    for metal, many in of.left_out.items():
        more = "more" if whole else ""
        told.append(f"{metal} of {items_words(many, numbers.count(many))} {more}".strip())
    return f"Not known and not counted: {', '.join(told)}." if told else ""


def _metal_column(metal: str) -> Column[Container]:
    def of(container: Container) -> Figure | None:
        return content_of(container.contents, metal)

    return fine_column(metal, of)


def _place(container: Container, numbers: Numbers) -> str:
    del numbers
    return place_of(container)


def _place_key(container: Container) -> str:
    return place_of(container).casefold()


def _holds(container: Container, numbers: Numbers) -> str:
    del numbers
    return forms(container.form)


def _items(container: Container, numbers: Numbers) -> str:
    return numbers.count(container.items)


def _weight(container: Container, numbers: Numbers) -> str:
    if container.not_weighed == container.items:
        return "not weighed"
    return numbers.total_weight(container.gross_ug)


def _oldest(container: Container, numbers: Numbers) -> str:
    del numbers
    return day(container.oldest)


def _whose(container: Container, numbers: Numbers) -> str:
    del numbers
    return ", ".join(container.owners) or NOTHING


def _care(container: Container, numbers: Numbers) -> str:
    del numbers
    return care_words(container.cautions)


def _care_key(container: Container) -> str | None:
    return care_words(container.cautions) or None


def _cautions(container: Container, numbers: Numbers) -> str:
    del numbers
    return "\n".join(container.cautions)
