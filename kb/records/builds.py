"""A build as recorded: which part is in which role, what is considered for it, its own limits.

On the hot path of `matchmark check`: standard library only.
"""

from __future__ import annotations

from typing import NamedTuple


class RoleEntry(NamedTuple):
    """The part in a role of a build."""

    part: str
    owned: bool = False
    price: float | None = None
    note: str = ""


class OwnLimit(NamedTuple):
    """A limit of a rule that a build sets for itself; `value` in workshop notation."""

    rule: str
    limit: str
    value: str
    why: str


class BuildRecord(NamedTuple):
    """A build as recorded. `roles` maps a role, or role:qualifier, to its part."""

    id: str
    name: str
    roles: dict[str, RoleEntry]
    own_limits: tuple[OwnLimit, ...] = ()
    fits_at: float = 0.975
    not_at: float = 0.025
    notes: str = ""
    alternatives: dict[str, tuple[RoleEntry, ...]] = {}  # noqa: RUF012 - never changed
