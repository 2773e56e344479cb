"""The handbook: figures from outside, each with its source and how far it can be trusted.

Every table in the data files beside this module carries `source` and `mark`:

- `p` published and read in the source named;
- `d` exact by definition;
- `a` follows by arithmetic from published values;
- `m` from memory;
- `c` common practice, no source.
"""

from __future__ import annotations

import tomllib
from functools import cache
from importlib import resources
from typing import Any

MARKS = {
    "p": "published",
    "d": "by definition",
    "a": "by arithmetic from published values",
    "m": "from memory",
    "c": "common practice, no source",
}


@cache
def handbook(name: str) -> dict[str, Any]:
    """Give one data file of the handbook as plain tables, such as `handbook("cupels")`."""
    text = resources.files(__name__).joinpath(f"{name}.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


def told(table: dict[str, Any]) -> str:
    """Give the source of a table in words, with how far it can be trusted."""
    return f"{table['source']} ({MARKS[table['mark']]})"
