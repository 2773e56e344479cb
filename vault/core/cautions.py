"""Short cautions for things that can hurt, by what the thing is."""

from __future__ import annotations

LEAD = (
    "Lead. Holds litharge: keep it shut, dry and labelled; no dry sweeping; wash before eating. "
    "Presumed hazardous waste until shown otherwise; storage and shipping follow local law and a "
    "licensed carrier."
)
SILICA = "Silica dust when crushed: wet it and wear a mask."
MERCURY = "Dental and old gilding residues can hold mercury: never heat them untested."

_BY_FORM = {
    "spent cupel": (LEAD,),
    "dust": (LEAD,),
    "slag": (SILICA,),
    "crucible": (SILICA,),
}
_MERCURY_WORDS = ("dental", "amalgam", "gilding")


def cautions_for(form: str, *notes: str) -> tuple[str, ...]:
    """Give the cautions for an item of this form, and for what its notes and lot speak of."""
    found: tuple[str, ...] = _BY_FORM.get(form, ())
    said = " ".join((form, *notes)).lower()
    if any(word in said for word in _MERCURY_WORDS):
        found += (MERCURY,)
    return found
