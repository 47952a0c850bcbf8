"""The roles of a search told apart: two with many candidates, and small ones that are gone through or summed up.

Rules over one role say which candidates stand. A small role whose rules join it to one of the two big roles alone is
summed up there (a leaf); every other small role is gone through, group by group of candidates that look the same to
all rules (a core).
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from itertools import product
from time import perf_counter
from typing import TYPE_CHECKING, NamedTuple

import numpy

from kb.build import Build
from kb.chance import Settings
from kb.roles import base_role
from kb.rules import askable
from kb.rules._rule import Rule
from kb.search._cells import CONDEMNED, FITTING, NOT_ASKED, Cells, qualifiers
from kb.search._clashes import ClashCells
from kb.search._column_axis import standing_for
from kb.search._reads import roles_of
from kb.search._threshold import Unranged
from kb.search.columns import Columns

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Bools = NDArray[numpy.bool_]
    Codes = NDArray[numpy.int8]
    Index = NDArray[numpy.int64]

RANK = {"count": 0, "linear": 1, "smooth": 2, "rough": 3, "stations": 4}
SHAPES = 400  # combinations of shapes of which it is seen whether a rule is asked
CORES = 4096  # combinations of groups of core roles
SMALL = 1000  # candidates of a small role
CELLS = 500_000  # asked at once
FIRST = 5_000  # of them before the quickest order of the rules is settled


def column_cells(
    domains: Mapping[str, Columns], fixed: Build, settings: Settings, rules: Sequence[Rule] | None
) -> list[Cells]:
    """Every rule that reads a searched role and could be asked, as `kb.search.tables.all_cells` has them."""
    parts = {role: standing_for(role, columns) for role, columns in domains.items()}
    kept = fixed._replace(parts={name: part for name, part in fixed.parts.items() if name not in domains})
    filled = {base_role(name) for name in (*kept.parts, *domains)}
    if rules is None:
        rules = askable(filled)[0]
    made = []
    for rule in rules:
        if all(role in filled for role in roles_of(rule)[0]):
            for qualifier in qualifiers(rule, parts, kept):
                cells = Cells(rule, qualifier, parts, kept, settings, domains)
                if cells.roles:
                    made.append(cells)
    return sorted(made, key=lambda each: (len(each.roles), RANK[each.rule.form]))


class Role:
    """One searched role. fits: candidates that every rule over this role alone lets fit; stands: that none condemns."""

    def __init__(self, name: str, columns: Columns, refused: int) -> None:
        self.name = name
        self.columns = columns
        self.refused = refused
        self.fits: Bools = numpy.ones(len(columns), dtype=bool)
        self.stands: Bools = numpy.ones(len(columns), dtype=bool)
        self.asked = False  # whether some rule over it alone is asked of every candidate that stands

    def ask(self, cells: Cells | ClashCells) -> None:
        """Thin out the candidates by a rule over this role alone."""
        alive = numpy.flatnonzero(self.stands)
        if not len(alive):
            return
        axis = cells.axes[0]
        if len(axis) < len(alive):
            codes = in_batches(cells, [numpy.arange(len(axis))])[axis.classes[alive]]
        else:
            codes = in_batches(cells, [axis.classes[alive]])
        self.fits[alive[codes > FITTING]] = False
        self.stands[alive[codes >= self.refused]] = False
        self.asked |= bool((codes > NOT_ASKED).all()) and isinstance(cells, Cells)


class Small(Role):
    """A role with few candidates, grouped once its rules are known."""

    members: list[Index]  # of each group, by price and then id
    fitting: Bools  # whether its members may fit
    first: Index

    def group(self, several: Sequence[Cells | ClashCells]) -> None:
        alive = numpy.flatnonzero(self.stands)
        alive = alive[numpy.argsort(self.columns.rank[alive], kind="stable")]
        looks: dict[tuple[int, ...], list[int]] = {}
        classes = [cells.axes[cells.roles.index(self.name)].classes for cells in several]
        for at in alive.tolist():
            key = (int(self.fits[at]), *(int(each[at]) for each in classes))
            looks.setdefault(key, []).append(at)
        self.members = [numpy.array(each) for each in looks.values()]
        self.fitting = numpy.array([bool(key[0]) for key in looks], dtype=bool)
        self.first = numpy.array([each[0] for each in looks.values()], dtype=numpy.int64)


class Split:
    """A search, its rules over one role asked. big: the two roles with the most candidates.

    leaves: the small roles that hang on a big one; cores: those that are gone through. refused: the least verdict that
    stops a combination, CONDEMNED, or OPENING where only those that fit are asked for. Unranged where it cannot be
    split.
    """

    def __init__(
        self,
        domains: Mapping[str, Columns],
        fixed: Build,
        settings: Settings,
        rules: Sequence[Rule] | None = None,
        clashes: Sequence[ClashCells] = (),
        refused: int = CONDEMNED,
    ) -> None:
        self.refused = refused
        if not all(len(each) for each in domains.values()):
            raise Unranged
        self.domains = domains
        self.rules = column_cells(domains, fixed, settings, rules)
        if any(each.twins for each in self.rules):
            raise Unranged
        self.cells: list[Cells | ClashCells] = [*(each for each in clashes if each.roles), *self.rules]
        by_size = sorted(domains, key=lambda name: -len(domains[name]))
        big = [name for name in domains if name in by_size[:2]]
        self.roles = {name: (Role if name in big else Small)(name, domains[name], refused) for name in domains}
        if any(len(domains[name]) > SMALL for name in by_size[2:]):
            raise Unranged
        for cells in self.cells:
            if len(cells.roles) == 1:
                self.roles[cells.roles[0]].ask(cells)
        self.together = [each for each in self.cells if len(each.roles) > 1]
        self.big = big
        self.leaves: dict[str, list[Small]] = {name: [] for name in big}
        self.cores: list[Small] = []
        for role in self.roles.values():
            if isinstance(role, Small):
                mine = [each for each in self.together if role.name in each.roles]
                role.group(mine)
                others = {name for each in mine for name in each.roles if name != role.name}
                if len(others) == 1 and others <= set(big):
                    self.leaves[others.pop()].append(role)
                else:
                    self.cores.append(role)
        self.alive = {name: numpy.flatnonzero(self.roles[name].stands) for name in big}
        if not any(role.asked for role in self.roles.values()):
            raise Unranged  # a combination of which nothing is asked does not fit

    @property
    def empty(self) -> bool:
        """Whether some role has no candidate left."""
        return not all(role.stands.any() for role in self.roles.values())

    def core_choices(self) -> Index:
        """Every choice of a group of each core role: a row a choice, a column a role."""
        counts = [len(role.members) for role in self.cores]
        if math.prod(counts) > CORES:
            raise Unranged
        if not counts:
            return numpy.zeros((1, 0), dtype=numpy.int64)
        return numpy.indices(counts).reshape(len(counts), -1).T

    def core_classes(self, cells: Cells | ClashCells, choices: Index) -> tuple[dict[int, Index], Index]:
        """For each axis of the rule that is a core its classes, one for each different choice; and which choice of
        `choices` is which of these."""
        mine = [at for at, role in enumerate(self.cores) if role.name in cells.roles]
        if not mine:
            return {}, numpy.zeros(len(choices), dtype=numpy.int64)
        if len(self.cores) == 1:
            different, number = choices, numpy.arange(len(choices))
        else:
            different, number = numpy.unique(choices[:, mine], axis=0, return_inverse=True)
        made = {}
        for column, at in enumerate(mine):
            role = self.cores[at]
            place = cells.roles.index(role.name)
            made[place] = cells.axes[place].classes[role.first[different[:, column]]]
        return made, number.reshape(-1)

    def leaf_codes(self, big: str, leaf: Small) -> Codes:
        """The worst verdict for each candidate of the big role that stands and each group of the leaf."""
        alive, count = self.alive[big], len(leaf.members)
        worst = numpy.zeros((len(alive), count), dtype=numpy.int8)
        worst[:, ~leaf.fitting] = FITTING + 1
        mine = [each for each in self.together if leaf.name in each.roles]
        start, rows = 0, max(1, FIRST // count)
        while start < len(alive):
            some = worst[start : start + rows]
            here = alive[start : start + rows]
            tried: dict[int, float] = {}
            row = column = numpy.zeros(0, dtype=numpy.int64)
            for at, cells in enumerate(mine):
                begin = perf_counter()
                place = cells.roles.index(big)
                if at == 0 or start == 0:  # of every cell, the two roles laid across each other
                    sides = [leaf.first, leaf.first]
                    sides[place] = here
                    codes = cells.grid(*(axis.classes[each] for axis, each in zip(cells.axes, sides, strict=True)))
                    codes = codes if place == 0 else codes.T
                    numpy.maximum(some, codes, out=some)
                    tried[id(cells)] = (perf_counter() - begin) / (1 + int((codes >= self.refused).sum()))
                else:
                    sides = [leaf.first[column]] * 2
                    sides[place] = here[row]
                    codes = cells.codes([axis.classes[each] for axis, each in zip(cells.axes, sides, strict=True)])
                    some[row, column] = numpy.maximum(some[row, column], codes)
                if start and (at == 0 or (codes >= self.refused).any()):
                    row, column = (
                        numpy.nonzero(some < self.refused) if at == 0 else _left(row, column, codes < self.refused)
                    )
                    if not len(row):
                        break
            if start == 0:
                # What stops most of the first few for its time goes first from then on; the answer is the same.
                mine.sort(key=lambda cells: tried[id(cells)])
            start, rows = start + rows, max(1, CELLS // count)
        return worst

    def core_codes(self, cells: Cells | ClashCells, choices: Index) -> CoreCodes:
        """The verdicts of a rule over cores and at most one big role, for each of these choices."""
        fixed, number = self.core_classes(cells, choices)
        big = next((name for name in cells.roles if name in self.alive), "")
        if not big:
            codes = in_batches(cells, [fixed[place] for place in range(len(cells.roles))])
            return CoreCodes(number, codes[:, None], None)
        place = cells.roles.index(big)
        axis, alive = cells.axes[place], self.alive[big]
        along, spot = axis.classes[alive], None
        if len(axis) < len(alive):
            along, spot = numpy.unique(along, return_inverse=True)
        which: list[Index] = [along] * len(cells.roles)
        table = numpy.empty((max(len(each) for each in fixed.values()), len(along)), dtype=numpy.int8)
        step = max(1, CELLS // max(1, len(along)))
        for start in range(0, len(table), step):
            some = table[start : start + step]
            for at, classes in fixed.items():
                which[at] = numpy.repeat(classes[start : start + step], len(along))
            which[place] = numpy.tile(along, len(some))
            some[:] = in_batches(cells, which).reshape(some.shape)
        return CoreCodes(number, table, spot)


class CoreCodes(NamedTuple):
    """Verdicts of a rule over cores and a big role. number: for each choice its row of the table; spot: for each
    standing candidate its column, None where each has its own."""

    number: Index
    table: Codes
    spot: Index | None

    def row(self, choice: int) -> Codes:
        """Of the standing candidates under one choice; of a rule over cores alone one verdict."""
        found: Codes = self.table[self.number[choice]]
        return found if self.spot is None else found[self.spot]


def _left(row: Index, column: Index, keep: Bools) -> tuple[Index, Index]:
    return row[keep], column[keep]


def in_batches(cells: Cells | ClashCells, which: Sequence[Index]) -> Codes:
    """`cells.codes`, so many at a time that memory stays small."""
    count = len(which[0])
    if count <= CELLS:
        return cells.codes(which)
    return numpy.concatenate(
        [cells.codes([each[start : start + CELLS] for each in which]) for start in range(0, count, CELLS)]
    )


def asked_of(cells: Cells, split: Split) -> tuple[bool, bool]:
    """Whether a rule is asked of some combination of standing candidates, and whether of all: it hangs on shapes."""
    several = []
    for name, axis in zip(cells.roles, cells.axes, strict=True):
        classes = numpy.unique(axis.classes[split.roles[name].stands])
        _, first = numpy.unique(axis.shapes[classes], return_index=True)
        several.append(classes[first].tolist())
    if math.prod(len(each) for each in several) > SHAPES:
        return True, False
    asked = [cells.block(cell).constant != NOT_ASKED for cell in product(*several)]
    return any(asked), all(asked)
