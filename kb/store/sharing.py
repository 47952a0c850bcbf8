"""Whether a part is one's own or a model that others use, and ids that nobody has yet."""

from __future__ import annotations

import re

from kb.store.opening import Connection

_USES = (
    "SELECT 1 FROM build_role WHERE part = ?1 AND build <> ?2 UNION ALL SELECT 1 FROM part WHERE based_on = ?1 LIMIT 1"
)


def is_model(con: Connection, build: str, part: str, *, owned: bool, based_on: str) -> bool:
    """Whether a reading on this part belongs to one of the build's own: as `kb.store.change.take_reading` decides."""
    return is_shared(con, build, part) or not (owned or based_on)


def is_shared(con: Connection, build: str, part: str) -> bool:
    """Whether another build has the part in a role, or other parts are based on it."""
    return bool(con.rows(_USES, (part, build)))


def free_id(con: Connection, wish: str, table: str = "part") -> str:
    """An id that no record of `table` has, as near to `wish` as can be."""
    base = re.sub(r"[^a-z0-9]+", "-", wish.lower()).strip("-")[:74].rstrip("-") or table
    id, number = base, 1
    while con.rows(f"SELECT 1 FROM {table} WHERE id = ?", (id,)):  # a name of our own, not of a user
        number += 1
        id = f"{base}-{number}"
    return id
