"""What is loaded when it is first wanted."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from vault.screens.later import later

TELLING = "def of(one): return 2 * one\n"


@pytest.fixture
def telling(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    """A module that can be told when it is loaded."""
    (tmp_path / "told_by_itself.py").write_text(TELLING)
    monkeypatch.syspath_prepend(tmp_path)
    monkeypatch.delitem(sys.modules, "told_by_itself", raising=False)
    return "told_by_itself"


def test_a_module_is_loaded_when_its_function_is_first_called(telling: str) -> None:
    doubled = later(telling, "of")
    assert telling not in sys.modules
    assert doubled(4) == 8
    assert telling in sys.modules
