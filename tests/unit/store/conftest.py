"""Books for the tests of the store."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from vault.store.book_file import BookFile


@pytest.fixture
def book(tmp_path: Path) -> Iterator[BookFile]:
    """An empty book, open for writing."""
    file = BookFile.create(tmp_path / "our.shop", zone="Europe/Oslo", shop_name="The Assay Yard")
    yield file
    file.close()


@pytest.fixture
def open_folder() -> Iterator[Path]:
    """A folder that every user of the machine can get to, unlike those of pytest."""
    folder = Path(tempfile.mkdtemp(prefix="vault-test-"))
    folder.chmod(0o755)
    yield folder
    for path in (folder, *folder.rglob("*")):
        path.chmod(0o755)
    shutil.rmtree(folder)
