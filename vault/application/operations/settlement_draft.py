"""A settlement that is not recorded yet, as it stands in the form: perhaps half filled, no error.

Plain values of `core` throughout. What is empty or None has not been filled in yet.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from vault.core.daybook import Said, When
from vault.core.masses import Mass
from vault.core.money import Money


@dataclass(frozen=True, slots=True)
class AgreedDraft:
    """What was found of the whole, of a container, or of one item.

    Attributes:
        tag: the item; empty where it is of several.
        container: a container of the shipment, whose line is one of several that add up; empty
            for the whole, or for the rest of it.
        gross: the weight that the grades are of, as the refinery weighed it; None where it is the
            weight received of the whole.
        contents: what was found, with its ± where one is given.
    """

    tag: str = ""
    container: str = ""
    gross: Mass | None = None
    contents: tuple[Said, ...] = ()


@dataclass(frozen=True, slots=True)
class BackDraft:
    """Metal that came back: a new item of the shop.

    Attributes:
        tag, form, gross, contents, place: as of any item that is received.
    """

    tag: str
    form: str
    gross: Mass | None = None
    contents: tuple[Said, ...] = ()
    place: str = ""


@dataclass(frozen=True, slots=True)
class SettlementDraft:
    """A settlement that is being taken down.

    Attributes:
        ref, party: of the shipment.
        received: what the whole weighed at the refinery as it came.
        dry: the same without moisture; None where they did not dry it.
        agreed: line by line.
        amounts: words and money; charges below zero.
        back: metal that came back.
        note: anything worth keeping.
        priced_on: the day whose prices the paper goes by; that of the settlement where None.
        when: the day of the settlement; the present moment where None.
    """

    ref: str = ""
    party: str = ""
    received: Mass | None = None
    dry: Mass | None = None
    agreed: tuple[AgreedDraft, ...] = ()
    amounts: tuple[tuple[str, Money], ...] = ()
    back: tuple[BackDraft, ...] = ()
    note: str = ""
    priced_on: date | None = None
    when: When | None = None

    @property
    def assayed(self) -> Mass | None:
        """The weight that the grades of the whole are of."""
        return self.received if self.dry is None else self.dry
