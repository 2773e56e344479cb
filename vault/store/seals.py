"""Which containers are under seal, and what lies in them."""

from __future__ import annotations

import json
from collections.abc import Sequence

from sqlalchemy import Connection

from vault.core.daybook import Act, Entry, Role
from vault.core.items import Placing, State
from vault.core.seals import Sealing
from vault.core.shop import Shop

_SEALED = (
    "SELECT name, number, entry, role, witness FROM seal WHERE name NOT IN (SELECT tag FROM item)"
)
_LEAVING = frozenset({Act.SEND, Act.RETURN, Act.SELL})


def sealed_containers(connection: Connection) -> list[tuple[str, Sealing]]:
    """Give what was last said of the unbroken seal on each container that carries one."""
    return [
        (name, Sealing(entry, Role(role), number, witness))
        for name, number, entry, role, witness in connection.exec_driver_sql(_SEALED)
    ]


def seals_of(connection: Connection, names: Sequence[str]) -> dict[str, Sealing]:
    """Give what was last said of the unbroken seals on these items and containers."""
    rows = connection.exec_driver_sql(
        "SELECT name, number, entry, role, witness FROM seal "
        "WHERE name IN (SELECT value FROM json_each(?))",
        (json.dumps(list(names)),),
    )
    return {
        name: Sealing(entry, Role(role), number, witness)
        for name, number, entry, role, witness in rows
    }


def containers(connection: Connection) -> list[tuple[str, str]]:
    """Give each container with the place it was put."""
    return [
        (name, at) for name, at in connection.exec_driver_sql("SELECT name, place FROM container")
    ]


def sealed_along(connection: Connection, entry: Entry) -> set[str]:
    """Give the tags of all that lies on hand in the sealed containers around what leaves.

    A sealed container may leave with all that is in it, so the rules ask for it.
    """
    sealed = sealed_containers(connection) if entry.act in _LEAVING else []
    if not sealed:
        return set()
    shop = Shop()
    shop.seals = {name: [sealing] for name, sealing in sealed}
    shop.containers = {name: [Placing(0, at)] for name, at in containers(connection)}
    leaving = json.dumps([line.tag for line in entry.lines])
    around = {
        one
        for (place,) in connection.exec_driver_sql(
            "SELECT DISTINCT place FROM item WHERE tag IN (SELECT value FROM json_each(?))",
            (leaving,),
        )
        for one in shop.sealed_around(place)
    }
    within = [
        name
        for (name,) in connection.exec_driver_sql("SELECT name FROM place")
        if not around.isdisjoint(shop.sealed_around(name))
    ]
    return {
        tag
        for (tag,) in connection.exec_driver_sql(
            "SELECT tag FROM item WHERE state = ? AND place IN (SELECT value FROM json_each(?))",
            (State.ON_HAND.value, json.dumps(within)),
        )
    }


def passed_through(connection: Connection, broken: Entry) -> set[str]:
    """Give the tags of all that ever lay in containers whose seal an entry broke.

    Whether that entry may be struck hangs on what went in and out afterwards.
    """
    names = {line.tag for line in broken.lines if line.role is Role.BROKEN}
    if not names:
        return set()
    shop = Shop()
    shop.containers = {name: [Placing(0, at)] for name, at in containers(connection)}
    within = [
        name
        for (name,) in connection.exec_driver_sql("SELECT name FROM place")
        if not names.isdisjoint(shop.places_around(name))
    ]
    return {
        tag
        for (tag,) in connection.exec_driver_sql(
            "SELECT DISTINCT tag FROM line WHERE place IN (SELECT value FROM json_each(?))",
            (json.dumps(within),),
        )
        if tag
    }
