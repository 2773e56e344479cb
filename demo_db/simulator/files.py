"""The two files of the demonstration: the daybook as anybody may read it, and the truth apart."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterator

from demo_db.simulator import furnace
from demo_db.simulator.dice import SEED
from demo_db.simulator.notebook import Notebook
from demo_db.simulator.stuff import PRECIOUS
from vault.core.daybook import WORDS, Entry, Line, When

COLUMNS = (
    *("entry", "when", "by", "act", "process", "role", "tag", "form", "lot", "party", "terms"),
    *("place", "gross_g", "gross_u_g"),
    *(name for metal in PRECIOUS for name in (metal, f"{metal}_u")),
    *("how", "ref", "amount", "currency", "note"),
)


def daybook_text(book: Notebook) -> str:
    """Give the daybook as CSV, one row per line."""
    stream = io.StringIO()
    writer = csv.DictWriter(stream, COLUMNS, lineterminator="\n")
    writer.writeheader()
    for entry in book.entries:
        writer.writerows(_rows_of(entry))
    return stream.getvalue()


def _rows_of(entry: Entry) -> Iterator[dict[str, str]]:
    for line in entry.lines:
        yield {
            "entry": str(entry.number),
            "when": _moment(entry.when),
            "by": entry.by,
            "act": entry.act.value,
            "process": entry.process.value if entry.process else "",
            **_cells_of(line),
        }


def _moment(when: When) -> str:
    """Give the day, or what the shop's clock showed, without saying where the shop lies."""
    return when.day.isoformat() if when.at is None else f"{when.at:%Y-%m-%dT%H:%M}"


def _cells_of(line: Line) -> dict[str, str]:
    cells = {name: getattr(line, name) for name in WORDS if name in COLUMNS}
    cells["role"] = line.role.value
    if line.gross is not None:
        cells["gross_g"] = line.gross.to_text()
    if line.gross_u is not None:
        cells["gross_u_g"] = line.gross_u.to_text()
    for said in line.contents:
        cells[said.metal] = said.fineness.to_text()
        if said.u is not None:
            cells[f"{said.metal}_u"] = said.u.to_text()
    if line.money is not None:
        cells["amount"] = line.money.to_text()
        cells["currency"] = line.money.currency
    return cells


def truth_text(book: Notebook) -> str:
    """Give the truth as JSON: masses in whole micrograms, shares as plain numbers."""
    document = {
        "seed": SEED,
        "house": {
            "slag of smelting": furnace.SLAG_KEEPS,
            "slag of poor feed": furnace.POOR_SLAG_KEEPS,
            "slag of remelting": furnace.REMELT_SLAG_KEEPS,
            "crucible": furnace.CRUCIBLE_KEEPS,
            "spent cupel": {"Ag on the fit": furnace.CUPEL_SILVER_FACTOR, **furnace.CUPEL_KEEPS},
            "batch scatter": furnace.BATCH,
            "losses": furnace.LOSSES,
        },
        "items": {
            tag: {"gross": thing.stuff.mass_ug, **thing.stuff.fine()}
            for tag, thing in book.things.items()
        },
        "lost": {str(work.entry): work.lost.fine() for work in book.works.values()},
        "mistakes": [
            {
                "kind": one.kind,
                "entries": one.entries,
                "tags": one.tags,
                "wrong": one.wrong,
                "right": one.right,
            }
            for one in book.mistakes
        ],
    }
    return json.dumps(document, ensure_ascii=False, indent=1) + "\n"
