"""The choice about residues in words: verdict, reasons, what it hangs on, what is not known."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal
from typing import Protocol

from vault.application.queries.answers.send_out import ChoiceRow, NetLine
from vault.application.wording import listed
from vault.core.metals import BY_SYMBOL
from vault.reckoning.choices import Choice, Hinge, NotCounted, Option, Turn, Way
from vault.reckoning.net_return import NetReturn
from vault.reckoning.parcels import Parcelled

_UG_PER_G = 1_000_000
# So many weeks are told to the week; more than a year of them in months.
_WEEKS_TOLD = 9
_WEEKS_A_YEAR = 52
_WEEKS_A_MONTH = 4.345
_OF = 100
_MOST_TURNS = 2
_DIGITS = 3


class ChoiceNumbers(Protocol):
    """How amounts and weights are written: the units and number style that the reader set."""

    def money(self, amount: float, u: float | None = None) -> str:
        """Write an amount in whole units of the currency."""

    def total_weight(self, ug: int) -> str:
        """Write a sum of weights short."""

    def roughly(self, ug: int) -> str:
        """Write fine metal to two digits with its unit."""

    def plain(self, text: str) -> str:
        """Give plain decimal text the reader's decimal mark and grouping."""


def heading_of(best: Option) -> str:
    """Give the verdict in a few words."""
    return {
        Way.SEND: f"Send it now, {_under(best)}",
        Way.WAIT: f"Wait {_weeks(best.weeks)}",
        Way.SAMPLE: "Blend and sample it first",
        Way.WORK: "Crush and smelt it here",
        Way.KEEP: "Keep it: nothing else pays now",
    }[best.way]


def verdict_of(choice: Choice, numbers: ChoiceNumbers, currency: str) -> str:
    """Give the verdict in one sentence."""
    best, other = choice.best, choice.runner_up
    if best.way is Way.KEEP:
        if other.way is Way.KEEP:
            return "There is nothing that could be done with it under the terms that are kept here."
        return (
            f"The best of the rest, {_doing(other)}, would bring {_amount(other, numbers)} "
            f"{currency}, and so cost more than it brings."
        )
    sure = round(choice.margin_surely * _OF)
    more = numbers.money(choice.margin, choice.margin_u)
    than = _doing(other, named=best.sheet != other.sheet)
    return (
        f"{_capital(_doing(best))} brings about {_amount(best, numbers)} {currency}, {more} more "
        f"than {than}; it is the better of the two in {sure} of {_OF} cases that could be."
    )


def reasons_of(choice: Choice, numbers: ChoiceNumbers, currency: str) -> Iterator[str]:
    """Give why, each a sentence."""
    time = choice.time
    sends = [one for one in choice.options if one.way is Way.SEND and one.pays_from_g is not None]
    if sends:
        first = min(sends, key=lambda one: one.pays_from_g or 0.0)
        weight = numbers.total_weight(round((first.pays_from_g or 0.0) * _UG_PER_G))
        yield f"At its grade it pays on its own from {weight} on, {_under(first)}."
    if choice.best.way is Way.WAIT:
        costs = _little(time.week_costs, numbers, currency)
        yield (
            "Waiting spreads the charges that do not grow with the weight over more of it; every "
            f"week of it costs {costs} in money not working and in space."
        )
    if time.every_weeks is not None:
        often = "week" if time.every_weeks == 1 else _long(time.every_weeks)
        yield f"With what the shop makes of it, sending pays best about every {often}."
    if choice.doubt_costs < 1:
        yield "Knowing better what it holds would change next to nothing: no assay pays for itself."
    else:
        cost = _little(choice.doubt_costs, numbers, currency)
        yield (
            f"Not knowing better what it holds costs {cost} on average; an assay that costs more "
            "than that cannot pay for itself here."
        )


