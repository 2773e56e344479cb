"""The shop's time zone: the name by which the machine knows its own."""

from __future__ import annotations

import os
from pathlib import Path
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

_ZONE_FOLDER = "zoneinfo"


def zone_of_this_machine() -> str:
    """Give the IANA name of the machine's time zone, or `UTC` where it keeps none by name."""
    for name in (os.environ.get("TZ", "").lstrip(":"), _name_of_local_time()):
        if name and is_zone(name):
            return name
    return "UTC"


def is_zone(name: str) -> bool:
    """Tell whether a name is a time zone that this machine can work with."""
    try:
        ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        return False
    return True


def _name_of_local_time() -> str:
    """Read the zone's name off the link that most systems keep it in."""
    try:
        parts = Path("/etc/localtime").resolve(strict=True).parts
    except OSError:
        return ""
    if _ZONE_FOLDER not in parts:
        return ""
    after = len(parts) - 1 - parts[::-1].index(_ZONE_FOLDER)
    return "/".join(parts[after + 1 :])
