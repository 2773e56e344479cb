from __future__ import annotations

import pytest

from vault.core.cautions import LEAD, MERCURY, SILICA, cautions_for
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


def test_a_finding_proposes_nothing_unless_it_says_so() -> None:
    finding = Finding(FindingKind.CONTRADICTION, Severity.LOOK, "B-1 is heavier than its metal.")
    assert (finding.suspects, finding.proposed, finding.expected_g) == ((), (), None)
