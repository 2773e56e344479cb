"""What the bench records: tare, test weights, holds, scales, witnesses, furnaces, photos, seals."""

from __future__ import annotations

from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

# Added columns need no copy of the table, so that a book of a million lines is upgraded at once.
STATEMENTS = (
    "ALTER TABLE line ADD COLUMN tare_ug INTEGER",
    "ALTER TABLE line ADD COLUMN nominal_ug INTEGER",
    "ALTER TABLE line ADD COLUMN hold_until INTEGER",
    "ALTER TABLE line ADD COLUMN scale TEXT DEFAULT '' NOT NULL",
    "ALTER TABLE line ADD COLUMN witness TEXT DEFAULT '' NOT NULL",
    "ALTER TABLE line ADD COLUMN furnace TEXT DEFAULT '' NOT NULL",
    "ALTER TABLE item ADD COLUMN hold_until INTEGER",
    """
CREATE TABLE photo (
    entry INTEGER NOT NULL,
    position INTEGER NOT NULL,
    tag TEXT NOT NULL,
    sha256 TEXT NOT NULL,
    caption TEXT NOT NULL,
    PRIMARY KEY (entry, position)
)
 WITHOUT ROWID,
 STRICT
    """,
    """
CREATE INDEX photo_by_tag ON photo (tag, entry)
    """,
    """
CREATE TABLE seal (
    name TEXT NOT NULL,
    number TEXT NOT NULL,
    entry INTEGER NOT NULL,
    role TEXT NOT NULL,
    witness TEXT NOT NULL,
    PRIMARY KEY (name)
)
 WITHOUT ROWID,
 STRICT
    """,
    """
CREATE TABLE scale_check (
    entry INTEGER NOT NULL,
    position INTEGER NOT NULL,
    scale TEXT NOT NULL,
    day INTEGER NOT NULL,
    nominal_ug INTEGER NOT NULL,
    showed_ug INTEGER NOT NULL,
    PRIMARY KEY (entry, position)
)
 WITHOUT ROWID,
 STRICT
    """,
    """
CREATE INDEX scale_check_by_scale ON scale_check (scale, day)
    """,
)


def upgrade() -> None:
    """Add columns and tables; all of them are empty for entries of before."""
    for statement in STATEMENTS:
        op.execute(statement)
    op.execute("PRAGMA user_version=2")
