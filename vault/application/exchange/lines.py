"""One row of the daybook file read as one line of an entry, each cell that fails told."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from vault.application.exchange.faults import RowFault
from vault.application.exchange.formulas import unguarded
from vault.application.exchange.moments import day_from_text
from vault.core.daybook import Line, Role, Said
from vault.core.errors import TextNotUnderstood
from vault.core.fineness import permille_from_text
from vault.core.masses import Mass, grams_from_text
from vault.core.money import Money, money_from_text
from vault.core.numerals import shortened
from vault.core.words import tidied

_MOST_KEPT = 50_000
_ROLES = {role.value: role for role in Role}
_ROLE_NAMES = ", ".join(role.value for role in Role if role.value)

Trouble = tuple[str, str]


class Words(dict[str, str]):
    """Cells as words of the book, each tidied once: most stand in a daybook many times."""

    def __missing__(self, cell: str) -> str:
        """Tidy a cell that was not met before."""
        word = tidied(unguarded(cell.strip(" ")))
        self[cell] = word
        return word


@dataclass(frozen=True, slots=True)
class _Contents:
    said: tuple[Said, ...]
    troubles: tuple[Trouble, ...]


_NO_CONTENTS = _Contents((), ())


class LineReader:
    """Reads the rows of one file, in which these metals have columns."""

    def __init__(self, metals: Sequence[str], words: Words) -> None:
        self._metals = metals
        self._words = words
        self._contents: dict[tuple[str, ...], _Contents] = {("",) * 2 * len(metals): _NO_CONTENTS}

    def line_of(
        self, row: int, cells: Sequence[str], contents: tuple[str, ...], faults: list[RowFault]
    ) -> Line | None:
        """Read a row's line; where even its role cannot be told there is none.

        Args:
            row: its number.
            cells: role, tag, form, lot, party, terms, place, gross_g, gross_u_g, how, ref, amount,
                currency, note, tare_g, nominal_g, hold_until, scale, witness, furnace.
            contents: fineness and uncertainty of each metal in turn.
            faults: takes what is wrong.
        """
        (role_cell, tag, form, lot, party, terms, place, gross, gross_u, *rest) = cells
        how, ref, amount, currency, note, *later = rest
        words = self._words
        role = _ROLES.get(role_cell) or _ROLES.get(words[role_cell])
        if role is None:
            faults.append(
                RowFault(
                    row,
                    "role",
                    f"“{shortened(role_cell)}” is no role; write one of {_ROLE_NAMES}, or leave it "
                    "empty for a strike.",
                )
            )
            return None
        said = self._contents.get(contents) or self._read_contents(contents)
        for column, sentence in said.troubles:
            faults.append(RowFault(row, column, sentence))
        return Line(
            role,
            words[tag],
            words[form],
            words[lot],
            words[party],
            words[terms],
            words[place],
            self._mass(row, "gross_g", gross, faults) if gross else None,
            self._mass(row, "gross_u_g", gross_u, faults) if gross_u else None,
            said.said,
            words[how],
            words[ref],
            self._money(row, amount, currency, faults) if amount or currency else None,
            tidied(unguarded(note.strip(" ")), is_note=True) if note else "",
            *(self._bench_facts(row, later, faults) if any(later) else ()),
        )

    def _bench_facts(
        self, row: int, cells: Sequence[str], faults: list[RowFault]
    ) -> tuple[Mass | None, Mass | None, date | None, str, str, str]:
        tare, nominal, hold, scale, witness, furnace = cells
        return (
            self._mass(row, "tare_g", tare, faults),
            self._mass(row, "nominal_g", nominal, faults),
            self._day(row, "hold_until", hold, faults),
            self._words[scale],
            self._words[witness],
            self._words[furnace],
        )

    def _day(self, row: int, column: str, cell: str, faults: list[RowFault]) -> date | None:
        text = cell.strip()
        if not text:
            return None
        try:
            return day_from_text(text)
        except TextNotUnderstood as trouble:
            faults.append(RowFault(row, column, str(trouble)))
            return None

    def _mass(self, row: int, column: str, cell: str, faults: list[RowFault]) -> Mass | None:
        text = cell.strip()
        if not text:
            return None
        try:
            return grams_from_text(text)
        except TextNotUnderstood as trouble:
            sentence = str(trouble)
            if column == "gross_u_g":
                sentence = sentence.replace("is no weight", "is no uncertainty of a weight")
            faults.append(RowFault(row, column, sentence))
            return None

    def _money(self, row: int, amount: str, currency: str, faults: list[RowFault]) -> Money | None:
        amount, currency = amount.strip(), currency.strip()
        if not amount and not currency:
            return None
        if not amount:
            faults.append(RowFault(row, "amount", "A currency is given without an amount."))
            return None
        if not currency:
            faults.append(
                RowFault(row, "currency", "An amount needs its currency; write three letters, EUR.")
            )
            return None
        try:
            return money_from_text(amount, currency)
        except TextNotUnderstood as trouble:
            at_fault = "amount" if currency.isascii() and currency.isupper() else "currency"
            faults.append(RowFault(row, at_fault, str(trouble)))
            return None

    def _read_contents(self, cells: tuple[str, ...]) -> _Contents:
        said: list[Said] = []
        troubles: list[Trouble] = []
        for at, symbol in enumerate(self._metals):
            value, u = cells[2 * at].strip(), cells[2 * at + 1].strip()
            if value or u:
                one = _said_of(symbol, value, u, troubles)
                if one is not None:
                    said.append(one)
        if len(self._contents) >= _MOST_KEPT:
            self._contents.clear()
        read = _Contents(tuple(said), tuple(troubles))
        self._contents[cells] = read
        return read


def _said_of(symbol: str, value: str, u: str, troubles: list[Trouble]) -> Said | None:
    if not value:
        troubles.append(
            (f"{symbol}_u", f"An uncertainty is given without the content of {symbol}.")
        )
        return None
    try:
        fineness = permille_from_text(value)
    except TextNotUnderstood as trouble:
        troubles.append((symbol, str(trouble)))
        return None
    if not u:
        return Said(symbol, fineness)
    try:
        return Said(symbol, fineness, permille_from_text(u))
    except TextNotUnderstood:
        sentence = (
            f"“{shortened(u)}” is no uncertainty of a fineness; write ‰ with a decimal point, "
            "such as 0.4."
        )
        troubles.append((f"{symbol}_u", sentence))
        return Said(symbol, fineness)
