"""A receipt that is not recorded yet, as it stands in the form: perhaps half filled, no error.

Plain values of `core` throughout. What is empty or None has not been filled in yet.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from pathlib import Path

from vault.core.daybook import Said, Terms, When
from vault.core.masses import Mass


@dataclass(frozen=True, slots=True)
class BagDraft:
    """One bag, box or piece that the customer brought.

    Attributes:
        tag, form, place, note: as they will stand in the book.
        on_scale: what the scale showed, with the bag or vessel that weighs `tare`.
        gross_u: one standard uncertainty of that, as the scale has it; None where typed.
        tare: what the empty bag or vessel weighs; None where there is none to take off.
        contents: what the customer declares of each metal.
        scale: the scale it was weighed on; empty where typed by hand.
        photo: the file of a picture of it, or None.
    """

    tag: str = ""
    form: str = ""
    on_scale: Mass | None = None
    gross_u: Mass | None = None
    tare: Mass | None = None
    contents: tuple[Said, ...] = ()
    place: str = ""
    note: str = ""
    scale: str = ""
    photo: Path | None = None

    @property
    def net(self) -> Mass | None:
        """What is in it; None where it was not weighed."""
        if self.on_scale is None:
            return None
        return self.on_scale if self.tare is None else self.on_scale - self.tare


@dataclass(frozen=True, slots=True)
class ReceiptDraft:
    """A lot that is being received, as far as it is filled in.

    Attributes:
        lot: its number.
        party: whose it is; empty for the shop's own.
        terms: on whose account; None until it is chosen.
        origin: where it comes from, in words; stands in the note of every bag.
        bags: in the order of the form.
        hold_until: the first day on which it may be worked; None for no hold.
        hold_set: the day that the shop's own setting gives, where `hold_until` is sooner.
        when: when it was received; the present moment where None.
    """

    lot: str = ""
    party: str = ""
    terms: Terms | None = None
    origin: str = ""
    bags: tuple[BagDraft, ...] = ()
    hold_until: date | None = None
    hold_set: date | None = None
    when: When | None = None
