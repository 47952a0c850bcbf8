"""Cells in which a figure is missing, on arrays: cannot tell as soon as one plausible value holds.

What `kb.missing` does for one cell: it calls a combination hopeless only if no plausible value helps. A margin that
runs one way between two values of the missing figure is nowhere better between them than at the better end.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from itertools import product
from typing import TYPE_CHECKING, Any

import numpy

from kb.build import Question
from kb.chance import Settings
from kb.missing import GRID, ODDS_AT, _hangs_on_whether, _hard, _tries
from kb.odds import Odds

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from kb.search._box import Box
    from kb.search._screen import Screen
    from kb.search._spread import Array

UNDECIDED, OPENING, CONDEMNED = -1, 2, 3
_COARSE = (9, 4, 2)  # points of the range between which the odds are bounded, for one, two and three missing figures


def never_settled(question: Question, settings: Settings) -> bool:
    """Whether the answer is cannot tell whatever the figures are: too much is missing, or it could be anything."""
    missing = question.missing
    if _hangs_on_whether(question) or len(missing) > len(GRID) or not _hard(Odds(question, settings)):
        return True
    return any(_tries(question.leaves[index], 2) is None for index in missing)


def missing_codes(screen: Screen, box: Box) -> NDArray[numpy.int8]:
    """Cannot tell where the limits hold at a point of the grid; does not fit where they cannot anywhere; else -1."""
    question = screen.question
    missing = question.missing
    points = GRID[len(missing) - 1]
    choices = [_tries(question.leaves[index], points) or [] for index in missing]
    found = numpy.full(box.count, UNDECIDED, dtype=numpy.int8)
    mixes = list(product(*choices))
    # The middle of the ranges first: most often it settles the matter.
    for mix in (mixes[len(mixes) // 2], mixes[0], mixes[-1]):
        _held(screen, box, mix, found)
    # Wide bounds of the odds first, exact ones for what they leave open.
    for coarse in (True, False) if screen.coarse else (False,):
        if box.spread:
            _rest(box, found, coarse, lambda some, inner: _likely(screen, some, inner))
        if len(missing) <= len(_COARSE):
            _rest(box, found, coarse, lambda some, inner: _hopeless(screen, some, choices, inner))
    if len(screen.hard) == 1 and box.spread:
        _rest(box, found, False, lambda some, inner: _condemned(screen, some, choices, inner))

    def every(some: Box, inner: NDArray[numpy.int8]) -> None:
        figure = numpy.zeros(some.count, dtype=bool)
        for mix in mixes:
            figure |= _held(screen, some, mix, inner) > -math.inf
        inner[~figure] = OPENING  # no value at all gives a figure: no ground to condemn on

    _rest(box, found, False, every)
    return found


def _rest(box: Box, found: NDArray[numpy.int8], coarse: bool, work: Callable[[Box, NDArray[numpy.int8]], None]) -> None:
    """Let `work` decide some of the cells that are undecided."""
    left = numpy.flatnonzero(found == UNDECIDED)
    if len(left):
        some = box.only(left)
        some.coarse = coarse
        inner = numpy.full(len(left), UNDECIDED, dtype=numpy.int8)
        work(some, inner)
        found[left] = inner


def _looked_at(screen: Screen) -> list[tuple[Any, ...]]:
    """The values at which kb.missing looks at the odds, beside the best."""
    choices = [_tries(screen.question.leaves[index], ODDS_AT) or [] for index in screen.question.missing]
    mixes = list(product(*choices))
    return mixes[:: max(1, len(mixes) // ODDS_AT)]


def _condemned(screen: Screen, box: Box, choices: Sequence[Sequence[Any]], found: NDArray[numpy.int8]) -> None:
    """Mark cells that kb.missing calls hopeless, of a rule with one limit that may condemn.

    Its margin runs one way along every missing figure, so the best values are at a corner of the ranges: there the odds
    must be at or below `not_at`, in every corner that is as good, and at the other values that kb.missing looks at.
    """
    leaves = [screen.question.leaves[index] for index in screen.question.missing]
    if any(leaf.options for leaf in leaves):
        return
    (limit,) = screen.hard
    ends = [(tried[0], tried[len(tried) // 2], tried[-1]) for tried in choices]
    margins: dict[tuple[int, ...], dict[int, Array]] = {}
    highs: dict[tuple[int, ...], Array] = {}
    for at in product(range(3), repeat=len(leaves)):
        values = _with(screen, box, [end[place] for end, place in zip(ends, at, strict=True)])
        some = box.replaced(values)
        margins[at] = some.margins(values, screen.hard)
        if 1 not in at:
            highs[at] = some.each(screen.hard, margins[at])[limit][1]
    ok: NDArray[numpy.bool_] = numpy.all([_finite(each) for each in margins.values()], axis=0)
    for place in range(len(leaves)):
        ok &= _one_way(margins, place, screen.hard)
    best: Array = numpy.max([margins[at][limit] for at in highs], axis=0)
    ok &= best < -screen.slack
    for at, high in highs.items():
        as_good = margins[at][limit] >= best - 1e-9 * numpy.abs(best)
        ok &= ~as_good | (high <= screen.settings.not_at)
    for mix in _looked_at(screen):
        some = box.replaced(_with(screen, box, mix))
        there = some.margins(some.values, screen.hard)
        ok &= _finite(there) & (some.each(screen.hard, there)[limit][1] <= screen.settings.not_at)
    found[ok] = CONDEMNED


def _with(screen: Screen, box: Box, mix: Sequence[Any]) -> list[Any]:
    values = list(box.values)
    for index, value in zip(screen.question.missing, mix, strict=True):
        values[index] = value
    return values


def _held(screen: Screen, box: Box, mix: Sequence[Any], found: NDArray[numpy.int8]) -> Array:
    """Mark cells that hold at these values; the least margins."""
    least = box.least(screen.hard, _with(screen, box, mix))
    found[least >= -screen.slack] = OPENING
    return least


def _likely(screen: Screen, box: Box, found: NDArray[numpy.int8]) -> None:
    """Mark cells in which the odds are above `not_at` at one of the values where kb.missing looks at them."""
    for mix in _looked_at(screen):
        at = numpy.flatnonzero(found == UNDECIDED)
        if not len(at):
            return
        some = box.only(at)
        values = _with(screen, some, mix)
        some = some.replaced(values)
        margins = some.margins(values, screen.hard)
        each = some.each(screen.hard, margins)
        low = 1.0 - some.joined({index: 1.0 - one for index, (one, _) in each.items()}, utmost=True)
        found[at[(low > screen.settings.not_at) & _finite(margins)]] = OPENING


def _hopeless(screen: Screen, box: Box, choices: Sequence[Sequence[Any]], found: NDArray[numpy.int8]) -> None:
    """Mark cells in which the odds stay at or below `not_at` over the whole range of what is missing.

    Between neighbouring points every limit is given the better odds of the two, provided its margin runs one way over
    all points looked at.
    """
    leaves = [screen.question.leaves[index] for index in screen.question.missing]
    count = _COARSE[len(leaves) - 1]
    axes: list[Sequence[Any]] = []
    for leaf, tried in zip(leaves, choices, strict=True):
        if leaf.options:
            axes.append(tried)
        else:
            axes.append([tried[round(at * (len(tried) - 1) / (count - 1))] for at in range(count)])
    highs: dict[tuple[int, ...], dict[int, Array]] = {}
    margins: dict[tuple[int, ...], dict[int, Array]] = {}
    for at in product(*[range(len(axis)) for axis in axes]):
        values = _with(screen, box, [axis[place] for axis, place in zip(axes, at, strict=True)])
        some = box.replaced(values)
        margins[at] = some.margins(values, screen.hard)
        if some.spread:
            highs[at] = {index: high for index, (_, high) in some.each(screen.hard, margins[at]).items()}
        else:
            highs[at] = {index: (margin >= -screen.slack).astype(float) for index, margin in margins[at].items()}
    hopeless = numpy.ones(box.count, dtype=bool)
    for at in highs:
        spans = [(0,) if leaf.options or place + 1 == len(axis) else (0, 1)
                 for leaf, place, axis in zip(leaves, at, axes, strict=True)]  # fmt: skip
        corners = [tuple(place + step for place, step in zip(at, steps, strict=True)) for steps in product(*spans)]
        best = numpy.min(
            [numpy.max([highs[corner][index] for corner in corners], axis=0) for index in screen.hard], axis=0
        )
        hopeless &= best <= screen.settings.not_at
        hopeless &= _finite(margins[at])
    for place, leaf in enumerate(leaves):
        if not leaf.options:
            hopeless &= _one_way(margins, place, screen.hard)
    found[hopeless] = CONDEMNED


def _finite(margins: dict[int, Array]) -> NDArray[numpy.bool_]:
    found: NDArray[numpy.bool_] = numpy.all([numpy.isfinite(each) for each in margins.values()], axis=0)
    return found


def _one_way(
    margins: dict[tuple[int, ...], dict[int, Array]], place: int, limits: Sequence[int]
) -> NDArray[numpy.bool_]:
    """Whether every margin only rises, or only falls, along this missing figure."""
    told: NDArray[numpy.bool_] | None = None
    lines: dict[tuple[int, ...], list[tuple[int, ...]]] = {}
    for at in margins:
        lines.setdefault((*at[:place], *at[place + 1 :]), []).append(at)
    for line in lines.values():
        for index in limits:
            rows = numpy.array([margins[at][index] for at in sorted(line)])
            steps = numpy.diff(rows, axis=0)
            slack = 1e-12 * numpy.abs(rows).max(axis=0)
            one = (steps >= -slack).all(axis=0) | (steps <= slack).all(axis=0)
            told = one if told is None else told & one
    assert told is not None
    return told
