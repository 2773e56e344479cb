"""The cautions of the trade, short; each stands again where it matters."""

from __future__ import annotations

CAUTIONS = (
    (
        "Lead",
        (
            "Cupelling gives off lead fume, and spent cupels and hood dust hold litharge. Run the "
            "hood, no food at the bench, wash before eating, no dry sweeping. Spent lead cupels "
            "are presumed hazardous waste until shown otherwise."
        ),
    ),
    ("Silica", "Dust of fluxes, and of crushing slag, cupels or crucibles: wet it, wear a mask."),
    ("Zinc and cadmium", "Old solders give off fumes when they melt; cadmium fume can kill."),
    ("Mercury", "Dental residues and old gilding can hold mercury. Never heat them."),
    ("Cyanide and acids", "Never mix them, and never here."),
    ("Burns", "A wet mould or crucible explodes with steam. Dry and warm it first."),
    (
        "The law where you are",
        (
            "Every legal figure in this program is a setting with its source. Local codes and "
            "licensed practice come first."
        ),
    ),
    (
        "Figures",
        "Figures and their ± are an aid to your own judgement, and no certified assay.",
    ),
)
