from __future__ import annotations

import pytest

from vault.core.forms import FORM_ORDER, LEADED_FORMS, RESIDUE_FORMS, is_residue, order_of
from vault.core.knowledge import METHODS, NOTHING_KNOWN, SETTLEMENT, How
from vault.core.metals import ALL_SYMBOLS, BY_SYMBOL, SYMBOLS


def test_the_four_metals_come_first_and_every_symbol_once() -> None:
    assert ALL_SYMBOLS[:4] == SYMBOLS == ("Ag", "Au", "Pt", "Pd")
    assert len(set(ALL_SYMBOLS)) == len(ALL_SYMBOLS) == 8


def test_a_metal_is_found_by_its_symbol() -> None:
    assert BY_SYMBOL["Au"].name == "gold"


def test_residues_come_last_and_unknown_forms_after_all() -> None:
    forms = ["slag", "bar", "umbrella stand", "anvil"]
    assert sorted(forms, key=order_of) == ["bar", "slag", "anvil", "umbrella stand"]
    assert max(FORM_ORDER[form] for form in FORM_ORDER if form not in RESIDUE_FORMS) < min(
        FORM_ORDER[form] for form in RESIDUE_FORMS
    )


@pytest.mark.parametrize("form", ["slag", "spent cupel", "dust", "crucible"])
def test_what_work_leaves_behind_is_a_residue(form: str) -> None:
    assert is_residue(form)
    assert not is_residue("bar")
    assert not is_residue("umbrella stand")


def test_leaded_forms_are_residues() -> None:
    assert set(RESIDUE_FORMS) >= LEADED_FORMS


def test_a_settlement_is_a_method_and_nothing_known_has_no_figure() -> None:
    assert SETTLEMENT in METHODS
    assert NOTHING_KNOWN.fine_ug is None
    assert NOTHING_KNOWN.how is How.NOT_KNOWN
