"""One connected part of a problem: a good choice at once, windows of cost that are proved empty, then ties."""

from __future__ import annotations

from collections.abc import Sequence
from time import monotonic

import numpy as np
import numpy.typing as npt

from kb.search._ascent import ascend
from kb.search._branch import SMALL, OutOfTime, Search, outright, scaled
from kb.search._elimination import Bucket, eliminate, order
from kb.search._state import SCALE, Impossible, State


class Whole:
    """One connected part of a problem, in whole units, and what is proved of it."""

    def __init__(self, state: State, costs: Sequence[npt.NDArray[np.int64]], until: float, exact: bool | None) -> None:
        self.state = state
        self.costs = costs
        self.until = until
        self.exact = exact
        self.nodes = 0
        self.bound = 0
        self.proved = False
        self.ties = True
        self._at = [np.arange(each.size) for each in state.domains]
        state.domains = list(self._at)

    def cheapest(self, beat: int | None = None) -> tuple[int, list[int]] | None:
        """Cost and values of the cheapest choice below `beat`. Impossible when there is none; None when unknown."""
        highest = sum(int(each.max()) for each in self.costs)
        over = highest + 1 if beat is None else min(beat, highest + 1)
        buckets = order([each.size for each in self.state.domains], [each.scope for each in self.state.tables])
        if outright(buckets, SMALL) and not self.exact:
            return self._small(buckets, over)
        for _ in range(15):
            before = self.state.lower
            ascend(self.state, scaled(over), 2, least_gain=SCALE)
            if self.state.lower - before < max(SCALE, self.state.lower >> 10):
                break
        self.bound = max(0, -(-self.state.lower // SCALE))
        own = monotonic() + (self.until - monotonic()) / 2 if self.exact is None and installed() else self.until
        known: tuple[int, list[int]] | None = None
        try:
            known = self._dive(over, own)
            if self.exact:
                raise OutOfTime
            known = self._windows(known, over, highest, own)
        except OutOfTime as late:
            known = late.args[0] if late.args else known
            if not (self.exact or (self.exact is None and installed())):
                return known
            known = self._asked(known, over)
            if not self.proved:
                return known
        if known is None:
            raise Impossible
        self.bound = known[0]
        try:
            known = self._first(known) if self.ties else known
        except OutOfTime:  # equally cheap ones may come before it: nothing is said that was not proved
            return known
        self.proved = True
        return known

    def _small(self, buckets: Sequence[Bucket], over: int) -> tuple[int, list[int]]:
        """The same, where elimination is done at once."""
        self.nodes += 1
        values = eliminate(self.state, self.costs, buckets)
        if values is None:
            raise Impossible
        cost = sum(int(each[at]) for each, at in zip(self.costs, values, strict=True))
        if cost >= over:
            raise Impossible
        self.bound, self.proved = cost, True
        return self._first((cost, values)) if self.ties else (cost, values)

    def _dive(self, over: int, until: float) -> tuple[int, list[int]] | None:
        """A good choice at once, if the likeliest half of each variable in turn holds one."""
        search = Search(self.costs, until, None)
        search.dive(self.state.copy(), over)
        self.nodes += search.nodes
        return search.best

    def _windows(
        self, known: tuple[int, list[int]] | None, over: int, highest: int, until: float
    ) -> tuple[int, list[int]] | None:
        width = max(1, self.bound // 64, ((known[0] if known else highest) - self.bound) // 16)
        while True:
            ceiling = known[0] if known else over
            beat = min(self.bound + width, ceiling)
            search = Search(self.costs, until, None)
            try:
                if beat > self.bound and search.below(self.state.copy(), beat):
                    return search.best
            except OutOfTime:
                raise OutOfTime(search.best or known) from None
            finally:
                self.nodes += search.nodes
            if beat >= ceiling:
                return known
            self.bound, width = beat, 2 * width

    def _asked(self, known: tuple[int, list[int]] | None, over: int) -> tuple[int, list[int]] | None:
        """What the optional extra finds in the time that is left."""
        from kb.search._extra import optimum

        state = self.state.copy()
        ceiling = known[0] + 1 if known else over
        ascend(state, scaled(ceiling), 10, least_gain=SCALE)
        left = [cost[domain] for cost, domain in zip(self.costs, state.domains, strict=True)]
        sure, got = optimum(left, [(each.scope, each.allowed) for each in state.tables], ceiling, self.until)
        self.proved = sure
        if got is None:
            return known
        values = [int(domain[at]) for domain, at in zip(state.domains, got, strict=True)]
        return sum(int(each[at]) for each, at in zip(self.costs, values, strict=True)), values

    def _first(self, known: tuple[int, list[int]]) -> tuple[int, list[int]]:
        """Of the choices that cost the same, the one whose candidates come first."""
        cost, values = known
        until = self.until + max(1.0, self.until - monotonic())
        state = self.state.copy()
        ascend(state, scaled(cost + 1), 4, least_gain=SCALE)
        for variable in range(len(values)):
            while True:
                before = state.domains[variable] < values[variable]
                if not before.any():
                    break
                sooner = state.copy()
                sooner.restrict(variable, before)
                search = Search(self.costs, until, None)
                met = search.below(sooner, cost + 1)
                self.nodes += search.nodes
                if not met or search.best is None:
                    break
                values = search.best[1]
            state.restrict(variable, state.domains[variable] == values[variable])
        return cost, values


def installed() -> bool:
    """Whether the optional extra is at hand."""
    from importlib.util import find_spec

    return find_spec("pytoulbar2") is not None
