"""The hold: how long things are kept as they came before they may be worked, sent or sold.

Rules for dealers in second-hand goods ask for one in many places, and differ by place. So there is
none until the owner sets one, with the place and the source of the rule; the program only counts.
"""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass
from datetime import date, timedelta
from enum import Enum

from vault.application.book import Book
from vault.application.changes import Changes
from vault.core.daybook import Terms
from vault.core.days import day_to_text
from vault.core.errors import VaultError
from vault.core.words import tidied, trouble_with

HOLD_SETTING = "hold"
MOST_DAYS = 3650
ASK_THE_LAW = (
    "Ask what your local law wants: rules for dealers in second-hand goods differ by place."
)
NO_HOLD = f"No hold is set. {ASK_THE_LAW}"


class HoldNotClear(VaultError):
    """A hold that cannot be kept as it was given."""


class CountedFrom(Enum):
    """Which day is the first of a hold."""

    RECEIPT = "day of receipt"
    DAY_AFTER = "day after receipt"


@dataclass(frozen=True, slots=True)
class Hold:
    """How long things are held, and who says so.

    Attributes:
        days: whole days.
        place: where the rule holds, in words.
        source: the law, licence or agreement that asks for it, in words.
        counted_from: which day is the first.
        terms: the terms of receipt that it is for.
    """

    days: int
    place: str = ""
    source: str = ""
    counted_from: CountedFrom = CountedFrom.RECEIPT
    terms: frozenset[Terms] = frozenset({Terms.BOUGHT, Terms.TOLL})

    def ends(self, received_on: date, terms: Terms | None) -> date | None:
        """Give the first day on which a thing is free; None where the hold is not for it."""
        if terms is not None and terms not in self.terms:
            return None
        first = 0 if self.counted_from is CountedFrom.RECEIPT else 1
        return received_on + timedelta(days=self.days + first)

    def in_words(self) -> str:
        """Say what the hold is: `14 days from the day of receipt (Vestland; licence of 2030)`."""
        size = f"{self.days} {'day' if self.days == 1 else 'days'}"
        said = "; ".join(one for one in (self.place, self.source) if one)
        return f"{size} from the {self.counted_from.value}" + (f" ({said})" if said else "")


def hold_of(book: Book) -> Hold | None:
    """Give the hold that the owner set for a book; None where none is set."""
    return hold_from_text(book.file.setting(HOLD_SETTING))


def set_hold(book: Book, hold: Hold | None) -> Changes:
    """Set the hold of a book, or none; what was received before keeps its own day.

    Raises:
        HoldNotClear: when it names no place or source, or cannot be counted.
    """
    insist(hold)
    book.file.change_setting(HOLD_SETTING, "" if hold is None else hold_to_text(hold))
    return Changes(settings=True)


def hold_to_text(hold: Hold) -> str:
    """Give a hold as a book keeps it."""
    told = asdict(hold) | {
        "counted_from": hold.counted_from.value,
        "terms": sorted(one.value for one in hold.terms),
    }
    return json.dumps(told, ensure_ascii=False, sort_keys=True)


def hold_from_text(text: str) -> Hold | None:
    """Read a hold as a book keeps it; None where there is none, or where it makes no sense."""
    try:
        told = json.loads(text) if text else None
        if told is None:
            return None
        hold = Hold(
            days=int(told["days"]),
            place=str(told["place"]),
            source=str(told["source"]),
            counted_from=CountedFrom(told["counted_from"]),
            terms=frozenset(Terms(one) for one in told["terms"]),
        )
        insist(hold)
    except (ValueError, KeyError, TypeError, HoldNotClear):
        return None
    return hold


def released_early(hold: Hold, until: date | None, received_on: date, terms: Terms) -> str:
    """Ask whether a day sooner than the hold's is meant; empty where it is not sooner."""
    ends = hold.ends(received_on, terms)
    if ends is None or (until is not None and until >= ends):
        return ""
    named = "no hold" if until is None else f"a hold until {day_to_text(until)}"
    return (
        f"The hold set here is {hold.in_words()} and ends on {day_to_text(ends)}. "
        f"Record {named} instead? Local law comes first."
    )


def insist(hold: Hold | None) -> None:
    """Insist on a hold that somebody can look up later, or none.

    Raises:
        HoldNotClear: when it names no place or source, or cannot be counted.
    """
    if hold is None:
        return
    if not 1 <= hold.days <= MOST_DAYS:
        raise HoldNotClear(
            f"A hold of {hold.days} days cannot be kept; type whole days from 1 to {MOST_DAYS}."
        )
    for words, what in ((hold.place, "place"), (hold.source, "source")):
        if not tidied(words):
            raise HoldNotClear(
                f"The hold names no {what}; write where the rule holds and which law, licence or "
                "agreement asks for it, so that it can be looked up later."
            )
        if trouble := trouble_with(words):
            raise HoldNotClear(trouble)
    if not hold.terms:
        raise HoldNotClear("The hold is for nothing; choose at least one of toll, bought and own.")