def turns_of(choice: Choice, numbers: ChoiceNumbers, currency: str) -> Iterator[str]:
    """Give at which price or content the verdict changes, nearest first."""
    nearest = sorted(choice.turns, key=lambda one: abs(one.level / one.now - 1) if one.now else 9.0)
    for turn in nearest[:_MOST_TURNS]:
        yield _turn(turn, numbers, currency)


def not_known_of(counted: NotCounted, parcelled: Parcelled) -> Iterator[str]:
    """Give what is left out because nobody knows it, each a sentence."""
    if counted.things:
        yield f"Nothing is known of {_things(counted.things)}; neither metal nor weight is counted."
    for metal, tags in parcelled.part_not_known.items():
        yield f"Of {_things(tags)} the {_name(metal)} is not known and not counted."
    if parcelled.not_weighed:
        are = "is" if len(parcelled.not_weighed) == 1 else "are"
        yield f"{_things(parcelled.not_weighed)} {are} without a weight, which is not counted."
    if counted.metals:
        yield f"Nothing is known of the {_names(counted.metals)} in it, and none is counted."
    if counted.unpriced:
        yield f"No price is set for {_names(counted.unpriced)}, which counts as nothing here."
    if counted.elements:
        yield (
            f"Nobody said how much {listed(counted.elements)} is in it (the settings ask for it): "
            "what a sheet charges for that is not counted."
        )
    if counted.dry:
        yield (
            "Nobody said how dry it is (the settings ask for it): charges by dry weight are "
            "reckoned on all of the weight."
        )
    if counted.sheets:
        yield f"In another currency, and left out: {listed(counted.sheets)}."


def rows_of(choice: Choice, numbers: ChoiceNumbers, currency: str) -> Iterator[ChoiceRow]:
    """Give everything that could be done."""
    for one in choice.options:
        yield ChoiceRow(
            words=row_words(one),
            net=one.net,
            u=one.u,
            low=one.low,
            high=one.high,
            worse=one.worse_than_keeping,
            more=_more(one, numbers, currency),
            lines=tuple(_lines(one)),
            is_best=one is choice.best,
            is_sheet=one.way is Way.SEND,
        )


def row_words(option: Option) -> str:
    """Say short what would be done."""
    return {
        Way.SEND: f"Send it now, {_under(option)}",
        Way.WAIT: f"Wait {_weeks(option.weeks)}, then {_under(option)}",
        Way.SAMPLE: "Blend and sample it first",
        Way.WORK: "Crush and smelt it here",
        Way.KEEP: "Keep it",
    }[option.way]


def _doing(option: Option, *, named: bool = True) -> str:
    under = f" {_under(option)}" if named else ""
    return {
        Way.SEND: f"sending it now{under}",
        Way.WAIT: f"waiting {_weeks(option.weeks)} and sending it{under}",
        Way.SAMPLE: "blending and sampling it first",
        Way.WORK: "crushing and smelting it here",
        Way.KEEP: "keeping it",
    }[option.way]


def _under(option: Option) -> str:
    return f"“{option.sheet.name}”" if option.sheet is not None else "under no sheet"


def _weeks(weeks: int) -> str:
    if weeks <= 1:
        return "a week"
    if weeks <= _WEEKS_TOLD:
        return f"{weeks} weeks"
    return f"about {_long(weeks)}"


def _long(weeks: int) -> str:
    if weeks <= _WEEKS_A_YEAR:
        return f"{weeks} weeks"
    return f"{round(weeks / _WEEKS_A_MONTH)} months"


def _little(amount: float, numbers: ChoiceNumbers, currency: str) -> str:
    """Write a small cost: `about 4 EUR`, and `less than 1 EUR` where it would read as none."""
    return f"about {numbers.money(amount)} {currency}" if amount >= 1 else f"less than 1 {currency}"


def _amount(option: Option, numbers: ChoiceNumbers) -> str:
    return numbers.money(option.net, option.u)


def _capital(words: str) -> str:
    return words[0].upper() + words[1:]


