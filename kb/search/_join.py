"""The search itself: classes of candidates, rules step by step, exact counts and the best rows."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy

from kb.build import Build
from kb.chance import Settings
from kb.known import Incompatibility
from kb.rules._rule import Rule
from kb.search._best import Best, Member
from kb.search._cells import Cells
from kb.search._clashes import ClashCells, ClashRule, clash_cells
from kb.search.candidates import Candidate
from kb.search.tables import FITS, NOT, OPEN, all_cells

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Ints = NDArray[numpy.intp]
    Bools = NDArray[numpy.bool_]
    Codes = NDArray[numpy.int8]

RANK = {"count": 0, "linear": 1, "smooth": 2, "rough": 3, "stations": 4}
BATCH = 500_000  # pairs looked at together
SMALL = 4_000_000  # cells of a rule that are remembered, all of them

Tell = Callable[[str, int, int], None]


class Ranked(NamedTuple):
    """A row, before the rule that matters most to it is put into words.

    codes: of each rule that was asked. telling: that rule, its qualifier, and the build it is asked of, None for a
    clash; None where there is nothing to tell.
    """

    parts: tuple[Candidate, ...]
    margin: float
    codes: dict[str, int]
    telling: tuple[Rule | ClashRule, str, Build | None] | None


class Step:
    """One rule over its roles, places of the searched roles in the join's order."""

    def __init__(self, cells: Cells | ClashCells, roles: Sequence[str]) -> None:
        self.cells = cells
        self.places = tuple(roles.index(role) for role in cells.roles)
        self.level = (len(self.places), RANK[cells.rule.form])
        self.rejects = 0
        self.raises = False  # whether it is asked of any combination
        self.shape = tuple(len(axis) for axis in cells.axes)
        self.small = math.prod(self.shape) <= SMALL
        self._codes = numpy.full(math.prod(self.shape), -1, dtype=numpy.int8) if self.small else None
        self._shares: NDArray[numpy.float64] | None = None
        self._batch: dict[int, Codes] = {}

    @property
    def name(self) -> str:
        return f"{self.cells.rule.id}:{self.cells.qualifier}" if self.cells.qualifier else self.cells.rule.id

    def forget(self) -> None:
        """Drop what was remembered of the last batch of pairs."""
        self._batch.clear()

    def codes(self, classes: Sequence[Ints], third: int, at: Ints, size: int) -> Codes:
        """Verdicts of some combinations: classes of this rule, one array a role; `at` are their places in the batch."""
        if self._codes is not None:
            flat = numpy.ravel_multi_index(tuple(classes), self.shape)
            found = self._codes[flat]
            lacking = numpy.unique(flat[found < 0])
            if len(lacking):
                self._codes[lacking] = self.cells.codes(list(numpy.unravel_index(lacking, self.shape)))
                found = self._codes[flat]
            return found
        if third not in self._batch:
            self._batch[third] = numpy.full(size, -1, dtype=numpy.int8)
        kept = self._batch[third]
        lacking = numpy.flatnonzero(kept[at] < 0)
        if len(lacking):
            kept[at[lacking]] = self.cells.codes([each[lacking] for each in classes])
        return kept[at]

    def shares(self, classes: Sequence[Ints]) -> NDArray[numpy.float64]:
        """Margins of combinations that fit."""
        if not self.small:
            return self.cells.margins(classes)
        if self._shares is None:
            self._shares = numpy.full(math.prod(self.shape), math.nan)
        flat = numpy.ravel_multi_index(tuple(classes), self.shape)
        found = self._shares[flat]
        lacking = numpy.unique(flat[numpy.isnan(found)])
        if len(lacking):
            self._shares[lacking] = self.cells.margins(list(numpy.unravel_index(lacking, self.shape)))
            found = self._shares[flat]
        return found


