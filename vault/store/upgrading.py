"""Bringing an older file up to date: all steps in one transaction, or none."""

from __future__ import annotations

from pathlib import Path

from alembic import command
from alembic.config import Config
from sqlalchemy import Engine, text

from vault.store.errors import BookDamaged

_SCRIPTS = Path(__file__).parent / "migrations"


def upgrade(engine: Engine, *, to: str = "head") -> None:
    """Run every migration step that the file lacks.

    Raises:
        BookDamaged: when references in the file do not hold afterwards; nothing is changed then.
    """
    config = Config()
    config.set_main_option("script_location", str(_SCRIPTS))
    with engine.connect() as connection:
        wire = connection.connection.driver_connection
        if wire is None:
            raise RuntimeError("a connection without a driver")
        # Foreign keys off before BEGIN: rebuilding a table with them on empties its children.
        wire.execute("PRAGMA foreign_keys=OFF")
        try:
            with connection.begin():
                config.attributes["connection"] = connection
                command.upgrade(config, to)
                broken = connection.execute(text("PRAGMA foreign_key_check")).first()
                if broken is not None:
                    raise BookDamaged(
                        f"The book cannot be brought up to date: its table {broken[0]} refers to "
                        "lines that are not there. It was left as it was."
                    )
        finally:
            wire.execute("PRAGMA foreign_keys=ON")
