"""Recorded clashes over candidates, asked like rules."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy

from kb.build import Build
from kb.known import Incompatibility, Party, holds
from kb.records.part import Part
from kb.roles import base_role
from kb.search.candidates import Candidate

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Index = NDArray[numpy.intp]
    Lines = Mapping[str, Sequence[str]]

_CODES = numpy.array([0, 2, 3], dtype=numpy.int8)  # no match, perhaps, surely: not asked, open, does not fit


class ClashRule(NamedTuple):
    """A recorded clash in the place of a rule: id `clash:<id>`."""

    id: str
    clash: Incompatibility
    form: str = "count"


class ClashAxis:
    """One searched role: candidates that match the parties alike are one class. matches: (class, party), 0 to 2."""

    def __init__(self, name: str, parts: Sequence[Part | None], clash: Incompatibility, lines: Lines | None) -> None:
        self.name = name
        rows: dict[tuple[int, ...], int] = {}
        self.parts: list[Part | None] = []
        numbers = []
        for part in parts:
            row = tuple(_matches(party, part, lines) if _takes(party, name) else 0 for party in clash.parties)
            if row not in rows:
                rows[row] = len(rows)
                self.parts.append(part)
            numbers.append(rows[row])
        self.classes = numpy.array(numbers, dtype=numpy.intp)
        self.matches = numpy.array(list(rows), dtype=numpy.int8).reshape(len(rows), len(clash.parties))

    def __len__(self) -> int:
        return len(self.parts)


class ClashCells:
    """A clash over the free roles that a party of it may fill; the same calls as `kb.search._cells.Cells`."""

    qualifier = ""

    def __init__(
        self, clash: Incompatibility, domains: Mapping[str, Sequence[Candidate]], fixed: Build, lines: Lines | None
    ) -> None:
        self.rule = ClashRule(f"clash:{clash.id}", clash)
        self.roles = tuple(role for role in domains if any(_takes(party, role) for party in clash.parties))
        self.axes: list[Any] = [
            ClashAxis(role, [each.part for each in domains[role]], clash, lines) for role in self.roles
        ]
        kept = [(name, part) for name, part in fixed.parts.items() if name not in domains]
        self._fixed = numpy.array(
            [
                max((_matches(party, part, lines) for name, part in kept if _takes(party, name)), default=0)
                for party in clash.parties
            ],
            dtype=numpy.int8,
        )

    def codes(self, cells: Sequence[Index]) -> NDArray[numpy.int8]:
        """Of a party the best match of all its roles, of the clash the worst of its parties."""
        count = len(cells[0]) if cells else 1
        met = numpy.broadcast_to(self._fixed, (count, len(self._fixed)))
        for axis, index in zip(self.axes, cells, strict=True):
            met = numpy.maximum(met, axis.matches[index])
        found: NDArray[numpy.int8] = _CODES[met.min(axis=1)]
        return found

    def grid(self, one: Index, other: Index) -> NDArray[numpy.int8]:
        """The verdicts for every pair of classes of the two axes: a row for each of the first."""
        both = [numpy.repeat(one, len(other)), numpy.tile(other, len(one))]
        return self.codes(both).reshape(len(one), len(other))

    def margins(self, cells: Sequence[Index]) -> NDArray[numpy.float64]:
        """A clash has no margin."""
        return numpy.full(len(cells[0]) if cells else 1, numpy.inf)


def clash_cells(
    clashes: Sequence[Incompatibility],
    domains: Mapping[str, Sequence[Candidate]],
    fixed: Build,
    lines: Lines | None = None,
) -> list[ClashCells]:
    """The clashes that nobody refuted."""
    return [ClashCells(each, domains, fixed, lines) for each in clashes if each.status != "refuted"]


def _takes(party: Party, role: str) -> bool:
    return base_role(role) == base_role(party.role) and (":" not in party.role or role == party.role)


def _matches(party: Party, part: Part | None, lines: Lines | None) -> int:
    if part is None:
        return 0
    line = (part.id, part.based_on) if lines is None else lines.get(part.id, (part.id,))
    if party.part and party.part not in line:
        return 0
    answers = [holds(condition, part) for condition in party.where]
    if any(met is False for met in answers):
        return 0
    return 1 if any(met is None for met in answers) else 2
