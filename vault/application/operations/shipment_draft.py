"""A shipment that is not recorded yet, as it stands in the form: perhaps half filled, no error.

Plain values of `core` throughout. What is empty or None has not been filled in yet.
"""

from __future__ import annotations

from dataclasses import dataclass

from vault.core.daybook import When
from vault.core.masses import Mass


@dataclass(frozen=True, slots=True)
class DrumDraft:
    """A container that goes, with what lies in it.

    Attributes:
        name: its place name.
        form: the one form of residues that goes; empty for all residues in it.
        tags: what of it goes, as it was last looked up.
        on_scale: what the scale showed under the full container; None where it was not weighed now.
        gross_u: one standard uncertainty of that, as the scale has it; None where typed.
        tare: what the empty container weighs; None where nothing is to be taken off.
        scale: the scale it was weighed on; empty where typed by hand.
        seal: number of a seal that is put on now; empty for none.
        witness: the second person who saw the seal.
    """

    name: str
    form: str = ""
    tags: tuple[str, ...] = ()
    on_scale: Mass | None = None
    gross_u: Mass | None = None
    tare: Mass | None = None
    scale: str = ""
    seal: str = ""
    witness: str = ""

    @property
    def net(self) -> Mass | None:
        """What is in it by the scale; None where it was not weighed now."""
        if self.on_scale is None:
            return None
        return self.on_scale if self.tare is None else self.on_scale - self.tare


@dataclass(frozen=True, slots=True)
class ShipmentDraft:
    """A shipment that is being made up.

    Attributes:
        ref: its number.
        party: the refinery.
        terms: the terms sheet, by its name or by name and version.
        drums: containers, in the order of the form.
        tags: single items beside them.
        note: for the carrier.
        when: when it left; the present moment where None.
    """

    ref: str = ""
    party: str = ""
    terms: str = ""
    drums: tuple[DrumDraft, ...] = ()
    tags: tuple[str, ...] = ()
    note: str = ""
    when: When | None = None

    @property
    def all_tags(self) -> tuple[str, ...]:
        """Every item that goes, each once."""
        packed = (tag for drum in self.drums for tag in drum.tags)
        return tuple(dict.fromkeys((*packed, *self.tags)))
