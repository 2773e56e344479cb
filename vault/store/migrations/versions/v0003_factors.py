"""What residues were believed to keep at each month's end, kept beside the figures told then."""

from __future__ import annotations

from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None

STATEMENTS = (
    """
CREATE TABLE reported_factor (
    day INTEGER NOT NULL,
    kind TEXT NOT NULL,
    metal TEXT NOT NULL,
    guess_ppb INTEGER NOT NULL,
    guess_u_ppb INTEGER NOT NULL,
    now_ppb INTEGER NOT NULL,
    now_u_ppb INTEGER NOT NULL,
    PRIMARY KEY (day, kind, metal)
)
 WITHOUT ROWID,
 STRICT
    """,
    """
CREATE TRIGGER reported_factor_keeps_on_update BEFORE UPDATE ON reported_factor BEGIN SELECT RAISE(ABORT, 'the reported_factor table is only ever added to'); END
    """,
    """
CREATE TRIGGER reported_factor_keeps_on_delete BEFORE DELETE ON reported_factor BEGIN SELECT RAISE(ABORT, 'the reported_factor table is only ever added to'); END
    """,
)


def upgrade() -> None:
    """Add the table; it is filled, month by month, once the book is open."""
    for statement in STATEMENTS:
        op.execute(statement)
    op.execute("PRAGMA user_version=3")
