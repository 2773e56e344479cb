from __future__ import annotations

import pytest

from vault.core.numbering import next_name


@pytest.mark.parametrize(
    ("last", "taken", "expected"),
    [
        ([], set(), "V-0001"),
        (["V-0009"], set(), "V-0010"),
        (["2031/99"], set(), "2031/100"),
        (["by hand", "V-7"], set(), "V-8"),
        (["by hand"], {"V-0001"}, "V-0002"),
        (["V-7"], {"V-8", "V-9"}, "V-10"),
    ],
)
def test_the_next_name_follows_the_last_that_ends_in_a_number(
    last: list[str], taken: set[str], expected: str
) -> None:
    assert next_name(last, "V-0001", taken.__contains__) == expected
