"""Each rule over only the free roles that it reads: a small table of verdicts, the same as `kb.judge.judge` gives.

for table in tables({"pan": pans, "pickup": pickups}, build, Settings()):
    print(table.rule.id, table.roles, (table.codes == NOT).mean())
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING, NamedTuple

import numpy

from kb.build import Build
from kb.chance import Settings
from kb.known import Incompatibility
from kb.roles import base_role
from kb.rules import askable
from kb.rules._rule import Rule
from kb.search._cells import Cells, qualifiers
from kb.search._clashes import ClashCells, ClashRule, clash_cells
from kb.search.candidates import Candidate

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Codes = NDArray[numpy.int8]

NOT_ASKED, FITS, OPEN, NOT = 0, 1, 2, 3
BATCH = 1_000_000  # cells handed to a rule at once

Tell = Callable[[str, int, int], None]


class Table(NamedTuple):
    """A rule's verdicts.

    roles: the free roles that it reads, as the domains name them. codes: int8, one axis a role, positions in that
    role's candidates; NOT_ASKED, FITS, OPEN or NOT. A rule that reads no free role has no axis: one cell.
    """

    rule: Rule | ClashRule
    qualifier: str
    roles: tuple[str, ...]
    codes: Codes

    @property
    def name(self) -> str:
        """The rule's id, with the qualifier of the part that it is asked of."""
        return f"{self.rule.id}:{self.qualifier}" if self.qualifier else self.rule.id


def tables(
    domains: Mapping[str, Sequence[Candidate]],
    fixed: Build,
    settings: Settings,
    *,
    rules: Sequence[Rule] | None = None,
    clashes: Sequence[Incompatibility] = (),
    lines: Mapping[str, Sequence[str]] | None = None,
    progress: Tell | None = None,
    spare: bool = False,
) -> list[Table]:
    """A table for every rule, and each way of asking it, that some choice of candidates could be asked; then clashes.

    domains: candidates of each free role (`pan`, `coolant_hose:upper`); these go before a part that `fixed` has there.
    Clashes come as tables with a `ClashRule`: NOT where one surely matches, OPEN where a record leaves it open,
    NOT_ASKED where it does not match. lines: for a part id its own and those of what it is based on, as clashes name
    models; without it `Part.based_on` counts, one step. A table's size is the product of its roles' candidates: for
    whole catalogues use `kb.search.find`. spare: rules over stations, each cell of which is a computation of its own,
    are asked only where no quicker table over the same roles, or fewer, says NOT; elsewhere they hold NOT_ASKED.
    """
    asked: list[Cells | ClashCells] = [*all_cells(domains, fixed, settings, rules)]
    asked += clash_cells(clashes, domains, fixed, lines)
    order = sorted(range(len(asked)), key=lambda at: asked[at].rule.form == "stations")
    made: dict[int, Table] = {}
    for done, at in enumerate(order):
        if progress is not None:
            progress("asking the rules", done, len(asked))
        cells = asked[at]
        alive = None
        if spare and cells.rule.form == "stations" and cells.roles:
            alive = numpy.ones([len(axis.classes) for axis in cells.axes], dtype=bool)
            for table in made.values():
                if table.roles and set(table.roles) <= set(cells.roles):
                    shape = [len(domains[role]) if role in table.roles else 1 for role in cells.roles]
                    alive &= (table.codes != NOT).reshape(shape)
        made[at] = dense(cells, alive)
    if progress is not None and asked:
        progress("asking the rules", len(asked), len(asked))
    return [made[at] for at in range(len(asked))]


def all_cells(
    domains: Mapping[str, Sequence[Candidate]], fixed: Build, settings: Settings, rules: Sequence[Rule] | None = None
) -> list[Cells]:
    """Every rule that could be asked, bound to the candidates of the roles that it reads."""
    parts = {role: [each.part for each in several] for role, several in domains.items()}
    kept = fixed._replace(parts={name: part for name, part in fixed.parts.items() if name not in domains})
    filled = {base_role(name) for name in kept.parts}
    filled |= {base_role(role) for role, several in parts.items() if any(part is not None for part in several)}
    if rules is None:
        rules = askable(filled)[0]
    made = []
    for rule in rules:
        if all(role in filled for role in rule.roles):
            made += [Cells(rule, qualifier, parts, kept, settings) for qualifier in qualifiers(rule, parts, kept)]
    return made


def dense(cells: Cells | ClashCells, alive: NDArray[numpy.bool_] | None = None) -> Table:
    """The whole table; NOT_ASKED in the cells that `alive` (candidates, an axis a role) leaves out."""
    shape = tuple(len(axis) for axis in cells.axes)
    if not shape:
        return Table(cells.rule, cells.qualifier, cells.roles, cells.codes([]).reshape(()))
    grid = numpy.ix_(*[axis.classes for axis in cells.axes])
    wanted = numpy.ones(shape, dtype=bool)
    if alive is not None:
        wanted[:] = False
        wanted[tuple(axis.classes[at] for axis, at in zip(cells.axes, numpy.nonzero(alive), strict=True))] = True
    some = numpy.flatnonzero(wanted)
    flat = numpy.full(wanted.size, NOT_ASKED, dtype=numpy.int8)
    for start in range(0, len(some), BATCH):
        part = some[start : start + BATCH]
        flat[part] = cells.codes(list(numpy.unravel_index(part, shape)))
    codes = flat.reshape(shape)[grid]
    if alive is not None:
        codes[~alive] = NOT_ASKED
    return Table(cells.rule, cells.qualifier, cells.roles, codes)
