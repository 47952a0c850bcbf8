"""Cells of a linear rule over two searched roles, decided by ranges on sorted sides.

Within one shape of cells such a rule's margins are constant + f(one part) + g(other part), and so are they at the worst
and the best corner of the box of errors, since each part's errors move a margin by a half width of its own. With the
parts of one role sorted by what they add, the partners of a part of the other role that surely hold, or surely break,
a limit are an index range, found by binary search. What lies between is left to the screen.

f, g and the half widths come from evaluating the rule, not from its formula, and are tried out on other cells first.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

import numpy

from kb.search._box import Box

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from kb.search._screen import Screen
    from kb.search._spread import Array

    Index = NDArray[numpy.intp]
    Bools = NDArray[numpy.bool_]

UNDECIDED, FITTING, OPENING, CONDEMNED = -1, 1, 2, 3
WORTH = 4  # cells a part from which ranges are looked for: below that the screen is as quick
_TRIED = 256  # cells in which the sums are compared with the rule
_ROUNDING = 1e-12  # of the largest figure met; cells this near to a limit are left to the screen
# Outside the box lies a normal error beyond 4.5 standard uncertainties, 7e-6 of it, one limit of each side counted,
# and odds are rounded: nearer to 0 and 1 than this a threshold is not met for sure.
_CLEAR = 1e-3


class Reach(NamedTuple):
    """For one limit, at one corner: rank of every class of the second axis in the order of what it adds to the margin.

    start: for every class of the first axis the rank from which on the margin is at least the figure asked for.
    """

    start: NDArray[numpy.int32]
    rank: NDArray[numpy.int32]

    def at(self, cells: Sequence[Index]) -> Bools:
        """Whether the margin is at least that, in these cells of the two axes."""
        found: Bools = self.rank[cells[1]] >= self.start[cells[0]]
        return found


class Ranges:
    """What is sure of the limits. axes: places of the two axes.

    holds: each limit's reach at the worst corner; breaks: at the best corner, where cells out of reach surely break it.
    """

    def __init__(self, axes: tuple[int, int], holds: dict[int, Reach], breaks: dict[int, Reach], hard: list[int]):
        self.axes = axes
        self.holds, self.breaks, self.hard = holds, breaks, hard

    def codes(self, cells: Sequence[Index]) -> NDArray[numpy.int8]:
        """The verdicts; -1 where the ranges do not tell."""
        pair = [cells[axis] for axis in self.axes]
        count = len(pair[0])
        surely, condemned, soft = numpy.ones(count, dtype=bool), numpy.zeros(count, dtype=bool), None
        for index in self.hard:
            surely &= self.holds[index].at(pair)
            condemned |= ~self.breaks[index].at(pair)
        found = numpy.full(count, UNDECIDED, dtype=numpy.int8)
        found[condemned] = CONDEMNED
        for index in self.holds:
            if index not in self.hard:
                usual = self.holds[index].at(pair)
                unusual = ~self.breaks[index].at(pair)
                soft = (usual, unusual) if soft is None else (soft[0] & usual, soft[1] | unusual)
        if soft is None:
            found[surely] = FITTING
        else:
            found[surely & soft[0]] = FITTING
            found[surely & soft[1]] = OPENING
        return found


class _Side(NamedTuple):
    """Margins of each limit with the parts of one axis beside a first part of the other: at the nominal values, and the
    half width that the errors of the axis' own figures make."""

    margin: dict[int, Array]
    half: dict[int, Array]


def ranges(screen: Screen, cells: Sequence[Index]) -> Ranges | None:
    """The ranges for the shape of these cells; None where the rule is of another form or does not add up."""
    axes = tuple(sorted({axis for axis, _ in screen.live.values()}))
    settings = screen.settings
    if screen.question.form != "linear" or screen.question.missing or len(axes) != 2:
        return None
    if settings.fits_at > 1.0 - _CLEAR or settings.not_at < _CLEAR:
        return None
    first = [int(index[0]) for index in cells]
    members = []
    for axis in axes:
        shapes = screen.axes[axis].shapes
        members.append(numpy.flatnonzero(shapes == shapes[first[axis]]))
    one, other = (_side(screen, first, axis, some) for axis, some in zip(axes, members, strict=True))
    if one is None or other is None:
        return None
    here = _box(screen, first, {})
    middle = here.margins(here.values, screen.all)
    steady = _halves(here, [leaf for leaf in here.spread if leaf not in screen.live])
    if steady is None or not all(numpy.isfinite(each).all() for each in middle.values()):
        return None
    size = max(
        float(numpy.abs(each).max())
        for side in (one, other)
        for each in (*side.margin.values(), *side.half.values(), *steady.values())
    )
    size = max(size, float(numpy.abs(numpy.asarray(here.screen.question.quantity(here.values), dtype=float)).max()))
    guard = _ROUNDING * size
    adds = {index: other.margin[index] - middle[index] for index in screen.all}
    if not _adds_up(screen, first, axes, members, one, other, adds, steady, guard):
        return None
    holds, breaks = {}, {}
    slack = screen.slack
    lengths = (len(screen.axes[axes[0]]), len(screen.axes[axes[1]]))
    for index in screen.all:
        own, its = one.margin[index], adds[index]
        low = own - one.half[index] - steady[index], its - other.half[index]
        high = own + one.half[index] + steady[index], its + other.half[index]
        holds[index] = _reach(low, members, lengths, -slack + 2.0 * guard)
        breaks[index] = _reach(high, members, lengths, -slack - 2.0 * guard)
    return Ranges((axes[0], axes[1]), holds, breaks, screen.hard)


