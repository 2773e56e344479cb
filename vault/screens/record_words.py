"""The words of the yearly record of residues, the same on the screen and on paper."""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from math import floor

from vault.application.queries.answers.turnover import YearlyRecord, YearOfRecord
from vault.core.turnover import Amount, ClassYear, Judgement, TurnoverRule
from vault.screens.numbers import MINUS, Numbers, day
from vault.screens.words import items as items_words
from vault.screens.words import sentence_of

CHECK_THE_LAW = "Check the law where you are."
NO_RULE = f"No rule for moving residues on is set. {CHECK_THE_LAW}"
NONE_KEPT = "nothing"


def amount_words(amount: Amount, numbers: Numbers, *, beside: Amount | None = None) -> str:
    """Write things by weight, and how many of them were not weighed; never as a weight of nothing.

    Where they stand beside others, in the unit of those.
    """
    missing = numbers.count(abs(amount.not_weighed))
    left_out = f"{missing} not weighed" if amount.not_weighed else ""
    if amount.gross_ug == 0:
        return left_out or (NONE_KEPT if amount.items == 0 else numbers.total_weight(0))
    like = 0 if beside is None else beside.gross_ug
    weighed = numbers.total_weight(amount.gross_ug, like_ug=like)
    return f"{weighed} and {left_out}" if left_out else weighed


def year_words(told: ClassYear, numbers: Numbers, *, is_over: bool) -> str:
    """Say what was kept, made and moved on in a year, in one line."""
    largest = largest_of(told)
    parts = [
        ("on 1 Jan", told.opening),
        ("made", told.gained),
        ("moved on", told.moved_on),
        ("on 31 Dec" if is_over else "on hand", told.closing),
    ]
    return " · ".join(
        f"{name} {amount_words(amount, numbers, beside=largest)}" for name, amount in parts
    )


def largest_of(told: ClassYear) -> Amount:
    """Give the heaviest amount of a year, beside which the others are written."""
    amounts = (told.opening, told.gained, told.moved_on, told.closing)
    return max(amounts, key=lambda one: one.gross_ug)


def otherwise_words(told: ClassYear, numbers: Numbers) -> str:
    """Say what left the class without being moved on; empty where nothing did."""
    said = []
    if not told.returned.is_nothing:
        said.append(f"{amount_words(told.returned, numbers)} went back to customers")
    if not told.missing.is_nothing:
        said.append(f"{amount_words(told.missing, numbers)} was not found at a count")
    lost = told.reshaped.gross_ug
    if lost:
        way = "less" if lost > 0 else "more"
        weight = numbers.total_weight(abs(lost))
        said.append(f"{weight} {way} came out of blending and crushing than went in")
    if not said:
        return ""
    return f"Not moved on: {sentence_of(said)}."


def share_words(told: ClassYear, numbers: Numbers) -> str:
    """Say which share of what was kept on 1 January moved on; empty where there is none."""
    share = told.share
    if share is None:
        return ""
    return f"{percent_words(share, numbers)} of what was kept on 1 January moved on"


def percent_words(share: Fraction, numbers: Numbers) -> str:
    """Write a share in percent, cut and not rounded: 74.96 % is short of 75 %."""
    tenths = floor(share * 1000)
    return numbers.share(tenths / 1000) if tenths % 10 else numbers.rough_share(tenths / 1000)


def rule_words(rule: TurnoverRule, numbers: Numbers) -> str:
    """Say what the rule asks for, and where it is from."""
    percent = percent_words(rule.share, numbers)
    said = "; ".join(one for one in (rule.place, rule.source) if one)
    return f"{percent} are to be moved on by 31 December" + (f" ({said})" if said else "")


def standing_words(one: YearOfRecord, record: YearlyRecord, numbers: Numbers) -> str:
    """Say how a class stands in a year, against the rule where one is set."""
    told, rule = one.told, record.rule
    share = share_words(told, numbers)
    if rule is None:
        return f"{share}. {NO_RULE}" if share else NO_RULE
    if told.opening.items == 0:
        return f"Nothing was kept on 1 January, so nothing has to be moved on. {CHECK_THE_LAW}"
    asked = rule_words(rule, numbers)
    judged = _judged_words(one, numbers)
    begins = f"{share}; {asked}" if share else f"{asked[:1].upper()}{asked[1:]}"
    return f"{begins}: {judged} {CHECK_THE_LAW}"


def _judged_words(one: YearOfRecord, numbers: Numbers) -> str:
    match one.judgement:
        case Judgement.MET:
            return "kept."
        case Judgement.NOT_MET:
            return "not kept."
        case Judgement.OPEN:
            still = numbers.total_weight(one.still_ug, like_ug=one.told.opening.gross_ug)
            left = "today is the last day" if not one.days_left else f"{days(one.days_left)} left"
            return f"{still} to go, {left}."
        case _:
            many = items_words(one.told.not_weighed, numbers.count(one.told.not_weighed))
            return f"not to be said, with {many} not weighed; weigh them."


def days(number: int) -> str:
    """Write a number of days."""
    return "1 day" if number == 1 else f"{number} days"


def since_words(oldest: date | None) -> str:
    """Say since when the oldest has been kept, as a container's label carries it."""
    return "" if oldest is None else f"The oldest on hand has been kept since {day(oldest)}."


def signed_weight(amount: Amount, numbers: Numbers, beside: Amount) -> str:
    """Write an amount that may be below zero in the unit of another, for a column of a table."""
    sign = MINUS if amount.gross_ug < 0 else ""
    told = numbers.total_weight(abs(amount.gross_ug), like_ug=beside.gross_ug)
    return f"{sign}{told}" if amount.gross_ug else ""
