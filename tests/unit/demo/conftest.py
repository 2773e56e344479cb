"""The demonstration shop, simulated once for all tests of it."""

from __future__ import annotations

import pytest

from demo_db.simulator.notebook import Notebook
from demo_db.simulator.story import simulate


@pytest.fixture(scope="session")
def told() -> Notebook:
    """The notebook of the two years, with the truth beside it."""
    return simulate()
