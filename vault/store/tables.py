"""The tables of a book.

Three kinds, told apart by `info["kind"]`:

- *facts*: `entry`, `line`, `line_content`. Appended to, never altered; triggers refuse anything
  else, REPLACE included.
- *standing*: what a replay of the facts gives (`strike`, `item`, `lot`, `seal`, …), kept in the
  same transaction so that lists need no replay.
- *figures*: what reckoning gives. Can be thrown away; `figures_state` says for which head of the
  chain they hold. `reported`, `reported_content` and `reported_factor` keep figures as they were
  told on a day and are append-only like facts.

Days are proleptic ordinals (`date.toordinal`), instants microseconds since 1970 in UTC, masses
micrograms, finenesses ppb, money millionths.
"""

from __future__ import annotations

from sqlalchemy import (
    Column,
    ForeignKeyConstraint,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    Table,
    Text,
)
from sqlalchemy.schema import SchemaItem

METADATA = MetaData()

FACTS = ("entry", "line", "line_content")
APPEND_ONLY = (*FACTS, "reported", "reported_content", "reported_factor")


def _table(name: str, kind: str, *items: SchemaItem, with_rowid: bool = False) -> Table:
    return Table(
        name,
        METADATA,
        *items,
        info={"kind": kind},
        sqlite_strict=True,
        sqlite_with_rowid=with_rowid,
    )


def _number(name: str, *, key: bool = False, empty: bool = False) -> Column[int]:
    return Column(name, Integer, primary_key=key, nullable=empty, autoincrement=False)


def _word(name: str, *, key: bool = False) -> Column[str]:
    return Column(name, Text, primary_key=key, nullable=False)


def _later_word(name: str) -> Column[str]:
    """Give a column that came with a later format; rows from before it hold nothing in it."""
    return Column(name, Text, nullable=False, server_default="")


SETTING = _table("setting", "setting", _word("name", key=True), _word("value"))

ENTRY = _table(
    "entry",
    "facts",
    _number("number", key=True),
    _number("day"),
    _number("at_us", empty=True),
    _word("by"),
    _word("act"),
    _word("process"),
    _number("recorded_at_us"),
    Column("key", Text, nullable=False, unique=True),
    Column("head", LargeBinary, nullable=False),
    Column("seal", LargeBinary, nullable=False),
    with_rowid=True,
)
Index("entry_by_day", ENTRY.c.day, ENTRY.c.at_us)
Index("entry_by_act", ENTRY.c.act, ENTRY.c.number)

LINE = _table(
    "line",
    "facts",
    _number("entry", key=True),
    _number("position", key=True),
    _word("role"),
    _word("tag"),
    _word("form"),
    _word("lot"),
    _word("party"),
    _word("terms"),
    _word("place"),
    _number("gross_ug", empty=True),
    _number("gross_u_ug", empty=True),
    _word("how"),
    _word("ref"),
    _number("money_millionths", empty=True),
    _word("currency"),
    _word("note"),
    _number("tare_ug", empty=True),
    _number("nominal_ug", empty=True),
    _number("hold_until", empty=True),
    _later_word("scale"),
    _later_word("witness"),
    _later_word("furnace"),
    ForeignKeyConstraint(["entry"], ["entry.number"]),
)
Index("line_by_tag", LINE.c.tag, LINE.c.entry)
Index("line_by_ref", LINE.c.ref, LINE.c.entry, sqlite_where=LINE.c.ref != "")

LINE_CONTENT = _table(
    "line_content",
    "facts",
    _number("entry", key=True),
    _number("position", key=True),
    _word("metal", key=True),
    _number("ppb"),
    _number("u_ppb", empty=True),
    ForeignKeyConstraint(["entry", "position"], ["line.entry", "line.position"]),
)

STRIKE = _table("strike", "standing", _number("struck", key=True), _number("struck_by"))

ITEM = _table(
    "item",
    "standing",
    _number("id", key=True),
    Column("tag", Text, nullable=False, unique=True),
    _word("form"),
    _word("lot"),
    _word("party"),
    _word("terms"),
    _number("made_by"),
    _number("made_on"),
    _number("used_by", empty=True),
    _number("gross_ug", empty=True),
    _number("gross_u_ug", empty=True),
    _word("place"),
    _word("state"),
    _number("is_residue"),
    _word("note"),
    _number("hold_until", empty=True),
    with_rowid=True,
)
Index("item_by_state_place", ITEM.c.state, ITEM.c.place, ITEM.c.tag)
Index("item_by_state_form", ITEM.c.state, ITEM.c.form, ITEM.c.tag)
Index("item_by_state_age", ITEM.c.state, ITEM.c.made_on)
Index("item_by_state_gross", ITEM.c.state, ITEM.c.gross_ug)
Index("item_by_lot", ITEM.c.lot, sqlite_where=ITEM.c.lot != "")
Index("item_by_making", ITEM.c.made_by)
Index("item_by_using", ITEM.c.used_by, sqlite_where=ITEM.c.used_by.is_not(None))

