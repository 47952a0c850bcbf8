"""The cheapest combinations of a factored search, in order, without listing the others.

For each candidate of A and each choice of the core roles the cheapest of B within its strip is the least of a range,
which two looks into a table of powers of two give. The best of these bounds what is looked at next; only the first few
are spread out into combinations.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import product
from math import prod
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy

from kb.search._scenes import MAY_FIT
from kb.search._strips import Group

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from kb.search.columns import Columns
    from kb.search.counting import Factored

    Index = NDArray[numpy.int64]
    Bools = NDArray[numpy.bool_]

UNKNOWN = 1 << 45  # a price that nobody knows comes after every sum of known ones
NONE = 1 << 61
Parts = dict[str, int]


class Option(NamedTuple):
    """One way to fill some roles: what it costs, the ranks of its parts in the order of the roles asked, the parts."""

    cost: int
    ranks: tuple[int, ...]
    parts: Parts


class Entry(NamedTuple):
    """A candidate of A with a range of B under one choice of the cores. key: cost and ranks of its best combination."""

    key: tuple[int, ...]
    choice: int
    group: Group
    row: int
    low: int
    high: int


class Cheapest:
    """The first `limit` rows by what they cost, then by their parts' places by price and id, role after role."""

    def __init__(self, search: Factored, limit: int) -> None:
        self.search, self.limit = search, limit
        self.split = search.split
        self.roles = list(search.domains)
        self.cost = {name: costs(columns) for name, columns in search.domains.items()}
        self.rank = {name: columns.rank for name, columns in search.domains.items()}
        self.best = {name: self._composites(name) for name in self.split.big}
        self._cores = [self._core_options(at) for at in range(len(search.strips.choices))]
        self.entries: list[Entry] = []

    # -- one role with its leaves --------------------------------------------------------------------------------

    def _composites(self, name: str) -> tuple[Index, list[Index]]:
        """For each standing candidate of a big role the cost of it with the cheapest parts of its leaves that fit, and
        the ranks of these parts in the order of the roles asked."""
        alive = self.split.alive[name]
        cost = self.cost[name][alive]
        ranks = {name: self.rank[name][alive]}
        for leaf, fit in self.search.scenes.leaves[name]:
            first = numpy.array([int(each[0]) for each in leaf.members])
            order = numpy.argsort(self.rank[leaf.name][first])
            some = fit[:, order]
            chosen = first[order[some.argmax(axis=1)]]
            cost = cost + numpy.where(some.any(axis=1), self.cost[leaf.name][chosen], NONE >> 4)
            ranks[leaf.name] = self.rank[leaf.name][chosen]
        return cost, [ranks[role] for role in self.roles if role in ranks]

    def _options(self, name: str, row: int, most: int) -> list[Option]:
        """The cheapest ways to fill a big role by one candidate, and its leaves."""
        several = [[(name, int(self.split.alive[name][row]))]]
        for leaf, fit in self.search.scenes.leaves[name]:
            members = numpy.concatenate([leaf.members[at] for at in numpy.flatnonzero(fit[row])])
            members = members[numpy.argsort(self.rank[leaf.name][members])[: self.limit]]
            several.append([(leaf.name, int(each)) for each in members])
        return self._combined(several, most)

    def _core_options(self, choice: int) -> list[Option]:
        several = [
            [(role.name, int(each)) for each in role.members[at][: self.limit]]
            for role, at in zip(self.split.cores, self.search.strips.choices[choice], strict=True)
        ]
        return self._combined(several, NONE)

    def _combined(self, several: Sequence[Sequence[tuple[str, int]]], most: int) -> list[Option]:
        made = []
        for places in product(*[range(len(each)) for each in several]):
            if prod(place + 1 for place in places) > self.limit:
                continue  # so many are better
            parts = dict(each[place] for each, place in zip(several, places, strict=True))
            cost = sum(int(self.cost[name][at]) for name, at in parts.items())
            if cost <= most:
                made.append(Option(cost, self._ranks(parts), parts))
        return sorted(made, key=lambda each: each[:2])[: self.limit]

    def _ranks(self, parts: Mapping[str, int]) -> tuple[int, ...]:
        return tuple(int(self.rank[name][parts[name]]) for name in self.roles if name in parts)

    # -- strips --------------------------------------------------------------------------------------------------

    @property
    def most(self) -> int:
        """What a combination may cost to be among the first."""
        return self.entries[-1].key[0] if len(self.entries) == self.limit else NONE

    def rows(self) -> list[tuple[int, ...]]:
        """Places of the candidates, in the order of the roles asked."""
        scenes = self.search.scenes
        one, other = self.search.one, self.search.other
        cost, ranks = self.best[other]
        order = numpy.lexsort((*ranks[::-1], cost))
        place = numpy.empty(len(order), dtype=numpy.int32)
        place[order] = numpy.arange(len(order), dtype=numpy.int32)
        none = numpy.int32(len(order))
        cost = numpy.append(cost[order], NONE)
        mine = self.best[one][0]
        for rows, strip in self.search.all_strips(MAY_FIT):
            row = strip.choice
            stands = scenes.row(other, MAY_FIT, row)[strip.group.at] > 0
            line = numpy.where(stands, place[strip.group.at], none)
            least = self._cores[row][0].cost + int(cost[line.min(initial=none)])
            low, high = strip.fits
            some = numpy.flatnonzero(
                (scenes.row(one, MAY_FIT, row)[rows] > 0) & (high > low) & (mine[rows] + least <= self.most)
            )
            if len(some):
                first = _least(line, low[some], high[some])
                self._add(row, strip.group, rows[some], low[some], high[some], order, first, cost)
            for at, where, fit, _ in strip.cells:
                fit = fit & (line[where] < none)
                at, where = at[fit], where[fit]
                self._add(row, strip.group, rows[at], where, where + 1, order, line[where], cost)
        return self._spread()

    def _add(
        self, choice: int, group: Group, rows: Index, low: Index, high: Index, order: Index, first: Any, costs: Index
    ) -> None:
        """Entries for these candidates of A, whose best of B is the one at the place `first` in the order of all."""
        one, other = self.search.one, self.search.other
        core = self._cores[choice][0]
        total = self.best[one][0][rows] + costs[first] + core.cost
        keep = numpy.flatnonzero((total <= self.most) & (total < NONE >> 4))
        if len(keep) > self.limit:
            bound = numpy.partition(total[keep], self.limit - 1)[self.limit - 1]
            keep = keep[total[keep] <= bound]
        if not len(keep):
            return
        ranks: dict[str, Any] = {}
        for name, at in ((one, rows[keep]), (other, order[first[keep]])):
            names = [
                role for role in self.roles if role == name or role in {leaf.name for leaf in self.split.leaves[name]}
            ]
            ranks.update(zip(names, (each[at] for each in self.best[name][1]), strict=True))
        for name, at in core.parts.items():
            ranks[name] = numpy.broadcast_to(self.rank[name][at], (len(keep),))
        columns = [ranks[name] for name in self.roles]
        if len(keep) > self.limit:
            best = numpy.lexsort((*columns[::-1], total[keep]))[: self.limit]
            keep, columns = keep[best], [each[best] for each in columns]
        for at, row in enumerate(keep.tolist()):
            key = (int(total[row]), *(int(each[at]) for each in columns))
            self.entries.append(Entry(key, choice, group, int(rows[row]), int(low[row]), int(high[row])))
        self.entries.sort(key=lambda each: each.key)
        del self.entries[self.limit :]

    def _spread(self) -> list[tuple[int, ...]]:
        """The combinations behind the entries: those of the first ones cannot come from any other."""
        scenes = self.search.scenes
        found: list[Option] = []
        for entry in self.entries:
            own = self._options(self.search.one, entry.row, NONE)
            cores = self._cores[entry.choice]
            at = entry.group.at[entry.low : entry.high]
            at = at[scenes.row(self.search.other, MAY_FIT, entry.choice)[at] > 0]
            cost, ranks = self.best[self.search.other]
            left = self.most - own[0].cost - cores[0].cost
            at = at[cost[at] <= left]
            at = at[numpy.lexsort((*[each[at] for each in ranks[::-1]], cost[at]))[: self.limit]]
            others = [option for each in at.tolist() for option in self._options(self.search.other, each, left)]
            others = sorted(others, key=lambda each: each[:2])[: self.limit]
            for places in product(range(len(own)), range(len(cores)), range(len(others))):
                if prod(place + 1 for place in places) > self.limit:
                    continue
                three = (own[places[0]], cores[places[1]], others[places[2]])
                cost_ = sum(each.cost for each in three)
                if cost_ <= self.most:
                    parts = {name: at for each in three for name, at in each.parts.items()}
                    found.append(Option(cost_, self._ranks(parts), parts))
        found.sort(key=lambda each: each[:2])
        return [tuple(each.parts[name] for name in self.roles) for each in found[: self.limit]]


def costs(columns: Columns) -> Index:
    """Prices in whole millionths, unknown ones as more than all that is known."""
    return numpy.where(numpy.isnan(columns.price), UNKNOWN, columns.costs)


def _least(line: NDArray[numpy.int32], low: Index, high: Index) -> NDArray[numpy.int32]:
    """The least of each range, from a table of the least of every power of two from a place on."""
    level = numpy.frexp((high - low).astype(float))[1] - 1
    tables = [line]
    for step in range(int(level.max())):
        last = tables[-1]
        tables.append(numpy.minimum(last[: len(last) - (1 << step)], last[1 << step :]))
    found = numpy.empty(len(low), dtype=numpy.int32)
    for at in range(len(tables)):
        some = numpy.flatnonzero(level == at)
        if len(some):
            found[some] = numpy.minimum(tables[at][low[some]], tables[at][high[some] - (1 << at)])
    return found
