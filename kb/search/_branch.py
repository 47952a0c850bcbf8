"""Branch and bound: split the candidates of one variable until what is left is small enough to be solved outright."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from time import monotonic

import numpy as np
import numpy.typing as npt

from kb.search._ascent import ascend
from kb.search._elimination import Bucket, eliminate, order
from kb.search._state import INF, SCALE, Impossible, State

OUTRIGHT = 60_000_000  # cells in all buckets up to which elimination is quicker than splitting
SMALL = 400_000  # cells up to which it is not even worth raising the bound first
PASSES = 12


class OutOfTime(Exception):
    """The time limit is over."""


class Search:
    """One search for something cheaper than `beat`; holds what was found."""

    def __init__(
        self, costs: Sequence[npt.NDArray[np.int64]], until: float, tell: Callable[[int], None] | None
    ) -> None:
        self.costs = costs
        self.until = until
        self.nodes = 0
        self.tell = tell
        self.best: tuple[int, list[int]] | None = None  # cost and values, as positions in the problem's lists

    def below(self, state: State, beat: int) -> bool:
        """Whether there is a choice cheaper than `beat`; the cheapest is then in `best`. Spends the state."""
        return self._below(state, beat) < beat

    def dive(self, state: State, over: int) -> None:
        """Put a choice into `best` that the bound favours, if one is met without going back. Spends the state."""
        while True:
            self.nodes += 1
            if monotonic() > self.until:
                raise OutOfTime
            try:
                ascend(state, scaled(over), 2, least_gain=SCALE)
            except Impossible:
                return
            buckets = order([each.size for each in state.domains], [each.scope for each in state.tables])
            if outright(buckets):
                self._outright(state, buckets, over)
                return
            variable = self._split(state, buckets)
            state.restrict(variable, self._likeliest(state, variable))

    def _likeliest(self, state: State, variable: int) -> npt.NDArray[np.bool_]:
        """The half of the candidates that the bound favours."""
        rank = np.argsort(state.charge[variable], kind="stable")
        half = np.zeros(rank.size, dtype=bool)
        half[rank[: (rank.size + 1) // 2]] = True
        return half

    def _below(self, state: State, beat: int) -> int:
        self.nodes += 1
        if monotonic() > self.until:
            raise OutOfTime
        if self.tell is not None:
            self.tell(self.nodes)
        buckets = order([each.size for each in state.domains], [each.scope for each in state.tables])
        if outright(buckets, SMALL):
            return self._outright(state, buckets, beat)
        try:
            ascend(state, scaled(beat), PASSES, least_gain=max(SCALE // 8, (scaled(beat) - state.lower) // 40))
        except Impossible:
            return beat
        buckets = order([each.size for each in state.domains], [each.scope for each in state.tables])
        if outright(buckets):
            return self._outright(state, buckets, beat)
        variable = self._split(state, buckets)
        # Those that the bound favours first; the others meet a higher bound, and a lower cost to beat.
        half = self._likeliest(state, variable)
        for keep in (half, ~half):
            child = state.copy()
            child.restrict(variable, keep)
            beat = self._below(child, beat)
        return beat

    def _outright(self, state: State, buckets: Sequence[Bucket], beat: int) -> int:
        left = [cost[domain] for cost, domain in zip(self.costs, state.domains, strict=True)]
        chosen = eliminate(state, left, buckets)
        if chosen is None:
            return beat
        cost = sum(int(each[at]) for each, at in zip(left, chosen, strict=True))
        if cost >= beat:
            return beat
        self.best = cost, [int(domain[at]) for domain, at in zip(state.domains, chosen, strict=True)]
        return cost

    def _split(self, state: State, buckets: Sequence[Bucket]) -> int:
        """The variable that stands in the most cells of the buckets that are too large."""
        score = [0.0] * len(state.domains)
        for bucket in buckets:
            for each in (bucket.variable, *bucket.others):
                if state.domains[each].size > 1:
                    score[each] += bucket.cells
        return max(range(len(score)), key=lambda at: (score[at], -at))


def outright(buckets: Sequence[Bucket], most: int = 0) -> bool:
    return sum(each.cells for each in buckets) <= (most or OUTRIGHT)


def scaled(beat: int) -> int:
    """The scaled bound from which a cost of `beat` can no longer be undercut."""
    return min((beat - 1) * SCALE + 1, INF >> 1)
