"""What each choice of the core roles leaves of the two big ones, worked out a choice at a time."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy

from kb.search._cells import FITTING
from kb.search._split import CoreCodes, Small, Split

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Bools = NDArray[numpy.bool_]
    Index = NDArray[numpy.int64]

MAY_FIT, STANDS = 0, 1  # the two families of combinations that are told apart


class Leaf(NamedTuple):
    """A small role that is summed up at a big one. fits: whether each group fits with each standing candidate."""

    role: Small
    fits: Bools


class Scenes:
    """many: for both families, for each choice of the core roles, the combinations of its groups' members."""

    def __init__(self, split: Split, choices: Index) -> None:
        self.split = split
        stand, fit = [1] * len(choices), [1] * len(choices)
        for column, role in enumerate(split.cores):
            for row, at in enumerate(choices[:, column].tolist()):
                stand[row] *= len(role.members[at])
                fit[row] *= len(role.members[at]) * int(role.fitting[at])
        self._tables: dict[str, list[CoreCodes]] = {name: [] for name in split.big}
        cores = {role.name for role in split.cores}
        for cells in split.together:
            big = [name for name in cells.roles if name in split.big]
            if len(big) == 2 or not cores & set(cells.roles):
                continue
            codes = split.core_codes(cells, choices)
            if big:
                self._tables[big[0]].append(codes)
                continue
            for row in range(len(choices)):
                worst = int(codes.row(row)[0])
                fit[row] *= int(worst <= FITTING)
                stand[row] *= int(worst < split.refused)
        self.many = fit, stand
        self.leaves: dict[str, list[Leaf]] = {name: [] for name in split.big}
        self.weights = {name: self._weighed(name) for name in split.big}

    def _weighed(self, name: str) -> tuple[Index, Index]:
        """For each standing candidate of a big role the members of its leaves that may fit with it, and that stand."""
        split = self.split
        alive = split.alive[name]
        found = split.roles[name].fits[alive].astype(numpy.int64), numpy.ones(len(alive), dtype=numpy.int64)
        for role in split.leaves[name]:
            codes = split.leaf_codes(name, role)
            sums = numpy.zeros((2, len(alive)), dtype=numpy.int32)
            for at, members in enumerate(role.members):
                sums[MAY_FIT] += numpy.int32(len(members)) * (codes[:, at] <= FITTING)
                sums[STANDS] += numpy.int32(len(members)) * (codes[:, at] < split.refused)
            for family in (MAY_FIT, STANDS):
                numpy.multiply(found[family], sums[family], out=found[family])
            self.leaves[name].append(Leaf(role, codes <= FITTING))
        return found

    def row(self, name: str, family: int, choice: int) -> Index:
        """The weights of a big role's standing candidates under one choice: none where a core forbids it."""
        weights = self.weights[name][family]
        for codes in self._tables[name]:
            found = codes.row(choice)
            weights = numpy.where((found <= FITTING) if family == MAY_FIT else (found < self.split.refused), weights, 0)
        return weights
