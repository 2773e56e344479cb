"""Short cautions for things that can hurt, by what the thing is."""

from __future__ import annotations

import re
from collections.abc import Iterable

from vault.core.forms import LEADED_FORMS

LEAD = (
    "Lead. Holds litharge: keep it shut, dry and labelled; no dry sweeping; wash before eating. "
    "Presumed hazardous waste until shown otherwise; storage and shipping follow local law and a "
    "licensed carrier."
)
SILICA = "Silica dust when crushed: wet it and wear a mask."
MERCURY = "Dental and old gilding residues can hold mercury: never heat them untested."
CADMIUM = (
    "Old solders can hold cadmium, and its fume can kill: do not melt before it is known to be "
    "free of it, and never without extraction made for it."
)
CYANIDE = (
    "Plating and stripping baths can hold cyanide: never let an acid near it, and do not burn it. "
    "Leave it to a licensed carrier where it is not dry metal."
)
ACID = (
    "Acid: keep it away from cyanide and bleach, rinse and dry before anything is heated; spent "
    "acid goes as local law says."
)
WET = (
    "Wet: water under melt throws it out as steam. Dry it first, and weigh it dry; a wet weight is "
    "too heavy."
)

TRANSPORT = (
    "On the road: who may carry it, in what container, under which marks and with which papers "
    "hangs on what is in it and on the law of every place it passes. Ask a carrier who is licensed "
    "for it before it leaves; these papers are the shop's own and no transport papers."
)

# The same on a label, where there is room for a few words and what they are for stands beside them.
LEAD_LABEL = "LEAD. No eating, drinking or smoking; keep shut; wash hands."
MERCURY_LABEL = "May hold MERCURY: never heat untested."

_BY_FORM = {
    "spent cupel": (LEAD,),
    "dust": (LEAD,),
    "slag": (SILICA,),
    "crucible": (SILICA,),
}
# What the papers of a shipment say of each form: what in it can hurt, in the words of a label.
HAZARDS = {
    "spent cupel": (
        "lead, soaked up as litharge (lead oxide): toxic; presumed hazardous waste until shown "
        "otherwise"
    ),
    "dust": (
        "fine dust with lead oxide, as it may hold zinc, cadmium and silica: toxic when breathed; "
        "presumed hazardous waste until shown otherwise"
    ),
    "slag": "glassy slag; may hold lead and other base metals; silica dust when crushed",
    "crucible": "fired clay with slag in it; may hold lead; silica dust when crushed",
}
# Words by which notes, lots and customers speak of a danger; a word ending in `*` goes on.
_BY_WORDS = (
    (MERCURY, ("dental", "dentist*", "amalgam*", "gilding", "gilded", "mercury", "quicksilver")),
    (CADMIUM, ("cadmium", "solder*", "brazing")),
    (CYANIDE, ("cyanide*", "plating", "electroplating", "stripping")),
    (ACID, ("acid*", "nitric", "regia", "etch*", "pickle*", "pickling")),
    (WET, ("wet", "damp", "moist", "sludge*", "slurry", "sediment*")),
)
_SOUGHT = tuple(
    (caution, re.compile(rf"\b(?:{'|'.join(words)})\b".replace("*", r"\w*")))
    for caution, words in _BY_WORDS
)


def cautions_for(form: str, *notes: str) -> tuple[str, ...]:
    """Give the cautions for an item of this form, and for what its notes and lot speak of."""
    return _BY_FORM.get(form, ()) + spoken_of(form, *notes)


def cautions_of_shipment(forms: Iterable[str], *notes: str) -> tuple[str, ...]:
    """Give the cautions for things that leave together, and what the road asks, last."""
    leaded_first = sorted(forms, key=lambda one: (one not in LEADED_FORMS, one))
    told = [one for form in leaded_first for one in _BY_FORM.get(form, ())]
    told += spoken_of(*leaded_first, *notes)
    return (*dict.fromkeys(told), TRANSPORT) if told else ()


def spoken_of(*words: str) -> tuple[str, ...]:
    """Give the cautions for what forms, notes and names of lots speak of."""
    said = " ".join(words).lower()
    return tuple(caution for caution, sought in _SOUGHT if sought.search(said))


def label_cautions_for(forms: Iterable[str], *notes: str) -> tuple[str, ...]:
    """Give the cautions of a label for what lies in it or beneath it, lead first."""
    forms = tuple(forms)
    found = (LEAD_LABEL,) if LEADED_FORMS.intersection(forms) else ()
    return (*found, MERCURY_LABEL) if MERCURY in spoken_of(*forms, *notes) else found