def _reach(sums: tuple[Array, Array], members: Sequence[Index], lengths: tuple[int, int], figure: float) -> Reach:
    """Sort the second side, and search it for what each part of the first needs."""
    order = numpy.argsort(sums[1], kind="stable")
    rank = numpy.zeros(lengths[1], dtype=numpy.int32)
    rank[members[1][order]] = numpy.arange(len(order))
    start = numpy.zeros(lengths[0], dtype=numpy.int32)
    start[members[0]] = numpy.searchsorted(sums[1][order], figure - sums[0], side="left")
    return Reach(start, rank)


def _box(screen: Screen, first: Sequence[int], instead: dict[int, Index]) -> Box:
    """The first cell, with other classes on some axes."""
    count = max((len(each) for each in instead.values()), default=1)
    return Box(screen, [instead.get(axis, numpy.full(count, at, dtype=numpy.intp)) for axis, at in enumerate(first)])


def _side(screen: Screen, first: Sequence[int], axis: int, members: Index) -> _Side | None:
    box = _box(screen, first, {axis: members})
    margin = box.margins(box.values, screen.all)
    half = _halves(box, [leaf for leaf in box.spread if leaf in screen.live and screen.live[leaf][0] == axis])
    if half is None or not all(numpy.isfinite(each).all() for each in margin.values()):
        return None
    return _Side(margin, half)


def _halves(box: Box, leaves: Sequence[int]) -> dict[int, Array] | None:
    """How far the errors of these leaves move each margin at most; None where one is no figure."""
    limits = box.screen.all
    found = {index: numpy.zeros(box.count) for index in limits}
    for leaf in leaves:
        up, down = list(box.values), list(box.values)
        up[leaf] = up[leaf] + box.spread[leaf].box
        down[leaf] = down[leaf] - box.spread[leaf].box
        above, below = box.margins(up, limits), box.margins(down, limits)
        for index in limits:
            found[index] = found[index] + numpy.abs(above[index] - below[index]) / 2.0
    return found if all(numpy.isfinite(each).all() for each in found.values()) else None


def _adds_up(
    screen: Screen,
    first: Sequence[int],
    axes: Sequence[int],
    members: Sequence[Index],
    one: _Side,
    other: _Side,
    adds: dict[int, Array],
    steady: dict[int, Array],
    guard: float,
) -> bool:
    """Whether the sums are the rule's own margins in a spread of cells, nominal and in both corners of the errors."""
    steps = numpy.arange(_TRIED)
    # The golden section spreads the partners evenly, whatever the two counts are.
    at = (steps * len(members[0])) // _TRIED, (steps * 0.6180339887 % 1.0 * len(members[1])).astype(numpy.intp)
    some = {axis: several[place] for axis, several, place in zip(axes, members, at, strict=True)}
    box = _box(screen, first, some)
    here = box.margins(box.values, screen.all)
    for index in screen.all:
        whole = one.margin[index][at[0]] + adds[index][at[1]]
        width = one.half[index][at[0]] + other.half[index][at[1]] + steady[index]
        if not (numpy.abs(here[index] - whole) <= guard).all():
            return False
        worst, best = list(box.values), list(box.values)
        for leaf, column in box.spread.items():
            up = list(box.values)
            up[leaf] = up[leaf] + column.box
            pull = numpy.where(box.margins(up, [index])[index] >= here[index], column.box, -column.box)
            worst[leaf], best[leaf] = worst[leaf] - pull, best[leaf] + pull
        for values, due in ((worst, whole - width), (best, whole + width)):
            if not (numpy.abs(box.margins(values, [index])[index] - due) <= guard).all():
                return False
    return True
