"""One rule over the candidates of the roles that it reads: its verdict for any cells, the same as `kb.judge.judge`.

Candidates that look the same to the rule are one class. Classes of one shape (same choices and codes, same figures
missing) make blocks, in which one bound question serves all: its cells are screened on arrays (`kb.search._screen`),
and only what the screen leaves open is judged one by one.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

import numpy

from kb.build import Build, Leaf, Question, applies, views
from kb.chance import FITS, NOT, Settings
from kb.measure import Dimension
from kb.records.part import Part
from kb.roles import ROLES, RoleFeature, base_role
from kb.rules import derivations
from kb.rules._rule import Rule
from kb.search._column_axis import ColumnAxis
from kb.search._lacking import never_settled
from kb.search._reads import facts_read, look, roles_of, shape
from kb.search._screen import Screen, screen_of
from kb.search._spread import Column, column
from kb.search._verdict import share, verdict

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from kb.search.columns import Columns

    Codes = NDArray[numpy.int8]
    Index = NDArray[numpy.intp]

NOT_ASKED, FITTING, OPENING, CONDEMNED = 0, 1, 2, 3


def code_of(verdict: str) -> int:
    return FITTING if verdict == FITS else CONDEMNED if verdict == NOT else OPENING


class Axis:
    """One searched role as a rule sees it.

    classes: for each candidate the class it belongs to. parts: one part a class, None for the empty role. shapes: for
    each class the number of its shape; many: how many of these there are.
    """

    def __init__(self, name: str, parts: Sequence[Part | None], facts: Mapping[str, Any], by_id: bool) -> None:
        self.name = name
        looks: dict[Any, int] = {}
        shapes: dict[Any, int] = {}
        self.parts: list[Part | None] = []
        numbers, found = [], []
        for part in parts:
            key = (part.id if part and by_id else "", look(part, dict(facts)))
            if key not in looks:
                looks[key] = len(looks)
                self.parts.append(part)
                found.append(shapes.setdefault(shape(part, dict(facts)), len(shapes)))
            numbers.append(looks[key])
        self.classes = numpy.array(numbers, dtype=numpy.intp)
        self.shapes = numpy.array(found, dtype=numpy.int64)
        self.many = len(shapes)
        self._columns: dict[str, Column] = {}

    def __len__(self) -> int:
        return len(self.parts)

    def column(self, path: str) -> Column:
        """The dimension `sump_depth` or `stations.R4.height` of every class."""
        if path not in self._columns:
            self._columns[path] = column([_dimension(part, path) for part in self.parts])
        return self._columns[path]


def _dimension(part: Part | None, path: str) -> Dimension | None:
    if part is None:
        return None
    name, _, rest = path.partition(".")
    value: Any = part.facts.get(name)
    if rest and value is not None:
        entry, _, field = rest.rpartition(".")
        value = next((each.get(field) for each in value if each["id"] == entry), None)
    return value if isinstance(value, Dimension) else None


class Cells:
    """A rule, for one qualifier, over candidates of the free roles in `axes`; with no axis it is one cell.

    columns: candidates of some roles as columns of facts; `parts` then holds a few that stand for them
    (`kb.search._column_axis.standing_for`).
    """

    def __init__(
        self,
        rule: Rule,
        qualifier: str,
        parts: Mapping[str, Sequence[Part | None]],
        fixed: Build,
        settings: Settings,
        columns: Mapping[str, Columns] | None = None,
    ) -> None:
        self.rule = rule
        self.qualifier = qualifier
        self.fixed = fixed
        self.settings = settings
        possible = _possible(rule, qualifier, parts, fixed)
        read = facts_read(rule, possible)
        self.roles = _axes_of(rule, qualifier, read, parts, fixed)
        self.twins = _twins(rule)
        self.axes: list[Axis | ColumnAxis] = []
        for name in self.roles:
            facts = read.get(base_role(name), {})
            if columns is not None and name in columns:
                self.axes.append(ColumnAxis(name, columns[name], facts))
            else:
                self.axes.append(Axis(name, parts[name], facts, base_role(name) in self.twins))
        # No part in a role with a qualifier: then there is one view, the build itself.
        self._plain = not qualifier and not any(":" in name for name in (*fixed.parts, *parts))
        self.judged = 0  # cells that no array decided
        self._blocks: dict[tuple[int, ...], Block] = {}
        self._memo: dict[tuple[int, ...], int] = {}
        self._margins: dict[tuple[int, ...], float] = {}

    def view(self, cell: Sequence[int]) -> Build | None:
        """The build in which the rule is asked of these classes; None where this qualifier has no part."""
        parts = dict(self.fixed.parts)
        for axis, at in zip(self.axes, cell, strict=True):
            part = axis.parts[at]
            parts.pop(axis.name, None)
            if part is not None:
                parts[axis.name] = part
        build = self.fixed._replace(parts=parts)
        if self._plain:
            return build
        return next((view for qualifier, view in views(self.rule, build) if qualifier == self.qualifier), None)

    def one(self, cell: tuple[int, ...]) -> int:
        """The verdict for one cell, by the judge himself."""
        if cell not in self._memo:
            view = self.view(cell)
            if view is None or applies(self.rule, view):
                self._memo[cell] = NOT_ASKED
            else:
                self.judged += 1
                self._memo[cell] = code_of(verdict(self.rule, view, self.settings))
        return self._memo[cell]

    def codes(self, cells: Sequence[Index]) -> Codes:
        """The verdicts for these cells: one array of classes an axis, all of one length."""
        count = len(cells[0]) if cells else 1
        found = numpy.empty(count, dtype=numpy.int8)
        if not cells:
            found[:] = self.one(())
        if not cells or not count:
            return found
        key: NDArray[numpy.int64] = numpy.zeros(1, dtype=numpy.int64)
        for axis, index in zip(self.axes, cells, strict=True):
            if axis.many > 1:
                key = key * axis.many + axis.shapes[index]
        if len(key) == 1 or key.min() == key.max():
            return self.block([int(index[0]) for index in cells]).codes(cells)
        order = numpy.argsort(key, kind="stable")
        edges = numpy.flatnonzero(numpy.diff(key[order])) + 1
        for some in numpy.split(order, edges):
            block = self.block([int(index[some[0]]) for index in cells])
            found[some] = block.codes([index[some] for index in cells])
        return found

    def grid(self, one: Index, other: Index) -> Codes:
        """The verdicts for every pair of classes of the two axes: a row for each of the first."""
        found = numpy.empty((len(one), len(other)), dtype=numpy.int8)
        for rows in _alike(self.axes[0], one):
            for columns in _alike(self.axes[1], other):
                block = self.block((int(one[rows[0]]), int(other[columns[0]])))
                cells = [one[rows][:, None], other[columns][None, :]]
                codes = block.screen.exact(cells) if block.screen is not None and not self.twins else None
                if codes is None or (codes < 0).any():
                    flat = [numpy.repeat(one[rows], len(columns)), numpy.tile(other[columns], len(rows))]
                    codes = block.codes(flat).reshape(len(rows), len(columns))
                if len(rows) == len(one) and len(columns) == len(other):
                    return codes
                found[numpy.ix_(rows, columns)] = codes
        return found

    def margins(self, cells: Sequence[Index]) -> NDArray[numpy.float64]:
        """The least margin of all limits at the nominal values, as a share of their scales; infinite where none is.

        For cells that fit: of others it says nothing.
        """
        count = len(cells[0]) if cells else 1
        found = numpy.full(count, math.inf)
        if self.rule.form == "count":
            return found  # codes and counts match or do not
        key = numpy.zeros(count, dtype=numpy.int64)
        for axis, index in zip(self.axes, cells, strict=True):
            key = key * (int(axis.shapes.max(initial=0)) + 1) + axis.shapes[index]
        order = numpy.argsort(key, kind="stable")
        for some in numpy.split(order, numpy.flatnonzero(numpy.diff(key[order])) + 1):
            block = self.block([int(index[some[0]]) for index in cells])
            found[some] = block.margins([index[some] for index in cells])
        return found

    def margin(self, cell: tuple[int, ...]) -> float:
        """The same of one cell."""
        if cell not in self._margins:
            view = self.view(cell)
            asked = view is not None and not applies(self.rule, view)
            self._margins[cell] = share(self.rule, view, self.settings) if asked and view is not None else math.inf
        return self._margins[cell]

    def block(self, cell: Sequence[int]) -> Block:
        key = tuple(int(axis.shapes[at]) for axis, at in zip(self.axes, cell, strict=True))
        if key not in self._blocks:
            self._blocks[key] = Block(self, cell)
        return self._blocks[key]


class Block:
    """Cells of one shape."""

    def __init__(self, cells: Cells, cell: Sequence[int]) -> None:
        self.cells = cells
        self.constant: int | None = None
        self.screen: Screen | None = None
        view = cells.view(cell)
        if view is None or applies(cells.rule, view):
            self.constant = NOT_ASKED
            return
        question = Question(cells.rule, view)
        if any(leaf.missing and _might_follow(leaf, view) for leaf in question.leaves):
            return  # figures decide whether it follows: each cell for itself
        if question.missing and never_settled(question, cells.settings):
            self.constant = OPENING
            return
        live = [self._axis(leaf.role, cell) if leaf.dimension is not None else None for leaf in question.leaves]
        if all(each is None for each in live):
            cells.judged += 1
            self.constant = code_of(verdict(cells.rule, view, cells.settings, question))
            return
        self.screen = screen_of(question, live, cells.axes, cells.settings)

    def _axis(self, role: str, cell: Sequence[int]) -> int | None:
        """The axis whose part fills the role in the view; None for a fixed part."""
        names = {axis.name: at for at, axis in enumerate(self.cells.axes)}
        rule = self.cells.rule
        if self.cells.qualifier and role in _all_roles(rule):
            qualified = f"{role}:{self.cells.qualifier}"
            if qualified in names:
                at = names[qualified]
                if self.cells.axes[at].parts[cell[at]] is not None:
                    return at
            elif qualified in self.cells.fixed.parts:
                return None
        return names.get(role)

    def codes(self, cells: Sequence[Index]) -> Codes:
        count = len(cells[0])
        if self.constant is not None:
            return numpy.full(count, self.constant, dtype=numpy.int8)
        found = self.screen.codes(cells) if self.screen else numpy.full(count, -1, dtype=numpy.int8)
        if self.cells.twins:
            found[self._one_part_twice(cells)] = -1
        for at in numpy.flatnonzero(found < 0):
            found[at] = self.cells.one(tuple(int(index[at]) for index in cells))
        return found

    def margins(self, cells: Sequence[Index]) -> NDArray[numpy.float64]:
        if self.constant is not None:
            share_ = math.inf
            if self.constant == FITTING:
                share_ = self.cells.margin(tuple(int(index[0]) for index in cells))
            return numpy.full(len(cells[0]), share_)
        found = self.screen.margins(cells) if self.screen else None
        if found is None:
            several = zip(*[index.tolist() for index in cells], strict=True)
            found = numpy.array([self.cells.margin(cell) for cell in several])
        return found

    def _one_part_twice(self, cells: Sequence[Index]) -> NDArray[numpy.bool_]:
        """Where one part fills two of the roles: it is drawn once, which no array here knows."""
        made = numpy.zeros(len(cells[0]), dtype=bool)
        ids = [
            numpy.array([part.id if (part := axis.parts[at]) else "" for at in range(len(axis))])[index]
            for axis, index in zip(self.cells.axes, cells, strict=True)
        ]
        fixed = {part.id for name, part in self.cells.fixed.parts.items() if base_role(name) in self.cells.twins}
        for at, one in enumerate(ids):
            if base_role(self.cells.axes[at].name) not in self.cells.twins:
                continue
            made |= numpy.isin(one, list(fixed))
            for other in ids[:at]:
                made |= (one == other) & (one != "")
        return made


def _alike(axis: Axis | ColumnAxis, classes: Index) -> list[Index]:
    """Places of those of equal shape."""
    if axis.many == 1 or not len(classes):
        return [numpy.arange(len(classes))] if len(classes) else []
    shapes = axis.shapes[classes]
    return [numpy.flatnonzero(shapes == each) for each in numpy.unique(shapes)]


def _all_roles(rule: Rule) -> tuple[str, ...]:
    required, optional = roles_of(rule)
    return (*required, *optional)


def _might_follow(leaf: Leaf, view: Build) -> bool:
    """Whether a missing feature would follow from others if their figures were other ones."""
    for rule in derivations(leaf.name):
        if any(on.role in view.parts and view.parts[on.role].facts.get(on.feature.name) not in codes
               for on, codes in rule.when):  # fmt: skip
            continue
        needed = [each.of for each in rule.inputs if not each.optional and not each.if_known]
        if all(_known(of, view) or derivations(str(of)) for of in needed):
            return True
    return False


def _known(of: RoleFeature, view: Build) -> bool:
    return of.role in view.parts and view.parts[of.role].facts.get(of.feature.name) is not None


def _twins(rule: Rule) -> frozenset[str]:
    """Roles of the rule that take the same kind of part: one part might fill both."""
    kinds: dict[str, list[str]] = {}
    for name in _all_roles(rule):
        kinds.setdefault(ROLES[name].kind.kind, []).append(name)
    return frozenset(name for names in kinds.values() if len(names) > 1 for name in names)


def _names(rule: Rule, role: str, qualifier: str) -> tuple[str, ...]:
    wanted = bool(qualifier) and role in _all_roles(rule)
    return (f"{role}:{qualifier}", role) if wanted else (role,)


def _possible(
    rule: Rule, qualifier: str, parts: Mapping[str, Sequence[Part | None]], fixed: Build
) -> Mapping[str, Sequence[Part]]:
    """The parts that each role of the rule's view may be filled with."""
    made: dict[str, list[Part]] = {}
    for role in {base_role(name) for name in (*parts, *fixed.parts)}:
        several: list[Part] = []
        for name in _names(rule, role, qualifier):
            if name in parts:
                several += [part for part in parts[name] if part is not None]
            elif name in fixed.parts:
                several.append(fixed.parts[name])
        made[role] = several
    return made


