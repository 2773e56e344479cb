"""What a choice about residues rests on: what they hold, which terms take them, what is made."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from vault.application.book import Book
from vault.application.circumstances import circumstances, makeup_of_residues
from vault.application.reckoned import Reckoned
from vault.application.terms_sheets import valid_sheets
from vault.core.items import Item
from vault.core.terms_sheets import TermsSheet
from vault.reckoning.choices import Choice, Making, Residues, Setting
from vault.reckoning.circumstances import Circumstances
from vault.reckoning.gathering import gathering_of
from vault.reckoning.parcels import Parcelled, making_of, parcelled
from vault.reckoning.send_out import choose, setting_of

# Half a year of work tells a shop's rate, and forgets how it worked before.
_WEEKS_BACK = 26


@dataclass(frozen=True, slots=True)
class Grounds:
    """What a choice rests on.

    Attributes:
        parcel: the residues taken together.
        valid: terms that are kept and hold today.
        sheets: those of them that take all forms of the parcel.
        around: prices and costs; without a currency where no price is set.
        making: what the shop adds; None where it adds nothing.
        day: today.
    """

    parcel: Parcelled
    valid: tuple[TermsSheet, ...]
    sheets: tuple[TermsSheet, ...]
    around: Circumstances
    making: Making | None
    day: date

    @property
    def is_whole(self) -> bool:
        """Whether there is all that a choice needs."""
        known = bool(self.parcel.residues.metals)
        return known and bool(self.around.currency) and bool(self.sheets)

    def setting(self) -> Setting:
        """Give what a choice is asked about."""
        return setting_of(self.parcel.residues, self.sheets, self.around, self.day, self.making)

    def choice(self) -> Choice:
        """Choose."""
        return choose(self.parcel.residues, self.sheets, self.around, self.day, self.making)


def grounds_of(
    book: Book, reckoned: Reckoned, here: Sequence[Item], kind: Sequence[Item]
) -> Grounds:
    """Give what a choice rests on.

    Args:
        book: the open book.
        reckoned: its figures.
        here: the items that it is about.
        kind: everything that was ever made of the same; nothing where no more of it is made.
    """
    today = book.today()
    valid = valid_sheets(book, today)
    sheets = tuple(one for one in valid if all(one.accepts(item.form) for item in here))
    parcel = parcelled(here, reckoned.contents, makeup_of_residues(book))
    parcel = replace(parcel, residues=_as_sheets_spell(parcel.residues, sheets))
    gathering = gathering_of(kind, reckoned.contents, until=today, most_weeks=_WEEKS_BACK)
    return Grounds(
        parcel=parcel,
        valid=tuple(valid),
        sheets=sheets,
        around=circumstances(book),
        making=making_of(gathering, parcel.residues.metals),
        day=today,
    )


def _as_sheets_spell(residues: Residues, sheets: Sequence[TermsSheet]) -> Residues:
    """Name the elements in residues as the sheets that charge for them do: `PB` as `Pb`."""
    said = {element.casefold(): share for element, share in residues.shares.items()}
    charged = dict.fromkeys(one.element for sheet in sheets for one in sheet.penalties)
    shares = {one: said[one.casefold()] for one in charged if one.casefold() in said}
    return replace(residues, shares=shares)
