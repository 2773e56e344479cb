"""Short cautions for things that can hurt, by what the thing is."""

from __future__ import annotations

from collections.abc import Iterable

from vault.core.forms import LEADED_FORMS

LEAD = (
    "Lead. Holds litharge: keep it shut, dry and labelled; no dry sweeping; wash before eating. "
    "Presumed hazardous waste until shown otherwise; storage and shipping follow local law and a "
    "licensed carrier."
)
SILICA = "Silica dust when crushed: wet it and wear a mask."
MERCURY = "Dental and old gilding residues can hold mercury: never heat them untested."

# The same on a label, where there is room for a few words and what they are for stands beside them.
LEAD_LABEL = "LEAD. No eating, drinking or smoking; keep shut; wash hands."
MERCURY_LABEL = "May hold MERCURY: never heat untested."

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
    if _speaks_of_mercury(form, *notes):
        found += (MERCURY,)
    return found


def label_cautions_for(forms: Iterable[str], *notes: str) -> tuple[str, ...]:
    """Give the cautions of a label for what lies in it or beneath it, lead first."""
    forms = tuple(forms)
    found = (LEAD_LABEL,) if LEADED_FORMS.intersection(forms) else ()
    return (*found, MERCURY_LABEL) if _speaks_of_mercury(*forms, *notes) else found


def _speaks_of_mercury(*words: str) -> bool:
    said = " ".join(words).lower()
    return any(word in said for word in _MERCURY_WORDS)
