"""Verdicts of many cells at once, where arrays can tell: what is left open here is judged cell by cell.

Forms linear, smooth and rough only. Bounds of the probability that the limits hold come from `kb.search._box`; where
both give the same verdict, that is the verdict. Of a linear rule over two searched roles `kb.search._range` decides
most cells before that.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

import numpy

from kb.build import NO_FIGURE, Question
from kb.chance import Settings
from kb.odds import Odds
from kb.search import _range
from kb.search._box import Box
from kb.search._lacking import missing_codes
from kb.search._spread import Array, column, usual_thresholds
from kb.search._verdict import scales

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from kb.search._cells import Axis
    from kb.search._column_axis import ColumnAxis

    Index = NDArray[numpy.intp]

UNDECIDED, FITTING, OPENING, CONDEMNED = -1, 1, 2, 3
CHUNK = 200_000
_BROKEN = (*NO_FIGURE, TypeError, KeyError, IndexError, AttributeError)


class Screen:
    """One bound question over the classes of its axes."""

    def __init__(
        self, question: Question, live: Sequence[int | None], axes: Sequence[Axis | ColumnAxis], settings: Settings
    ) -> None:
        self.question = question
        self.axes = axes
        self.settings = settings
        self.coarse = usual_thresholds(settings)
        odds = Odds(question, settings)
        self.slack = odds.slack
        self.odds = odds
        self.hard = [index for index, soft in enumerate(odds.soft) if not soft]
        self.all = list(range(len(odds.soft)))
        self.moving = list(odds._moving)
        self.steady: dict[tuple[int, int], float] | None = None
        self.ranges: _range.Ranges | None = None
        self._ranged = False  # whether ranges were looked for
        self.live = {
            leaf: (axis, axes[axis].column(question.leaves[leaf].path))
            for leaf, axis in enumerate(live)
            if axis is not None
        }
        self.fixed = {
            leaf: column([question.leaves[leaf].dimension])
            for leaf in question.spread
            if leaf not in self.live
        }  # fmt: skip

    # -- cells ---------------------------------------------------------------------------------------------------

    def codes(self, cells: Sequence[Index]) -> NDArray[numpy.int8]:
        """The verdicts; -1 where arrays do not tell."""
        found = self.exact(cells)
        if found is not None:
            return found
        self._look_for_ranges(cells)
        if self.ranges is None:
            return self._screened(cells)
        found = self.ranges.codes(cells)
        left = numpy.flatnonzero(found == UNDECIDED)
        if len(left):
            found[left] = self._screened([index[left] for index in cells])
        return found

    def exact(self, cells: Sequence[Index]) -> NDArray[numpy.int8] | None:
        """The verdicts where nothing is uncertain or missing, -1 where there is no figure; None elsewhere.

        The axes' classes may be laid across each other: the answer has their common shape.
        """
        if self.question.spread or self.question.missing:
            return None
        values = list(self.question.nominal)
        for leaf, (axis, whole) in self.live.items():
            values[leaf] = whole.value[cells[axis]]
        with numpy.errstate(all="ignore"):
            try:
                quantity = self.question.quantity(values)
                margins = [self.odds.margin(index, quantity, values) for index in self.all]
            except _BROKEN:
                return None
        if any(numpy.iscomplexobj(each) for each in margins):
            return None
        shape = numpy.broadcast_shapes(*(each.shape for each in cells))
        broken = {True: numpy.False_, False: numpy.False_}
        for index in self.all:
            hard = index in self.hard
            broken[hard] = broken[hard] | (margins[index] < -self.slack)
        found = numpy.where(
            broken[True], numpy.int8(CONDEMNED), numpy.where(broken[False], numpy.int8(OPENING), numpy.int8(FITTING))
        )
        found = numpy.broadcast_to(found, shape).astype(numpy.int8)
        for margin in margins:
            figure = numpy.isfinite(margin)
            if not figure.all():
                found[numpy.broadcast_to(~figure, shape)] = UNDECIDED
        return found

    def _look_for_ranges(self, cells: Sequence[Index]) -> None:
        """Once, as soon as so many cells are asked for that it is worth it."""
        parts = sum(len(self.axes[axis]) for axis in {axis for axis, _ in self.live.values()})
        if self._ranged or len(cells[0]) < _range.WORTH * parts:
            return
        self._ranged = True
        with numpy.errstate(all="ignore"):
            try:
                self.ranges = _range.ranges(self, cells)
            except _BROKEN:
                self.ranges = None

    def _screened(self, cells: Sequence[Index]) -> NDArray[numpy.int8]:
        count = len(cells[0])
        found = numpy.full(count, UNDECIDED, dtype=numpy.int8)
        for start in range(0, count, CHUNK):
            some = slice(start, start + CHUNK)
            with numpy.errstate(all="ignore"):
                try:
                    found[some] = self._chunk([index[some] for index in cells])
                except _BROKEN:
                    return found
        return found

    def margins(self, cells: Sequence[Index]) -> Array | None:
        """The least nominal margin as a share of its limit's scale; None where something is missing or it fails."""
        if self.question.missing:
            return None
        found = numpy.empty(len(cells[0]))
        sizes = scales(self.question.rule)
        for start in range(0, len(found), CHUNK):
            some = slice(start, start + CHUNK)
            with numpy.errstate(all="ignore"):
                try:
                    box = Box(self, [index[some] for index in cells])
                    margins = box.margins(box.values, self.all)
                except _BROKEN:
                    return None
            found[some] = numpy.min([margins[index] / sizes[index] for index in self.all], axis=0)
        return numpy.where(numpy.isfinite(found), found, math.inf)

    def _chunk(self, cells: Sequence[Index]) -> NDArray[numpy.int8]:
        box = Box(self, cells)
        if self.question.missing:
            return missing_codes(self, box)
        nominal = box.margins(box.values, self.all)
        figure = numpy.all([numpy.isfinite(each) for each in nominal.values()], axis=0)
        found = self._judged(box, nominal)
        open_ = numpy.flatnonzero((found == UNDECIDED) & figure)
        if len(open_) and self.coarse and box.spread:
            rest = box.only(open_)
            rest.coarse = False
            found[open_] = self._judged(rest, {index: one[open_] for index, one in nominal.items()})
        found[~figure] = UNDECIDED
        return found

    def _judged(self, box: Box, nominal: Mapping[int, Array]) -> NDArray[numpy.int8]:
        each = box.each(self.all, nominal) if box.spread else {}
        found = box.verdicts(self.hard, nominal, each)
        if len(self.hard) != len(self.all):
            usual = box.verdicts(self.all, nominal, each)
            usual[(usual != FITTING) & (usual != UNDECIDED)] = OPENING
            found = numpy.where(found == FITTING, usual, found)
        return found


def screen_of(
    question: Question, live: Sequence[int | None], axes: Sequence[Axis | ColumnAxis], settings: Settings
) -> Screen | None:
    """The screen for this question; None for forms that are judged one by one."""
    return Screen(question, live, axes, settings) if question.form in ("linear", "smooth", "rough") else None
