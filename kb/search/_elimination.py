"""What is left of a problem, solved outright: variables are eliminated one by one, tables joined and minimised.

Bucket elimination (Dechter, "Bucket elimination: a unifying framework for reasoning", Artificial Intelligence 113,
1999). Its work is the product of the candidates of the variables that meet in a bucket: `plan` says what it would be.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import prod
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from kb.search._state import State

AT_ONCE = 1 << 20  # cells that are summed in one array; beyond it one candidate of the eliminated variable at a time


class Bucket(NamedTuple):
    """A variable to eliminate, and those that it then still shares a table with."""

    variable: int
    others: tuple[int, ...]
    cells: int


def order(sizes: Sequence[int], scopes: Sequence[tuple[int, ...]]) -> list[Bucket]:
    """The variables in an order that keeps the tables small: always the one that makes the smallest; ties by number."""
    near: dict[int, set[int]] = {at: set() for at in range(len(sizes))}
    for whole in scopes:
        scope = [one for one in whole if sizes[one] > 1]  # what has no choice joins nothing
        for one in scope:
            near[one].update(scope)
    for one, others in near.items():
        others.discard(one)
    found = []
    weight = {at: prod(sizes[other] for other in others) * sizes[at] for at, others in near.items()}
    while near:
        variable = min(weight, key=lambda at: (weight[at], at))
        others = near.pop(variable)
        found.append(Bucket(variable, tuple(sorted(others)), weight.pop(variable)))
        for one in others:
            near[one] |= others
            near[one] -= {one, variable}
            weight[one] = prod(sizes[other] for other in near[one]) * sizes[one]
    return found


def eliminate(state: State, costs: Sequence[npt.NDArray[np.int64]], buckets: Sequence[Bucket]) -> list[int] | None:
    """The cheapest choice of what is left, as positions in the state's candidates; None if there is none.

    costs: of the state's candidates, in whole units. Of equally cheap candidates the first is taken as they come up.
    """
    highest = sum(int(each.max()) for each in costs)
    met_most = max((sum(at in table.scope for table in state.tables) for at in range(len(costs))), default=0)
    small = highest < 1 << 26 and met_most < 14  # so many "never" still add up to a number of 32 bits
    number = np.int32 if small else np.int64
    never = 1 << 27 if small else 1 << 56
    tables: list[tuple[tuple[int, ...], npt.NDArray[np.signedinteger]]] = []
    for table in state.tables:
        scope = tuple(one for one in table.scope if state.domains[one].size > 1)
        shape = [state.domains[one].size for one in scope]
        if not shape and not table.allowed.all():
            return None
        if shape:
            cells = np.full(table.allowed.shape, never, dtype=number)
            cells[table.allowed] = 0
            tables.append((scope, cells.reshape(shape)))
    for variable, cost in enumerate(costs):
        tables.append(((variable,), cost.astype(number)))
    met = []
    for bucket in buckets:
        mine = [each for each in tables if bucket.variable in each[0]]
        tables = [each for each in tables if bucket.variable not in each[0]]
        met.append((bucket, mine))
        joined = _minimised(bucket, mine, [each.size for each in state.domains], number)
        np.minimum(joined, never, out=joined)
        if int(joined.min()) >= never:
            return None
        if bucket.others:
            tables.append((bucket.others, joined))
    chosen: dict[int, int] = {}
    for bucket, mine in reversed(met):
        column = np.zeros(state.domains[bucket.variable].size, dtype=np.int64)
        for scope, values in mine:
            column += values[tuple(chosen[each] if each != bucket.variable else slice(None) for each in scope)]
        chosen[bucket.variable] = int(column.argmin())
    return [chosen[each] for each in range(len(state.domains))]


def _minimised(
    bucket: Bucket,
    tables: Sequence[tuple[tuple[int, ...], npt.NDArray[np.signedinteger]]],
    sizes: Sequence[int],
    number: type[np.signedinteger],
) -> npt.NDArray[np.signedinteger]:
    """The least, over the bucket's variable, of the sum of its tables: one axis an other variable."""
    axes = (bucket.variable, *bucket.others)
    spread = []
    for scope, values in tables:
        wanted = sorted(scope, key=axes.index)
        values = values.transpose([scope.index(each) for each in wanted])
        spread.append(values.reshape([sizes[each] if each in scope else 1 for each in axes]))
    spread.sort(key=lambda each: each.size)
    shape = [sizes[each] for each in bucket.others]
    if bucket.cells <= AT_ONCE:
        total = np.zeros((sizes[bucket.variable], *shape), dtype=number)
        for values in spread:
            total += values
        return np.asarray(total.min(axis=0))
    best: npt.NDArray[np.signedinteger] | None = None
    for at in range(sizes[bucket.variable]):
        total = np.zeros(shape, dtype=number)
        for values in spread:
            total += values[at]
        if best is None:
            best = total
        else:
            np.minimum(best, total, out=best)
    assert best is not None
    return best
