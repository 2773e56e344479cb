"""Pictures are drawn at one size, in the program's own face, of invented figures."""

from __future__ import annotations

from pathlib import Path

import pytest

from pictures.comparing import Pictures


@pytest.fixture
def pictures(request: pytest.FixtureRequest, tmp_path: Path) -> Pictures:
    return Pictures(is_accepting=bool(request.config.getoption("accept_pictures")), drawn=tmp_path)
