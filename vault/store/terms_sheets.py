"""Which terms sheets shipments went under, straight from the tables."""

from __future__ import annotations

from sqlalchemy import Connection


def terms_of_shipments(connection: Connection, party: str) -> list[tuple[str, str]]:
    """Give number and terms of every shipment to a party, as far as its entry stands."""
    rows = connection.exec_driver_sql(
        "SELECT DISTINCT line.ref, line.terms FROM entry JOIN line ON line.entry = entry.number "
        "WHERE entry.act = 'send' AND line.party = ? AND line.terms != '' "
        "AND entry.number NOT IN (SELECT struck FROM strike) ORDER BY entry.number",
        (party,),
    )
    return [(row[0], row[1]) for row in rows]


def refineries(connection: Connection) -> list[str]:
    """Give every party that something was sent to, the last one first."""
    rows = connection.exec_driver_sql(
        "SELECT line.party FROM entry JOIN line ON line.entry = entry.number "
        "WHERE entry.act = 'send' AND line.party != '' "
        "AND entry.number NOT IN (SELECT struck FROM strike) "
        "GROUP BY line.party ORDER BY max(entry.number) DESC"
    )
    return [row[0] for row in rows]