def _more(option: Option, numbers: ChoiceNumbers, currency: str) -> str:
    if option.way is Way.KEEP:
        return "Against this everything else is told."
    ends = f"{numbers.money(option.low)} to {numbers.money(option.high)} {currency}"
    told = [f"In 90 of {_OF} cases {ends}."]
    chance = round(option.worse_than_keeping * _OF)
    told.append(
        f"In {chance} of {_OF} it brings less than keeping."
        if chance
        else f"It brings less than keeping in fewer than 1 of {_OF}."
    )
    if option.worked is not None:
        left = ", ".join(
            f"{metal} {numbers.roughly(round(grams * _UG_PER_G))}"
            for metal, grams in option.worked.left_g.items()
            if grams > 0
        )
        if left:
            told.append(f"In the new slag and cupel stays about {left}; it is counted as nothing.")
    return " ".join(told)


def _turn(turn: Turn, numbers: ChoiceNumbers, currency: str) -> str:
    way = "falls below" if turn.falls else "rises above"
    instead = _doing_plainly(turn)
    if turn.hinge is Hinge.PRICE:
        level, now = _price(turn.level, numbers), _price(turn.now, numbers)
        return (
            f"It changes if {_name(turn.metal)} {way} {level} {currency} a gram ({now} today): "
            f"then {instead} is better."
        )
    level, now = (numbers.roughly(round(one * _UG_PER_G)) for one in (turn.level, turn.now))
    less = "less" if turn.falls else "more"
    return (
        f"It changes if it holds {less} than {level} of {_name(turn.metal)} ({now} is believed): "
        f"then {instead} is better."
    )


def _doing_plainly(turn: Turn) -> str:
    under = f" “{turn.sheet.name}”" if turn.sheet is not None else ""
    return {
        Way.SEND: f"sending it now{under}",
        Way.WAIT: "waiting",
        Way.SAMPLE: "sampling it first",
        Way.WORK: "smelting it here",
        Way.KEEP: "keeping it",
    }[turn.instead]


def _price(amount: float, numbers: ChoiceNumbers) -> str:
    value = Decimal(amount)
    decimals = max(0, _DIGITS - 1 - value.adjusted()) if value else 0
    return numbers.plain(f"{value:.{decimals}f}")


def _things(tags: Sequence[str]) -> str:
    if len(tags) == 1:
        return tags[0]
    return f"{len(tags)} items ({listed(tags)})"


def _name(metal: str) -> str:
    return BY_SYMBOL[metal].name


def _names(metals: Sequence[str]) -> str:
    return listed([_name(one) for one in metals])


def _lines(option: Option) -> Iterator[NetLine]:
    """Give how a net at the estimates and today's prices comes about, line by line."""
    if option.lines is not None:
        yield from net_lines(option.lines)
    elif option.worked is not None:
        worked = option.worked
        for words, amount in (
            ("flux", worked.flux),
            ("energy", worked.energy),
            ("work", worked.wages),
        ):
            yield NetLine(words, -amount)
    elif option.costs:
        yield NetLine("blending, sampling and assays", -option.costs)


def net_lines(lines: NetReturn) -> Iterator[NetLine]:
    """Give a net return line by line, charges below zero."""
    for one in lines.metals:
        grams = float(one.payable_g)
        yield NetLine(f"{_name(one.metal)}, {grams:.4g} g payable", float(one.paid))
    charges = {
        "treatment": float(lines.treatment),
        "assays": lines.assays,
        "sampling": lines.sampling,
        **{f"penalty for {element}": float(amount) for element, amount in lines.penalties},
        "freight": float(lines.freight),
        "drums": float(lines.drums),
        "papers": lines.manifest,
        "waiting for the money": float(lines.waiting),
    }
    yield from (NetLine(words, -amount) for words, amount in charges.items() if amount)
    yield NetLine("comes back", float(lines.net), is_sum=True)
