"""Numbers that people give to lots and shipments: the next one after a name that ends in one."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable

_ENDS_IN_NUMBER = re.compile(r"(.*?)([0-9]+)\Z", re.DOTALL | re.ASCII)


def next_name(last: Iterable[str], first: str, is_taken: Callable[[str], bool]) -> str:
    """Give a name that none has: the one after the last that ends in a number.

    Args:
        last: names given before, the last first.
        first: what the first of all is called.
        is_taken: whether a name was given before.

    Example:
        >>> next_name(["by hand", "L-0099"], "L-0001", lambda name: name == "L-0100")
        'L-0101'
    """
    name = next((one for one in last if _ENDS_IN_NUMBER.match(one)), "")
    name = _after(name) if name else first
    while is_taken(name):
        name = _after(name)
    return name


def _after(name: str) -> str:
    """Give the name with its number one higher, as wide as before: `L-0099` gives `L-0100`."""
    return _ENDS_IN_NUMBER.sub(
        lambda found: f"{found[1]}{int(found[2]) + 1:0{len(found[2])}d}", name, count=1
    )
