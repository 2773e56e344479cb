"""How figures are written: units, decimal mark, grouping, and ± with at most two digits.

Nothing is worked out here but the change of unit and the rounding for the eye.

Estimates are never cut inside, so that sums are true; one of them may lie below zero. What is held
is told as `0 to 0.7` then, of one item as of a headline's total, since nobody has less than nothing
of a metal. Totals beside their parts, and what a balance leaves over, go through the `uncut`
functions as they are.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from vault.core.days import MONTHS, day_to_text
from vault.core.fineness import PPB_PER_PERMILLE, Fineness
from vault.core.knowledge import Figure
from vault.core.masses import MICROGRAMS_PER_UNIT, Mass
from vault.core.metals import BY_SYMBOL
from vault.core.uncertainty import K_95, rounded, rounded_span

UNITS = ("g", "ozt", "dwt", "kg")
DECIMAL_MARKS = (".", ",")
NOT_KNOWN = "not known"
NOTHING = "–"
ABOUT_NOTHING = "about 0"
MINUS = "−"

# A narrow space that never breaks: a grouped figure stays one word.
_GROUPING = "\u202f"
# Decimals that keep what the scale's grams said: 0.01 g is 0.0003 ozt, 0.006 dwt, 0.00001 kg.
_MORE_DECIMALS = {"g": 0, "ozt": 2, "dwt": 1, "kg": 3}
_LEAST_DECIMALS_OF_A_WEIGHT_G = 2
_FINEST_DECIMALS_G = 4
_IN_KG_FROM_UG = 10_000_000_000
_DIGITS_WITHOUT_DOUBT = 4
_LEAST_COIN = 0.005
_DAYS_TOLD_AS_DAYS = 100
_DAYS_TOLD_AS_MONTHS = 730
_DAYS_OF_A_MONTH = 30.44
_DAYS_OF_A_YEAR = 365.25


@dataclass(frozen=True, slots=True)
class Numbers:
    """The units and the number style that the reader set.

    Attributes:
        unit: of fine metal and of weights: g, ozt, dwt or kg.
        decimal_mark: point or comma.
    """

    unit: str = "g"
    decimal_mark: str = "."

    # --- masses ---------------------------------------------------------------------------------

    def mass(self, mass: Mass) -> str:
        """Write a weight with its unit, to every digit that was read: `1 004.62 g`."""
        return self.weight(mass.micrograms)

    def weight(self, ug: int | None) -> str:
        """Write a weight with its unit, to every digit that was read."""
        if ug is None:
            return NOT_KNOWN
        _, _, read = Mass(ug).to_text().partition(".")
        decimals = max(len(read), _LEAST_DECIMALS_OF_A_WEIGHT_G) + _MORE_DECIMALS[self.unit]
        return f"{self.plain(_fixed(_in_unit(ug, self.unit), decimals))} {self.unit}"

    def total_weight(self, ug: int, *, like_ug: int = 0) -> str:
        """Write a sum of weights short: `842.1 g`, and `21.7 kg` from ten kilograms up.

        Beside a larger one (`like_ug`), in the unit of that.
        """
        if self.unit == "g":
            unit = "kg" if max(abs(ug), abs(like_ug)) >= _IN_KG_FROM_UG else "g"
            return f"{self.plain(_fixed(_in_unit(ug, unit), 1))} {unit}"
        decimals = 1 + _MORE_DECIMALS[self.unit]
        return f"{self.plain(_fixed(_in_unit(ug, self.unit), decimals))} {self.unit}"

    def figure(self, figure: Figure) -> str:
        """Write what one thing holds with its ± and without its unit: `1 002.6 ± 0.6`."""
        return self.fine(figure.fine_ug, figure.u_ug)

    def figure_with_unit(self, figure: Figure) -> str:
        """Write what one thing holds with its ± and its unit."""
        return self._with_unit(self.figure(figure), figure)

    def fine(self, ug: int | None, u_ug: int | None) -> str:
        """Write fine metal of one thing with its ± and without its unit."""
        return _joined(self.fine_and_doubt(ug, u_ug))

    def fine_and_doubt(self, ug: int | None, u_ug: int | None) -> tuple[str, str]:
        """Write fine metal of one thing and its ± apart, rounded to match.

        The second is empty where the ± is not known, and below zero, where the first tells both:
        `0 to 0.7`, up to 1.96 standard uncertainties above the estimate.
        """
        if ug is not None and ug < 0:
            told = self._from_nothing(ug, u_ug)
            if told:
                return told, ""
        return self.uncut_and_doubt(ug, u_ug)

    def uncut(self, ug: int | None, u_ug: int | None) -> str:
        """Write a total, or what is left over, with its ±, below zero as well: `−0.3 ± 0.5`."""
        return _joined(self.uncut_and_doubt(ug, u_ug))

    def uncut_with_unit(self, figure: Figure) -> str:
        """Write a total, or what is left over, with its ± and its unit, below zero as well."""
        return self._with_unit(self.uncut(figure.fine_ug, figure.u_ug), figure)

    def uncut_and_doubt(
        self, ug: int | None, u_ug: int | None, *, unit: str = ""
    ) -> tuple[str, str]:
        """Write a total and its ± apart, rounded to match; the second is empty if unknown."""
        if ug is None:
            return NOT_KNOWN, ""
        value = _in_unit(ug, unit or self.unit)
        if u_ug is None or u_ug == 0:
            return self.plain(_significant(value)), ""
        doubt = _in_unit(u_ug, unit or self.unit)
        told = rounded(value, doubt)
        finest = _FINEST_DECIMALS_G + _MORE_DECIMALS[unit or self.unit]
        if len(told[1].partition(".")[2]) > finest:
            # Finer than any scale of a shop reads; the doubt is told a little too large then.
            told = (_fixed(value, finest), f"{Decimal(1).scaleb(-finest):f}")
        return self.plain(told[0]), self.plain(told[1])

    def _from_nothing(self, ug: int, u_ug: int | None) -> str:
        """Say what an estimate below zero allows; empty where its ± does not reach zero.

        Such a one is a contradiction and not a small content; it is told as it is.
        """
        if u_ug is None:
            return ABOUT_NOTHING
        most = self.at_most(ug, u_ug)
        return f"0 to {most}" if most else ""

    def at_most(self, ug: int, u_ug: int) -> str:
        """Write the most that there is, 1.96 standard uncertainties above; empty if nothing."""
        most, _ = self.uncut_and_doubt(ug + round(K_95 * u_ug), u_ug)
        return most if most.strip(f"0{self.decimal_mark}") and most[0] != MINUS else ""

    def _with_unit(self, told: str, figure: Figure) -> str:
        return told if figure.fine_ug is None else f"{told} {self.unit}"

    def roughly(self, ug: int) -> str:
        """Write fine metal to two digits with its unit, where the size alone matters."""
        value = _in_unit(ug, self.unit)
        return f"{self.plain(_significant(value, digits=2))} {self.unit}"

    def span(self, low_ug: int, high_ug: int) -> str:
        """Write a weight of which only the ends are known, with its unit: `226 to 236 g`."""
        ends = rounded_span(_in_unit(low_ug, self.unit), _in_unit(high_ug, self.unit))
        low, high = (self.plain(one) for one in ends)
        return f"{low} {self.unit}" if low == high else f"{low} to {high} {self.unit}"

    def other_unit(self, figure: Figure) -> str:
        """Write a total in troy ounces for who reads grams, and in grams for who does not."""
        unit = "ozt" if self.unit in {"g", "kg"} else "g"
        value, _ = self.uncut_and_doubt(figure.fine_ug, figure.u_ug, unit=unit)
        return f"{value} {unit}"

    # --- shares and money -----------------------------------------------------------------------

    def fineness(self, fineness: Fineness, u: Fineness | None) -> str:
        """Write a fineness in ‰ with its ± where there is one."""
        if u is None or u.ppb == 0:
            return f"{self.plain(fineness.to_text())} ‰"
        value, doubt = rounded(float(fineness.permille), float(u.permille))
        return f"{self.plain(value)} ± {self.plain(doubt)} ‰"

    def permille(self, ppb: int | None) -> str:
        """Write a fineness in ‰ to one decimal, as a column has it; none is below zero."""
        if ppb is None:
            return NOTHING
        return f"{self.plain(_fixed(Decimal(max(0, ppb)) / PPB_PER_PERMILLE, 1))} ‰"

    def share(self, share: float) -> str:
        """Write a share in percent to one decimal."""
        return f"{self.plain(_fixed(Decimal(share) * 100, 1))} %"

    def rough_share(self, share: float) -> str:
        """Write a share in whole percent."""
        return f"{self.plain(_fixed(Decimal(share) * 100, 0))} %"

    def share_and_doubt(self, share: float, u: float) -> str:
        """Write a share in percent with its ±: `0.46 ± 0.23 %`."""
        value, doubt = rounded(share * 100, u * 100)
        return f"{self.plain(value)} ± {self.plain(doubt)} %"

    def money(self, amount: float, u: float | None = None) -> str:
        """Write an amount in whole units of the currency, with its ± where there is one.

        A doubt that no coin is small enough for is none.
        """
        if u is None or u < _LEAST_COIN:
            return self.plain(_fixed(Decimal(amount), 0))
        value, doubt = rounded(amount, u)
        return f"{self.plain(value)} ± {self.plain(doubt)}"

    def cents(self, amount: float) -> str:
        """Write an amount to the hundredth, as papers of refineries do."""
        return self.plain(_fixed(Decimal(amount), 2))

    def count(self, number: int) -> str:
        """Write a whole number of things."""
        return self.plain(str(number))

    def plain(self, text: str) -> str:
        """Give plain decimal text the reader's decimal mark, grouping and minus sign."""
        sign = MINUS if text.startswith("-") else ""
        whole, point, decimals = text.lstrip("-").partition(".")
        return f"{sign}{_grouped(whole)}{self.decimal_mark if point else ''}{decimals}"


