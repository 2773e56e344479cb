"""What an item can be: its form, and whether that form is the aim of work or a residue."""

from __future__ import annotations

# The trade's common words. A form that is not here is taken as written: a shop has its own
# things; it then counts as an aim of work and not as a residue.
PRODUCT_FORMS = (
    "bar",
    "button",
    "bead",
    "grain",
    "sweeps",
    "filings",
    "scrap",
    "concentrate",
    "ash",
    "sample",
    "sheet",
    "wire",
)
RESIDUE_FORMS = ("slag", "spent cupel", "dust", "crucible")

# How the Safe orders its bars of stock: finished metal first, residues last.
FORM_ORDER = {form: place for place, form in enumerate(PRODUCT_FORMS + RESIDUE_FORMS)}

# Spent cupels and hood dust hold litharge; a caution goes wherever they are shown.
LEADED_FORMS = frozenset({"spent cupel", "dust"})


def is_residue(form: str) -> bool:
    """Tell whether items of this form are what work leaves behind rather than its aim."""
    return form in RESIDUE_FORMS


def order_of(form: str) -> tuple[int, str]:
    """Give the sort key of a form: known forms in their own order, others after them by name."""
    return FORM_ORDER.get(form, len(FORM_ORDER)), form