LOT = _table(
    "lot",
    "standing",
    _word("name", key=True),
    _word("party"),
    _word("terms"),
    _number("day"),
    _number("entry"),
)

# Every place that anything was ever put in; a moved name that is no tag must be one of these.
PLACE = _table("place", "standing", _word("name", key=True))

CONTAINER = _table("container", "standing", _word("name", key=True), _word("place"))

# The pictures of items, each by the SHA-256 of its file.
PHOTO = _table(
    "photo",
    "standing",
    _number("entry", key=True),
    _number("position", key=True),
    _word("tag"),
    _word("sha256"),
    _word("caption"),
)
Index("photo_by_tag", PHOTO.c.tag, PHOTO.c.entry)

# The unbroken seal on an item or a container, and what was last said of it.
SEAL = _table(
    "seal",
    "standing",
    _word("name", key=True),
    _word("number"),
    _number("entry"),
    _word("role"),
    _word("witness"),
)

SCALE_CHECK = _table(
    "scale_check",
    "standing",
    _number("entry", key=True),
    _number("position", key=True),
    _word("scale"),
    _number("day"),
    _number("nominal_ug"),
    _number("showed_ug"),
)
Index("scale_check_by_scale", SCALE_CHECK.c.scale, SCALE_CHECK.c.day)

CONTENT = _table(
    "content",
    "figures",
    _number("item", key=True),
    _word("metal", key=True),
    _number("fine_ug", empty=True),
    _number("u_ug", empty=True),
    _word("how"),
)
Index("content_by_metal", CONTENT.c.metal, CONTENT.c.fine_ug)

# Whose an item is and which lots gave it most of its metal; `lots` is names joined by newlines.
ITEM_ORIGIN = _table(
    "item_origin",
    "figures",
    _number("item", key=True),
    _word("owner"),
    _number("owner_share_ppm", empty=True),
    _word("lots"),
    _number("more_lots"),
)
Index("item_origin_by_owner", ITEM_ORIGIN.c.owner)

STOCK_TOTAL = _table(
    "stock_total",
    "figures",
    _word("metal", key=True),
    _word("form", key=True),
    _number("items"),
    _number("not_known"),
    _number("fine_ug", empty=True),
    _number("u_ug", empty=True),
    _word("how"),
)

STOCK_OWNER = _table(
    "stock_owner",
    "figures",
    _word("metal", key=True),
    _word("owner", key=True),
    _number("fine_ug", empty=True),
    _number("u_ug", empty=True),
)

SERIES_POINT = _table(
    "series_point",
    "figures",
    _word("metal", key=True),
    _number("day", key=True),
    _word("form", key=True),
    _number("fine_ug"),
    _number("u_ug", empty=True),
)

SERIES_MARK = _table("series_mark", "figures", _number("day", key=True), _word("words", key=True))

FINDING = _table("finding", "figures", _number("position", key=True), _word("told"))

FIGURES_STATE = _table(
    "figures_state",
    "figures",
    _number("one", key=True),
    _number("entry"),
    Column("head", LargeBinary, nullable=False),
    _number("worked_out_at_us"),
)

REPORTED = _table(
    "reported",
    "reported",
    _number("day", key=True),
    _word("metal", key=True),
    _word("form", key=True),
    _number("entry"),
    _number("fine_ug"),
    _number("u_ug"),
)

REPORTED_CONTENT = _table(
    "reported_content",
    "reported",
    _number("item", key=True),
    _word("metal", key=True),
    _number("day"),
    _number("fine_ug"),
    _number("u_ug"),
)

# What residues keep of the metal fed, as believed on a day. A day on which nothing was kept yet has
# one row, of no kind and metal: it was told, too.
REPORTED_FACTOR = _table(
    "reported_factor",
    "reported",
    _number("day", key=True),
    _word("kind", key=True),
    _word("metal", key=True),
    _number("guess_ppb"),
    _number("guess_u_ppb"),
    _number("now_ppb"),
    _number("now_u_ppb"),
)

FIGURE_TABLES = tuple(table for table in METADATA.sorted_tables if table.info["kind"] == "figures")

TRIGGERS = tuple(
    f"CREATE TRIGGER {table}_keeps_on_{verb.lower()} BEFORE {verb} ON {table} "
    f"BEGIN SELECT RAISE(ABORT, 'the {table} table is only ever added to'); END"
    for table in APPEND_ONLY
    for verb in ("UPDATE", "DELETE")
)
STANDING_TABLES = tuple(
    table for table in METADATA.sorted_tables if table.info["kind"] == "standing"
)
