from __future__ import annotations

import pytest

from vault.core.cautions import (
    ACID,
    CADMIUM,
    CYANIDE,
    LEAD,
    MERCURY,
    SILICA,
    WET,
    cautions_for,
)
from vault.core.findings import Finding, FindingKind, Severity
from vault.core.forms import LEADED_FORMS


@pytest.mark.parametrize("form", sorted(LEADED_FORMS))
def test_every_form_that_holds_litharge_carries_the_caution_of_lead(form: str) -> None:
    assert LEAD in cautions_for(form)


def test_a_bar_carries_no_caution_and_slag_that_of_its_dust() -> None:
    assert cautions_for("bar") == ()
    assert cautions_for("slag") == (SILICA,)


def test_dental_and_gilding_residues_are_never_heated_untested() -> None:
    assert cautions_for("scrap", "Dental, with teeth") == (MERCURY,)
    assert cautions_for("dust", "old Gilding") == (LEAD, MERCURY)


@pytest.mark.parametrize(
    ("note", "caution"),
    [
        ("two jars of amalgams", MERCURY),
        ("offcuts with solder joints", CADMIUM),
        ("from the plating bench", CYANIDE),
        ("rinsed after nitric", ACID),
        ("sludge, still wet", WET),
    ],
)
def test_what_a_note_speaks_of_brings_its_caution(note: str, caution: str) -> None:
    assert cautions_for("sweeps", note) == (caution,)


def test_a_word_within_a_word_brings_no_caution() -> None:
    assert cautions_for("sweeps", "sweated by placid Mr Moisten in Wetherby") == ()


def test_a_finding_proposes_nothing_unless_it_says_so() -> None:
    finding = Finding(FindingKind.CONTRADICTION, Severity.LOOK, "B-1 is heavier than its metal.")
    assert (finding.suspects, finding.proposed, finding.expected_g) == ((), (), None)
