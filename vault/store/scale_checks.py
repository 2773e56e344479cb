"""How scales were checked, and what was weighed on them since."""

from __future__ import annotations

from datetime import date

from sqlalchemy import Connection

from vault.core.masses import Mass
from vault.core.scales import ScaleCheck

_CHECKS = (
    "SELECT scale, entry, day, nominal_ug, showed_ug FROM scale_check ORDER BY entry, position"
)
_WEIGHED = (
    "SELECT DISTINCT l.entry, l.tag FROM line l JOIN entry e ON e.number = l.entry "
    "WHERE l.entry > ? AND l.entry < ? AND l.scale = ? AND l.gross_ug IS NOT NULL "
    "AND e.act != 'scale check' AND e.day >= ? "
    "AND l.entry NOT IN (SELECT struck FROM strike) ORDER BY l.entry, l.position"
)
_NO_END = 2**62


def checks_by_scale(connection: Connection) -> dict[str, list[ScaleCheck]]:
    """Give the checks of each scale, in the order in which they were recorded."""
    found: dict[str, list[ScaleCheck]] = {}
    for scale, entry, day, nominal, showed in connection.exec_driver_sql(_CHECKS):
        check = ScaleCheck(entry, date.fromordinal(day), Mass(nominal), Mass(showed))
        found.setdefault(scale, []).append(check)
    return found


def weighed_on(
    connection: Connection, scale: str, *, after: ScaleCheck, before: int | None
) -> list[tuple[int, str]]:
    """Give (entry, tag) of what was weighed on a scale after a check, up to another entry."""
    rows = connection.exec_driver_sql(
        _WEIGHED,
        (after.entry, _NO_END if before is None else before, scale, after.day.toordinal()),
    )
    return [(entry, tag) for entry, tag in rows]
