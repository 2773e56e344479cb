"""Check digits by ISO/IEC 7064 against values from outside, each with its source."""

from __future__ import annotations

import pytest

from vault.core.tags import mod_97_10


@pytest.mark.parametrize(
    ("figures", "check"),
    [
        # Both the tests of cdigit 2.6.6 and the page of iso7064mod9710 (npm) give this one, which
        # is the standard's own example (that it is: from memory).
        ("794", "44"),
        # The tests of cdigit 2.6.6 for MOD 97-10.
        ("32142829123456987654321611", "82"),
        ("0600001234567", "58"),
        ("94230737687", "04"),
        ("00001055949422872", "63"),
        # The documentation of python-stdnum, module mod_97_10.
        ("99991234567890121414", "90"),
        ("4354111611551114", "31"),
        ("22181321402534321446701611", "35"),
    ],
)
def test_check_digits_are_those_of_the_standard(figures: str, check: str) -> None:
    assert mod_97_10(figures) == check
    assert int(figures + check) % 97 == 1


@pytest.mark.parametrize(
    "number",
    [
        "WEST12345698765432GB82",  # the example of account numbers for Great Britain; from memory
        "370400440532013000DE89",  # and for Germany; from memory
    ],
)
def test_account_numbers_hold_by_the_same_rule(number: str) -> None:
    """ISO 13616 writes letters as 10 to 35 and moves the country to the end; then MOD 97-10."""
    figures = "".join(str(int(one, 36)) for one in number)
    assert mod_97_10(figures[:-2]) == figures[-2:]