def _axes_of(
    rule: Rule, qualifier: str, read: Mapping[str, Any], parts: Mapping[str, Sequence[Part | None]], fixed: Build
) -> tuple[str, ...]:
    """The free roles that the rule reads under this qualifier, in the order of `parts`."""
    wanted: set[str] = set()
    for role in read:
        for name in _names(rule, role, qualifier):
            if name in parts:
                wanted.add(name)
                if all(part is not None for part in parts[name]):
                    break
            elif name in fixed.parts:
                break
    if not qualifier:  # the plain view is there only while no qualified role is filled
        roles = set(_all_roles(rule))
        wanted |= {name for name in parts if ":" in name and base_role(name) in roles}
    return tuple(name for name in parts if name in wanted)


def qualifiers(rule: Rule, parts: Mapping[str, Sequence[Part | None]], fixed: Build) -> list[str]:
    """The ways in which the rule may be asked, as `kb.build.views` would tell for any choice of the free parts."""
    roles = set(_all_roles(rule))
    named = {
        name: (name in fixed.parts and name not in parts)
        or (name in parts and all(part is not None for part in parts[name]))
        for name in (*fixed.parts, *parts)
        if ":" in name and base_role(name) in roles
    }  # fmt: skip
    found = sorted({name.partition(":")[2] for name in named})
    return found if any(named.values()) else ["", *found]
