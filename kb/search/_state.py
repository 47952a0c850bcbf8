"""What is left of a problem while it is being solved: candidates, relations cut to them, and where the costs stand.

Costs are moved, never made: for every choice of candidates that all relations allow, the bound, what the variables
still charge and what the relations charge add up to the cost of that choice. As nothing that is still charged is
negative, the bound is one. All figures are whole numbers; `SCALE` of them make one unit of cost, so that shares can be
moved.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import numpy.typing as npt

Ints = npt.NDArray[np.int64]
Bools = npt.NDArray[np.bool_]
SCALE = 64
INF = 1 << 54  # so that a few hundred of them still add up to a whole number of 64 bits
FIRST = 256  # of the cheapest pairs of the two others, what is tried before all of them are looked at


class Impossible(Exception):
    """A variable has no candidate left."""


class Table:
    """A relation cut to the candidates that are left. charge[axis]: what it charges for a candidate there, summed."""

    __slots__ = ("allowed", "charge", "name", "scope")

    def __init__(self, name: int, scope: tuple[int, ...], allowed: Bools, charge: list[Ints]) -> None:
        self.name = name
        self.scope = scope
        self.allowed = allowed
        self.charge = charge

    def copy(self) -> Table:
        return Table(self.name, self.scope, self.allowed, list(self.charge))

    def restrict(self, axis: int, keep: Bools) -> None:
        self.allowed = np.compress(keep, self.allowed, axis=axis)
        self.charge[axis] = self.charge[axis][keep]

    def least(self, axis: int) -> Ints:
        """The least that it charges for each candidate of this axis, INF where it allows none of the others."""
        others = [at for at in range(len(self.scope)) if at != axis]
        if not others:
            return np.where(self.allowed, self.charge[0], INF)
        flat = np.moveaxis(self.allowed, axis, 0).reshape(self.allowed.shape[axis], -1)
        rest = self.charge[others[0]]
        for at in others[1:]:
            rest = (rest[:, None] + self.charge[at]).ravel()
        return _least_allowed(flat, rest) + self.charge[axis]


def _least_allowed(allowed: Bools, rest: Ints) -> Ints:
    """For each row the least of `rest` where the row allows it, INF (or a little over) where it allows nothing."""
    rows = allowed.shape[0]
    if rest.size > 4 * FIRST:
        order = np.argpartition(rest, FIRST)[:FIRST]
        order = order[np.argsort(rest[order], kind="stable")]
    else:
        order = np.argsort(rest, kind="stable")
    tried = allowed[:, order]
    first = tried.argmax(axis=1)
    met = tried[np.arange(rows), first]
    found: Ints = np.where(met, rest[order][first], INF)
    if order.size < rest.size:
        for row in np.flatnonzero(~met):
            some = rest[allowed[row]]
            if some.size:
                found[row] = some.min()
    return found


class State:
    """Candidates left (as positions in the problem's own lists), what they are still charged, tables, and the bound."""

    __slots__ = ("charge", "domains", "lower", "of", "tables")

    def __init__(
        self,
        domains: list[npt.NDArray[np.intp]],
        charge: list[Ints],
        tables: list[Table],
        lower: int,
        of: list[list[tuple[int, int]]],
    ) -> None:
        self.domains = domains
        self.charge = charge
        self.tables = tables
        self.lower = lower
        self.of = of  # for each variable: (table, axis)

    def copy(self) -> State:
        return State(
            list(self.domains), list(self.charge), [each.copy() for each in self.tables], self.lower, self.of
        )  # fmt: skip

    def restrict(self, variable: int, keep: Bools) -> None:
        """Keep these candidates of a variable. Impossible when none is left."""
        if keep.all():
            return
        self.domains[variable] = self.domains[variable][keep]
        if not self.domains[variable].size:
            raise Impossible
        self.charge[variable] = self.charge[variable][keep]
        for table, axis in self.of[variable]:
            self.tables[table].restrict(axis, keep)

    @property
    def free(self) -> list[int]:
        """Variables that still have a choice."""
        return [at for at, each in enumerate(self.domains) if each.size > 1]


def start(costs: Sequence[Any], relations: Sequence[tuple[tuple[int, ...], Bools]]) -> State:
    """The state before anything is known. costs: whole numbers per variable and candidate.

    Relations over one variable are settled at once. Impossible when a variable has no candidate, or none allowed.
    """
    domains = [np.arange(len(each)) for each in costs]
    charge = [np.asarray(each, dtype=np.int64) * SCALE for each in costs]
    alone = [np.ones(len(each), dtype=bool) for each in costs]
    tables = []
    for name, (scope, allowed) in enumerate(relations):
        if len(scope) == 1:
            alone[scope[0]] &= allowed
        elif not allowed.all():
            tables.append(Table(name, scope, allowed, [np.zeros(n, dtype=np.int64) for n in allowed.shape]))
    of: list[list[tuple[int, int]]] = [[] for _ in costs]
    for at, table in enumerate(tables):
        for axis, variable in enumerate(table.scope):
            of[variable].append((at, axis))
    state = State(domains, charge, tables, 0, of)
    for variable, keep in enumerate(alone):
        if not keep.size:
            raise Impossible
        state.restrict(variable, keep)
    return state


def consistent(state: State, changed: Sequence[int] | None = None) -> None:
    """Drop every candidate that some relation allows with none of the others; again until nothing changes.

    changed: variables that lost candidates since the state was consistent. Impossible when a variable runs empty.
    """
    waiting = set(range(len(state.tables)))
    if changed is not None:
        waiting = {table for variable in changed for table, _ in state.of[variable]}
    while waiting:
        # The smallest table first: what it drops makes the large ones smaller.
        at = min(waiting, key=lambda each: (state.tables[each].allowed.size, each))
        waiting.remove(at)
        table = state.tables[at]
        for axis, variable in enumerate(table.scope):
            others = tuple(each for each in range(len(table.scope)) if each != axis)
            keep: Bools = np.asarray(table.allowed.any(axis=others))
            if not keep.all():
                state.restrict(variable, keep)
                waiting.update(other for other, _ in state.of[variable] if other != at)
