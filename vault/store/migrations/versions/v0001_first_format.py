"""The first format of the book."""

from __future__ import annotations

from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

STATEMENTS = (
    """
CREATE TABLE container (
    name TEXT NOT NULL,
    place TEXT NOT NULL,
    PRIMARY KEY (name)
)
 WITHOUT ROWID,
 STRICT
    """,
    """
CREATE TABLE content (
    item INTEGER NOT NULL,
    metal TEXT NOT NULL,
    fine_ug INTEGER,
    u_ug INTEGER,
    how TEXT NOT NULL,
    PRIMARY KEY (item, metal)
)
 WITHOUT ROWID,
 STRICT
    """,
    """
CREATE INDEX content_by_metal ON content (metal, fine_ug)
    """,
    """
CREATE TABLE entry (
    number INTEGER NOT NULL,
    day INTEGER NOT NULL,
    at_us INTEGER,
    "by" TEXT NOT NULL,
    act TEXT NOT NULL,
    process TEXT NOT NULL,
    recorded_at_us INTEGER NOT NULL,
    "key" TEXT NOT NULL,
    head BLOB NOT NULL,
    seal BLOB NOT NULL,
    PRIMARY KEY (number),
    UNIQUE ("key")
)
 STRICT
    """,
    """
CREATE INDEX entry_by_act ON entry (act, number)
    """,
    """
CREATE INDEX entry_by_day ON entry (day, at_us)
    """,
    """
CREATE TABLE figures_state (
    one INTEGER NOT NULL,
    entry INTEGER NOT NULL,
    head BLOB NOT NULL,
    worked_out_at_us INTEGER NOT NULL,
    PRIMARY KEY (one)
)
 WITHOUT ROWID,
 STRICT
    """,
    """
CREATE TABLE finding (
    position INTEGER NOT NULL,
    told TEXT NOT NULL,
    PRIMARY KEY (position)
)
 WITHOUT ROWID,
 STRICT
    """,
    """
CREATE TABLE item (
    id INTEGER NOT NULL,
    tag TEXT NOT NULL,
    form TEXT NOT NULL,
    lot TEXT NOT NULL,
    party TEXT NOT NULL,
    terms TEXT NOT NULL,
    made_by INTEGER NOT NULL,
    made_on INTEGER NOT NULL,
    used_by INTEGER,
    gross_ug INTEGER,
    gross_u_ug INTEGER,
    place TEXT NOT NULL,
    state TEXT NOT NULL,
    is_residue INTEGER NOT NULL,
    note TEXT NOT NULL,
    PRIMARY KEY (id),
    UNIQUE (tag)
)
 STRICT
    """,
    """
CREATE INDEX item_by_lot ON item (lot) WHERE lot != ''
    """,
    """
CREATE INDEX item_by_making ON item (made_by)
    """,
    """
CREATE INDEX item_by_state_age ON item (state, made_on)
    """,
    """
CREATE INDEX item_by_state_form ON item (state, form, tag)
    """,
    """
CREATE INDEX item_by_state_gross ON item (state, gross_ug)
    """,
    """
CREATE INDEX item_by_state_place ON item (state, place, tag)
    """,
    """
CREATE INDEX item_by_using ON item (used_by) WHERE used_by IS NOT NULL
    """,
    """
CREATE TABLE item_origin (
    item INTEGER NOT NULL,
    owner TEXT NOT NULL,
    owner_share_ppm INTEGER,
    lots TEXT NOT NULL,
    more_lots INTEGER NOT NULL,
    PRIMARY KEY (item)
)
 WITHOUT ROWID,
 STRICT
    """,
    """
CREATE INDEX item_origin_by_owner ON item_origin (owner)
    """,
    """
CREATE TABLE lot (
    name TEXT NOT NULL,
    party TEXT NOT NULL,
    terms TEXT NOT NULL,
    day INTEGER NOT NULL,
    entry INTEGER NOT NULL,
    PRIMARY KEY (name)
)
 WITHOUT ROWID,
 STRICT
    """,
    """
CREATE TABLE place (
    name TEXT NOT NULL,
    PRIMARY KEY (name)
)
 WITHOUT ROWID,
 STRICT
    """,
    """
CREATE TABLE reported (
    day INTEGER NOT NULL,
    metal TEXT NOT NULL,
    form TEXT NOT NULL,
    entry INTEGER NOT NULL,
    fine_ug INTEGER NOT NULL,
    u_ug INTEGER NOT NULL,
    PRIMARY KEY (day, metal, form)
)
 WITHOUT ROWID,
 STRICT
    """,
    """
CREATE TABLE reported_content (
    item INTEGER NOT NULL,
    metal TEXT NOT NULL,
    day INTEGER NOT NULL,
    fine_ug INTEGER NOT NULL,
    u_ug INTEGER NOT NULL,
    PRIMARY KEY (item, metal)
)
 WITHOUT ROWID,
 STRICT
    """,
    """
CREATE TABLE series_mark (
    day INTEGER NOT NULL,
    words TEXT NOT NULL,
    PRIMARY KEY (day, words)
)
 WITHOUT ROWID,
 STRICT
    """,
    """
CREATE TABLE series_point (
    metal TEXT NOT NULL,
    day INTEGER NOT NULL,
    form TEXT NOT NULL,
    fine_ug INTEGER NOT NULL,
    u_ug INTEGER,
    PRIMARY KEY (metal, day, form)
)
 WITHOUT ROWID,
 STRICT
    """,
    """
CREATE TABLE setting (
    name TEXT NOT NULL,
    value TEXT NOT NULL,
    PRIMARY KEY (name)
)
 WITHOUT ROWID,
 STRICT
    """,
    """
CREATE TABLE stock_owner (
    metal TEXT NOT NULL,
    owner TEXT NOT NULL,
    fine_ug INTEGER,
    u_ug INTEGER,
    PRIMARY KEY (metal, owner)
)
 WITHOUT ROWID,
 STRICT
    """,
    """
CREATE TABLE stock_total (
    metal TEXT NOT NULL,
    form TEXT NOT NULL,
    items INTEGER NOT NULL,
    not_known INTEGER NOT NULL,
    fine_ug INTEGER,
    u_ug INTEGER,
    how TEXT NOT NULL,
    PRIMARY KEY (metal, form)
)
 WITHOUT ROWID,
 STRICT
    """,
    """
CREATE TABLE strike (
    struck INTEGER NOT NULL,
    struck_by INTEGER NOT NULL,
    PRIMARY KEY (struck)
)
 WITHOUT ROWID,
 STRICT
    """,
    """
CREATE TABLE line (
    entry INTEGER NOT NULL,
    position INTEGER NOT NULL,
    role TEXT NOT NULL,
    tag TEXT NOT NULL,
    form TEXT NOT NULL,
    lot TEXT NOT NULL,
    party TEXT NOT NULL,
    terms TEXT NOT NULL,
    place TEXT NOT NULL,
    gross_ug INTEGER,
    gross_u_ug INTEGER,
    how TEXT NOT NULL,
    ref TEXT NOT NULL,
    money_millionths INTEGER,
    currency TEXT NOT NULL,
    note TEXT NOT NULL,
    PRIMARY KEY (entry, position),
    FOREIGN KEY(entry) REFERENCES entry (number)
)
 WITHOUT ROWID,
 STRICT
    """,
    """
CREATE INDEX line_by_ref ON line (ref, entry) WHERE ref != ''
    """,
    """
CREATE INDEX line_by_tag ON line (tag, entry)
    """,
    """
CREATE TABLE line_content (
    entry INTEGER NOT NULL,
    position INTEGER NOT NULL,
    metal TEXT NOT NULL,
    ppb INTEGER NOT NULL,
    u_ppb INTEGER,
    PRIMARY KEY (entry, position, metal),
    FOREIGN KEY(entry, position) REFERENCES line (entry, position)
)
 WITHOUT ROWID,
 STRICT
    """,
    """
CREATE TRIGGER entry_keeps_on_update BEFORE UPDATE ON entry BEGIN SELECT RAISE(ABORT, 'the entry table is only ever added to'); END
    """,
    """
CREATE TRIGGER entry_keeps_on_delete BEFORE DELETE ON entry BEGIN SELECT RAISE(ABORT, 'the entry table is only ever added to'); END
    """,
    """
CREATE TRIGGER line_keeps_on_update BEFORE UPDATE ON line BEGIN SELECT RAISE(ABORT, 'the line table is only ever added to'); END
    """,
    """
CREATE TRIGGER line_keeps_on_delete BEFORE DELETE ON line BEGIN SELECT RAISE(ABORT, 'the line table is only ever added to'); END
    """,
    """
CREATE TRIGGER line_content_keeps_on_update BEFORE UPDATE ON line_content BEGIN SELECT RAISE(ABORT, 'the line_content table is only ever added to'); END
    """,
    """
CREATE TRIGGER line_content_keeps_on_delete BEFORE DELETE ON line_content BEGIN SELECT RAISE(ABORT, 'the line_content table is only ever added to'); END
    """,
    """
CREATE TRIGGER reported_keeps_on_update BEFORE UPDATE ON reported BEGIN SELECT RAISE(ABORT, 'the reported table is only ever added to'); END
    """,
    """
CREATE TRIGGER reported_keeps_on_delete BEFORE DELETE ON reported BEGIN SELECT RAISE(ABORT, 'the reported table is only ever added to'); END
    """,
    """
CREATE TRIGGER reported_content_keeps_on_update BEFORE UPDATE ON reported_content BEGIN SELECT RAISE(ABORT, 'the reported_content table is only ever added to'); END
    """,
    """
CREATE TRIGGER reported_content_keeps_on_delete BEFORE DELETE ON reported_content BEGIN SELECT RAISE(ABORT, 'the reported_content table is only ever added to'); END
    """,
)


def upgrade() -> None:
    """Make every table, index and trigger."""
    for statement in STATEMENTS:
        op.execute(statement)
    op.execute("PRAGMA application_id=1297041457")
    op.execute("PRAGMA user_version=1")