class Side:
    """One searched role: its candidates, which still stand, and classes of those that look the same to every rule."""

    def __init__(self, role: str, candidates: Sequence[Candidate]) -> None:
        self.role = role
        self.candidates = list(candidates)
        count = len(self.candidates)
        self.stands = numpy.ones(count, dtype=bool)
        self.worst = numpy.zeros(count, dtype=numpy.int8)
        self.opens = numpy.zeros(count, dtype=numpy.int64)
        self.share = numpy.full(count, math.inf)
        self.members: list[list[Member]] = []
        self.number = numpy.zeros(0, dtype=numpy.int64)
        self.first = numpy.zeros(0, dtype=numpy.intp)

    def group(self, steps: Sequence[tuple[Step, int]]) -> None:
        """Classes of the candidates that stand, in the order of their cheapest members."""
        order = sorted(range(len(self.candidates)), key=lambda at: _cheap(self.candidates[at]))
        place = {at: rank for rank, at in enumerate(order)}
        columns = [step.cells.axes[axis].classes for step, axis in steps]
        found: dict[tuple[int, ...], list[Member]] = {}
        for at in order:
            if self.stands[at]:
                key = tuple(int(column[at]) for column in columns)
                each = self.candidates[at]
                found.setdefault(key, []).append(Member(each.price, place[at], at))
        self.members = list(found.values())
        self.number = numpy.array([len(each) for each in self.members], dtype=numpy.int64)
        self.first = numpy.array([each[0].at for each in self.members], dtype=numpy.intp)


def _cheap(each: Candidate) -> tuple[bool, float, str]:
    return each.price is None, each.price or 0.0, each.id