def day(on: date) -> str:
    """Write a day: `5 Mar 2031`."""
    return day_to_text(on)


def day_of_year(on: date, today: date) -> str:
    """Write a day without its year where that is this year: `5 Mar`."""
    return f"{on.day} {MONTHS[on.month - 1]}" if on.year == today.year else day(on)


def age(since: date, today: date) -> str:
    """Write how long ago a day is: `9 d`, `7 mo`, `3 y`."""
    days = (today - since).days
    if days < _DAYS_TOLD_AS_DAYS:
        return f"{days} d"
    if days < _DAYS_TOLD_AS_MONTHS:
        return f"{days / _DAYS_OF_A_MONTH:.0f} mo"
    return f"{days / _DAYS_OF_A_YEAR:.0f} y"


def metal_name(symbol: str) -> str:
    """Give the name of a metal for running text; a symbol nobody knows stands for itself."""
    metal = BY_SYMBOL.get(symbol)
    return metal.name if metal else symbol


def _joined(told: tuple[str, str]) -> str:
    value, doubt = told
    return f"{value} ± {doubt}" if doubt else value


def _in_unit(ug: int, unit: str) -> Decimal:
    return Decimal(ug) / MICROGRAMS_PER_UNIT[unit]


def _fixed(value: Decimal, decimals: int) -> str:
    text = f"{value:.{decimals}f}"
    return text.lstrip("-") if not text.strip("-0.") else text


def _significant(value: Decimal, *, digits: int = _DIGITS_WITHOUT_DOUBT) -> str:
    """Give a value of which no doubt is known, to so many digits or whole units."""
    if value == 0:
        return "0"
    decimals = max(0, digits - 1 - value.adjusted())
    text = _fixed(value, decimals)
    return text.rstrip("0").rstrip(".") if "." in text else text


def _grouped(whole: str) -> str:
    """Group a run of digits by three, from five digits up and for four as well: `1 004`."""
    head = len(whole) % 3
    parts = [whole[:head]] if head else []
    parts += [whole[start : start + 3] for start in range(head, len(whole), 3)]
    return _GROUPING.join(parts)
