"""One searched role as a rule sees it, its candidates given as columns of facts."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

import numpy

from kb.records import KINDS
from kb.records.part import Part
from kb.roles import base_role
from kb.rules import derivations
from kb.search._spread import Column as Spread

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from kb.search.columns import Columns


FEW = 1000  # candidates among which those with equal figures are looked for


class ColumnAxis:
    """The same as `kb.search._cells.Axis`: classes, shapes, a part a class, dimensions as arrays.

    Candidates that look the same to the rule are one class; of many of which it reads a figure each is one of its own,
    since few would be equal. members: a candidate of each class.
    """

    def __init__(self, name: str, columns: Columns, facts: Mapping[str, Any]) -> None:
        self.name = name
        self.columns = columns
        self.facts = tuple(each for each in facts if each in columns.facts)
        figures = any(columns.facts[each].value is not None for each in self.facts)
        self.single = figures and len(columns) > FEW
        if self.single:
            self.members: NDArray[numpy.int64] = columns.every
            self.classes: NDArray[numpy.intp] = self.members
            shapes = columns.groups(self.facts, False)
        else:
            groups = columns.groups(self.facts, True, figures=True)
            self.classes, self.members = groups.number, groups.first
            shapes = columns.groups(self.facts, False, self.members)
        self.shapes: NDArray[numpy.int64] = shapes.number
        self.many = len(shapes.first)
        self.parts = _Parts(self)
        self._spreads: dict[str, Spread] = {}

    def __len__(self) -> int:
        return len(self.members)

    def column(self, path: str) -> Spread:
        """The dimension `sump_depth` or `stations.R4.height` of every class."""
        if path not in self._spreads:
            name, _, rest = path.partition(".")
            column = self.columns.facts[name]
            if not rest:
                made = column.spread()
                self._spreads[path] = made if self.single else made.at(self.members)
            else:
                entry, _, field = rest.rpartition(".")
                self._spreads[path] = column.inside(entry, field).at(column.codes[self.members])
        return self._spreads[path]


class _Parts:
    """A part for each class, made when asked for."""

    def __init__(self, axis: ColumnAxis) -> None:
        self._axis = axis
        self._made: dict[int, Part] = {}

    def __len__(self) -> int:
        return len(self._axis)

    def __getitem__(self, at: int) -> Part:
        if not 0 <= at < len(self):
            raise IndexError(at)
        if at not in self._made:
            if len(self._made) > 10_000:
                self._made.clear()
            self._made[at] = self._axis.columns.part(int(self._axis.members[at]), self._axis.facts)
        return self._made[at]


def standing_for(name: str, columns: Columns) -> list[Part]:
    """A few parts that say all that `kb.search._reads.facts_read` asks of candidates: what they could derive from."""
    role = base_role(name)
    wanted: dict[str, None] = {}
    for feature in KINDS[columns.kind].features:
        for rule in derivations(f"{role}.{feature}"):
            wanted[feature] = None
            wanted.update((on.feature.name, None) for on, _ in rule.when if on.role == role)
            wanted.update((each.of.feature.name, None) for each in rule.inputs if each.of.role == role)
    groups = columns.groups(wanted, False)
    return [columns.part(int(at), tuple(wanted)) for at in groups.first]
