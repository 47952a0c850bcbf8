"""How many combinations of two big catalogues and some small ones fit, and the cheapest, none of them listed.

    counts = Factored(domains, build, Settings()).counts()
    rows = Factored(domains, build, Settings()).cheapest(20)

domains: columns of facts by role (`kb.search.columns`). The verdicts are those of `kb.judge.judge`: rules are asked
over the few roles that they read, thresholds found by asking them (`kb.search._threshold`), and what no threshold
decides is asked cell by cell. Unranged where a search has no such thresholds: `kb.search.find` serves those.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, NamedTuple

import numpy

from kb.build import Build
from kb.chance import Settings
from kb.rules._rule import Rule
from kb.search._cells import CONDEMNED, OPENING
from kb.search._cheapest import Cheapest
from kb.search._clashes import ClashCells
from kb.search._scenes import STANDS, Scenes
from kb.search._split import Split, asked_of
from kb.search._strips import Strip, Strips
from kb.search._threshold import Unranged
from kb.search.columns import Columns

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Index = NDArray[numpy.int64]

BATCH = 400_000  # figures that are looked at together: candidates of A times choices of the cores

__all__ = ["Counts", "Factored", "Unranged"]


class Counts(NamedTuple):
    """Combinations: that fit, of which cannot be told, that do not fit (of a search for what fits: all others)."""

    fitting: int
    unknown: int
    rejected: int


class Factored:
    """A search over two big roles and some small ones. Unranged where it cannot be made so.

    clashes: recorded ones over the same candidates (`kb.search._clashes`). fits_only: what cannot be told is let go as
    soon as it is met, which is quicker; `counts` then tells it from what does not fit no longer.
    """

    def __init__(
        self,
        domains: Mapping[str, Columns],
        fixed: Build,
        settings: Settings,
        *,
        rules: Sequence[Rule] | None = None,
        clashes: Sequence[ClashCells] = (),
        fits_only: bool = False,
    ) -> None:
        if len(domains) < 2:
            raise Unranged
        self.domains = domains
        self.fits_only = fits_only
        self.split = Split(domains, fixed, settings, rules, clashes, OPENING if fits_only else CONDEMNED)
        if self.split.empty:
            return
        self.strips = Strips(self.split)
        self.one, self.other = self.strips.one, self.strips.other
        self.scenes = Scenes(self.split, self.strips.choices)

    def joining(self) -> list[tuple[frozenset[str], bool]]:
        """The roles of each rule that is asked of some combination, and whether of all that stand."""
        found = []
        for cells in self.split.rules:
            some, every = asked_of(cells, self.split)
            if some:
                found.append((frozenset((*cells.rule.roles, *cells.rule.optional_roles)), every))
        return found

    def all_strips(self, family: int) -> Iterator[tuple[Index, Strip]]:
        """Strip after strip with the rows of A that it is about. family: of those that may fit alone, or of all."""
        scenes = self.scenes
        every = self.strips.in_order(numpy.flatnonzero(scenes.weights[self.one][family]))
        for start in range(0, len(every), BATCH):
            rows = every[start : start + BATCH]
            step = max(1, BATCH // len(rows))
            for first in range(0, len(self.strips.choices), step):
                some = [first + at for at, many in enumerate(scenes.many[family][first : first + step]) if many]
                if some:
                    for strip in self.strips.strips(rows, numpy.array(some), scenes, family):
                        yield rows, strip

    def counts(self) -> Counts:
        """Combinations by verdict."""
        total = math.prod(len(each) for each in self.domains.values())
        if self.split.empty:
            return Counts(0, 0, total)
        found = [0, 0]
        scenes = self.scenes
        for rows, strip in self.all_strips(STANDS):
            for family, (low, high) in enumerate((strip.fits, strip.allows)[: 1 if self.fits_only else 2]):
                many = scenes.many[family][strip.choice]
                if not many:
                    continue
                weight = scenes.row(self.one, family, strip.choice)[rows]
                mine = scenes.row(self.other, family, strip.choice)[strip.group.at]
                sums = numpy.zeros(len(mine) + 1, dtype=numpy.int64)
                numpy.cumsum(mine, out=sums[1:])
                count = int(weight @ (sums[numpy.maximum(high, low)] - sums[low]))
                for cells in strip.cells:
                    counted = cells[2 + family]
                    count += int(weight[cells[0][counted]] @ mine[cells[1][counted]])
                found[family] += many * count
        if self.fits_only:
            return Counts(found[0], 0, total - found[0])
        return Counts(found[0], found[1] - found[0], total - found[1])

    def cheapest(self, limit: int) -> list[tuple[int, ...]]:
        """The first combinations that fit by what they cost together, then by their parts' places by price and id,
        role after role: places of candidates, in the order of the domains. Unknown prices come last."""
        return Cheapest(self, limit).rows() if limit > 0 and not self.split.empty else []
