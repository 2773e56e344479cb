"""The examples in the words of the balance hold."""

from __future__ import annotations

import doctest
from types import ModuleType

import pytest

from vault.reckoning.balance import family, fronts, next_assay, suspects


@pytest.mark.parametrize("module", [family, fronts, next_assay, suspects])
def test_every_example_gives_what_it_says(module: ModuleType) -> None:
    found = doctest.testmod(module)
    assert found.attempted > 0
    assert found.failed == 0
