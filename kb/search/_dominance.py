"""Candidates that another one can always stand in for: not dearer, and allowed with all that they are allowed with."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from kb.search._state import State

MOST = 1200  # candidates of one variable beyond which the comparison of all with all is left out


def drop_dominated(state: State, costs: Sequence[npt.NDArray[np.int64]]) -> int:
    """Drop what another candidate dominates, and say how many; the least choice (by cost, then order) is never lost.

    costs: of the problem's own lists. A candidate is dropped for a cheaper one, or an equally dear one listed before.
    """
    dropped = 0
    for variable, domain in enumerate(state.domains):
        if not 1 < domain.size <= MOST:
            continue
        cost = costs[variable][domain]
        # better[a, b]: b may stand in for a, as far as the price and the order go
        better = (cost[None, :] < cost[:, None]) | (
            (cost[None, :] == cost[:, None]) & (np.arange(domain.size)[None, :] < np.arange(domain.size)[:, None])
        )
        small: list[npt.NDArray[np.bool_]] = []
        large: list[npt.NDArray[np.bool_]] = []
        for at, axis in state.of[variable]:
            allowed = np.moveaxis(state.tables[at].allowed, axis, 0).reshape(domain.size, -1)
            (small if state.tables[at].allowed.ndim == 2 else large).append(allowed)
        if small:
            support = np.concatenate(small, axis=1)
            # how many of a's partners b lacks: whole numbers far below 2**24, so exact in single precision
            lacks = support.astype(np.float32) @ (~support).astype(np.float32).T
            better &= lacks == 0
        keep = np.ones(domain.size, dtype=bool)
        packed = [np.packbits(each, axis=1) for each in large] if better.any() else []
        for one in range(domain.size):
            for other in np.flatnonzero(better[one]):
                if all(not (rows[one] & ~rows[other]).any() for rows in packed):
                    keep[one] = False
                    break
        if not keep.all():
            dropped += int((~keep).sum())
            state.restrict(variable, keep)
    return dropped
