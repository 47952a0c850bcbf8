"""The bound, raised by moving costs: each variable gathers what its relations must charge, and hands shares on.

A pass goes through the variables in one order and then in the other, as sequential message passing does (Kolmogorov,
"A new look at reweighted message passing", IEEE TPAMI 37, 2015), in whole numbers, so that the bound is exact. On the
way every candidate that alone would lift the bound to the cost to beat is dropped.
"""

from __future__ import annotations

import numpy as np

from kb.search._state import Impossible, State


def ascend(state: State, beat: int, passes: int, *, least_gain: int = 1) -> None:
    """Raise the bound until a pass gains less than `least_gain`. beat: scaled cost that is no longer of interest.

    Impossible when nothing cheaper than `beat` is left.
    """
    for _ in range(passes):
        before, size = state.lower, sum(each.size for each in state.domains)
        count = len(state.domains)
        _sweep(state, range(count), beat, forward=True)
        _sweep(state, range(count - 1, -1, -1), beat, forward=False)
        shrunk = size - sum(each.size for each in state.domains)
        if state.lower - before < least_gain and shrunk * 50 < size:
            return


def _sweep(state: State, order: range, beat: int, *, forward: bool) -> None:
    for variable in order:
        gathered = state.charge[variable]
        ahead = []
        behind = 0
        for at, axis in state.of[variable]:
            table = state.tables[at]
            least = table.least(axis)
            table.charge[axis] = table.charge[axis] - least
            gathered = gathered + least
            last = max(table.scope) if forward else min(table.scope)
            first = min(table.scope) if forward else max(table.scope)
            if variable != last:
                ahead.append((at, axis))
            behind += variable != first
        state.charge[variable] = gathered
        keep = gathered + state.lower < beat
        state.restrict(variable, keep)
        gathered = state.charge[variable]
        floor = int(gathered.min())
        state.lower += floor
        gathered = gathered - floor
        if ahead:
            share = gathered // max(len(ahead), behind)
            for at, axis in ahead:
                table = state.tables[at]
                table.charge[axis] = table.charge[axis] + share
            gathered = gathered - share * len(ahead)
        state.charge[variable] = gathered


def gather(state: State, variable: int) -> np.ndarray:
    """What each candidate would add to the bound, as far as the variable's own relations tell; moves nothing."""
    gathered = state.charge[variable]
    for at, axis in state.of[variable]:
        gathered = gathered + state.tables[at].least(axis)
    return gathered


__all__ = ["Impossible", "ascend", "gather"]