class Join:
    """A search over one to three roles."""

    def __init__(
        self,
        domains: Mapping[str, Sequence[Candidate]],
        fixed: Build,
        settings: Settings,
        rules: Sequence[Rule] | None,
        clashes: Sequence[Incompatibility],
        lines: Mapping[str, Sequence[str]] | None,
        limit: int,
        order: str,
        progress: Tell | None,
        under: float = math.inf,
    ) -> None:
        self.limit = limit
        self.tell = progress or (lambda stage, done, total: None)
        self.asked = list(domains)
        some: list[Cells | ClashCells] = [*all_cells(domains, fixed, settings, rules)]
        some += clash_cells(clashes, domains, fixed, lines)
        some = [each for each in some if each.roles]
        # The role with the fewest classes is looped over: it comes last.
        sizes = dict.fromkeys(self.asked, 1)
        for each in some:
            for role, axis in zip(each.roles, each.axes, strict=True):
                sizes[role] = max(sizes[role], len(axis))
        self.roles = sorted(self.asked, key=lambda role: -sizes[role])
        self.steps = sorted((Step(each, self.roles) for each in some), key=lambda step: step.level)
        self.sides = [Side(role, domains[role]) for role in self.roles]
        self.fixed = fixed
        self.joining: list[frozenset[str]] = []
        self.fitting = 0
        self.unknown = 0
        positions = [self.roles.index(role) for role in self.asked]
        self._fits = Best(limit, order, positions, under)
        self._open = Best(limit, "open", positions, under)

    # -- steps ---------------------------------------------------------------------------------------------------

    def run(self) -> None:
        self._alone()
        together = [step for step in self.steps if len(step.places) > 1]
        for place, side in enumerate(self.sides):
            side.group([(step, step.places.index(place)) for step in self.steps if place in step.places])
        if all(side.members for side in self.sides):
            for batch in self._batches():
                self._pairs(batch, together)
        self.joining = [
            frozenset((*step.cells.rule.roles, *step.cells.rule.optional_roles))
            for step in self.steps
            if step.raises and not isinstance(step.cells.rule, ClashRule)
        ]

    def _alone(self) -> None:
        """Rules over one role: of every candidate, the costly ones of those that still stand."""
        for level in sorted({step.level for step in self.steps if len(step.places) == 1}):
            standing = [side.stands.copy() for side in self.sides]
            for step in self.steps:
                if step.level != level:
                    continue
                place = step.places[0]
                side, alive = self.sides[place], numpy.flatnonzero(standing[place])
                codes = step.codes([step.cells.axes[0].classes[alive]], 0, alive, len(side.candidates))
                others = math.prod(int(each.sum()) for at, each in enumerate(standing) if at != place)
                step.rejects += int((codes == NOT).sum()) * others
                step.raises |= bool((codes > 0).any())
                side.worst[alive] = numpy.maximum(side.worst[alive], codes)
                side.opens[alive] += codes == OPEN
                side.stands[alive[codes == NOT]] = False
                fits = alive[codes == FITS]
                side.share[fits] = numpy.minimum(side.share[fits], step.shares([step.cells.axes[0].classes[fits]]))

    def _batches(self) -> Iterator[tuple[Ints, Ints]]:
        """Pairs of classes of the first two roles."""
        one = len(self.sides[0].members)
        two = len(self.sides[1].members) if len(self.sides) > 1 else 1
        rows = max(1, BATCH // two)
        for start in range(0, one, rows):
            self.tell("combining", start, one)
            first = numpy.arange(start, min(one, start + rows))
            yield numpy.repeat(first, two), numpy.tile(numpy.arange(two), len(first))
        self.tell("combining", one, one)

    def _pairs(self, batch: tuple[Ints, Ints], together: Sequence[Step]) -> None:
        for step in together:
            step.forget()
        size = len(batch[0])
        thirds = range(len(self.sides[2].members)) if len(self.sides) > 2 else (0,)
        for third in thirds:
            at = numpy.arange(size)
            worst = numpy.zeros(size, dtype=numpy.int8)
            opens = numpy.zeros(size, dtype=numpy.int64)
            picked = self._picked(batch, third, at)
            for place, side in enumerate(self.sides):
                worst = numpy.maximum(worst, side.worst[side.first[picked[place]]])
                opens += side.opens[side.first[picked[place]]]
            level: tuple[int, int] = (0, 0)
            dead = numpy.zeros(size, dtype=bool)
            for step in together:
                if step.level != level:
                    level = step.level
                    if dead.any():
                        keep = ~dead
                        at, worst, opens, dead = at[keep], worst[keep], opens[keep], dead[keep]
                if not len(at):
                    break
                codes = self._asked(step, batch, third, at, size)
                rejected = codes == NOT
                if rejected.any():
                    step.rejects += int(self._weights(batch, third, at[rejected]).sum())
                    dead |= rejected
                step.raises = step.raises or bool((codes > 0).any())
                worst = numpy.maximum(worst, codes)
                opens += codes == OPEN
            at, worst, opens = at[~dead], worst[~dead], opens[~dead]
            self._count(batch, third, at, worst, opens, together)

    def _picked(self, batch: tuple[Ints, Ints], third: int, at: Ints) -> list[Any]:
        """The classes of each role, for these places of the batch."""
        picked: list[Any] = [batch[0][at]]
        if len(self.sides) > 1:
            picked.append(batch[1][at])
        if len(self.sides) > 2:
            picked.append(numpy.full(len(at), third))
        return picked

    def _classes(self, step: Step, batch: tuple[Ints, Ints], third: int, at: Ints) -> list[Ints]:
        picked = self._picked(batch, third, at)
        return [
            axis.classes[self.sides[place].first[picked[place]]]
            for place, axis in zip(step.places, step.cells.axes, strict=True)
        ]

    def _asked(self, step: Step, batch: tuple[Ints, Ints], third: int, at: Ints, size: int) -> Codes:
        last = 0
        if 2 in step.places:
            axis = step.cells.axes[step.places.index(2)]
            last = int(axis.classes[self.sides[2].first[third]])
        return step.codes(self._classes(step, batch, third, at), last, at, size)

    def _weights(self, batch: tuple[Ints, Ints], third: int, at: Ints) -> NDArray[numpy.int64]:
        """How many combinations of parts each of these combinations of classes stands for."""
        whole = self.sides[0].number[batch[0][at]]
        if len(self.sides) > 1:
            whole = whole * self.sides[1].number[batch[1][at]]
        return whole * self.sides[2].number[third] if len(self.sides) > 2 else whole

    def _count(
        self,
        batch: tuple[Ints, Ints],
        third: int,
        at: Ints,
        worst: Codes,
        opens: NDArray[numpy.int64],
        together: Sequence[Step],
    ) -> None:
        weights = self._weights(batch, third, at)
        fit = worst == FITS
        self.fitting += int(weights[fit].sum())
        self.unknown += int(weights[~fit].sum())
        if not self.limit:
            return
        if fit.any():
            some = at[fit]
            picked = self._picked(batch, third, some)
            share = numpy.full(len(some), math.inf)
            for place, side in enumerate(self.sides):
                share = numpy.minimum(share, side.share[side.first[picked[place]]])
            for step in together:
                share = numpy.minimum(share, step.shares(self._classes(step, batch, third, some)))
            self._fits.add(picked, self.sides, share)
        if not fit.all():
            some = at[~fit]
            self._open.add(self._picked(batch, third, some), self.sides, -opens[~fit].astype(float))

    # -- what it comes to ----------------------------------------------------------------------------------------

    def best_fits(self) -> list[Ranked]:
        return [self._ranked(each, score) for score, each in self._fits.rows(self.sides)]

    def best_open(self) -> list[Ranked]:
        return [self._ranked(each, math.inf) for _, each in self._open.rows(self.sides)]

    def misfits(self) -> list[Ranked]:
        """Candidates of a single searched role that do not fit, cheapest first."""
        if len(self.sides) > 1 or not self.limit:
            return []
        side = self.sides[0]
        rows = sorted(numpy.flatnonzero(~side.stands).tolist(), key=lambda at: _cheap(side.candidates[at]))
        return [self._ranked((at,), math.inf) for at in rows[: self.limit]]

    def _ranked(self, row: Sequence[int], margin: float) -> Ranked:
        """row: a candidate a side."""
        codes: dict[str, int] = {}
        best: tuple[Any, ...] = ()
        telling: tuple[Rule | ClashRule, str, Build | None] | None = None
        for step in self.steps:
            costly = step.level[1] == RANK["stations"]
            if costly and NOT in codes.values():
                continue  # it does not fit: no reason to compute more
            classes = [axis.classes[[row[place]]] for place, axis in zip(step.places, step.cells.axes, strict=True)]
            code = int(step.cells.codes(classes)[0])
            if not code:
                continue
            codes[step.name] = code
            rule = isinstance(step.cells, Cells)
            share = float(step.cells.margins(classes)[0]) if code == FITS else 0.0
            # What is worse goes first, a recorded clash before rules; of rules that fit the tightest.
            order = (-code, rule, costly, share)
            if not best or order < best:
                view = step.cells.view([int(each[0]) for each in classes]) if isinstance(step.cells, Cells) else None
                best, telling = order, (step.cells.rule, step.cells.qualifier, view)
        parts = [self.sides[self.roles.index(role)].candidates[row[self.roles.index(role)]] for role in self.asked]
        if telling is not None and telling[2] is not None:
            telling = (*telling[:2], self._real(telling[2], parts))
        return Ranked(tuple(parts), margin, codes, telling)

    def _real(self, view: Build, parts: Sequence[Candidate]) -> Build:
        """The view with the row's very parts in place of others that look the same to the rule."""
        filled = dict(view.parts)
        for role, each in zip(self.asked, parts, strict=True):
            if each.part is not None:
                filled[role] = each.part
        return view._replace(parts=filled)

    def rejections(self) -> list[tuple[Rule | ClashRule, str, int]]:
        return [(step.cells.rule, step.cells.qualifier, step.rejects) for step in self.steps if step.rejects]
