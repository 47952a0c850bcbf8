"""Findings where a value is missing: cannot tell, unless no plausible value of it could make the combination fit."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from itertools import product
from typing import Any

from kb.build import NO_FIGURE, Leaf, Question
from kb.chance import NOT, OPEN, Settings, p_between, verdict_of
from kb.finding import Driver, Finding
from kb.measure import Term
from kb.odds import Odds

GRID = (41, 13, 7)  # points a missing value is tried at, for one, two and three missing values
ODDS_AT = 9  # values of the plausible range at which the odds are looked at before something is called hopeless
_HALVINGS = 24  # of the step, in the climb from the best point of the grid


def with_missing(question: Question, settings: Settings) -> Finding:
    """Cannot tell, unless no plausible value of what is missing could make it fit."""
    rule = question.rule
    missing = tuple(Driver(question.leaves[index], 0.0, None) for index in question.missing)
    odds = Odds(question, settings)
    values = None if _hangs_on_whether(question) else _best_case(question, odds)
    if values is None:
        return Finding(rule, OPEN, "missing", None, None, None, None, (), "", missing, "missing", question)
    if _held(odds, values) or not _hopeless(question, values, settings):
        needed = _accuracy(question, odds, values, settings) if len(missing) == 1 else None
        drivers = tuple(each._replace(needed=needed) for each in missing)
        return Finding(rule, OPEN, "missing", None, None, None, None, (), "", drivers, "missing", question)
    worst, quantity = odds.worst(values)
    checks, how = odds.checks(values), "plausible range"
    return Finding(rule, NOT, "hopeless", 0.0, 0.0, quantity, None, checks, worst, missing, how, question)


def _hangs_on_whether(question: Question) -> bool:
    """Whether a missing value decides if the rule is to be asked at all: then nothing can be said against the parts."""
    conditions = {str(on) for on, _ in question.rule.when}
    return any(question.leaves[index].name in conditions for index in question.missing)


def _hard(odds: Odds) -> list[int]:
    return [index for index, soft in enumerate(odds.soft) if not soft]


def _held(odds: Odds, values: Sequence[Any]) -> bool:
    """Whether the limits hold at these values, however unsure: then they are no ground to condemn on."""
    return odds.least(_hard(odds), values) >= -odds.slack


def _hopeless(question: Question, best: list[Any], settings: Settings) -> bool:
    """Whether the limits cannot hold at the best values, nor at others that are spread over what is plausible.

    The values with the most margin need not be those with the best odds where other inputs are very uncertain.
    """
    tried = [best]
    if question.spread:
        choices = [_tries(question.leaves[index], ODDS_AT) or [] for index in question.missing]
        mixes = list(product(*choices))
        tried += [_filled(question, mix) for mix in mixes[:: max(1, len(mixes) // ODDS_AT)]]
    verdicts = [found for each in tried if (found := _verdict_at(question, each, settings))]
    return bool(verdicts) and all(found == NOT for found in verdicts)


def _verdict_at(question: Question, values: list[Any], settings: Settings) -> str:
    """The verdict with these values filled in; empty where they, or values near them, give no figure."""
    try:
        return verdict_of(Odds(_Filled(question, values), settings).hard(), settings)
    except NO_FIGURE:
        return ""


def _filled(question: Question, tried: Sequence[Any]) -> list[Any]:
    values = list(question.nominal)
    for index, value in zip(question.missing, tried, strict=True):
        values[index] = value
    return values


def _tries(leaf: Leaf, points: int) -> list[Any] | None:
    """Values that a missing leaf could have; None when it could be anything."""
    if leaf.options:
        if leaf.feature.sort == "codes":  # nothing, each alone, everything: a set that helps lies between these
            return [frozenset(), *(frozenset({code}) for code in leaf.options), frozenset(leaf.options)]
        return list(leaf.options)
    if leaf.feature.plausible is None:
        return None
    low, high = leaf.feature.plausible
    return [low + (high - low) * step / (points - 1) for step in range(points)]


def _best_case(question: Question, odds: Odds) -> list[Any] | None:
    """The values of the leaves at which the missing ones help most; the first that hold, if any do.

    None when too much is missing to try, when something missing has no plausible range, or when no limit may condemn.
    """
    missing, limits = question.missing, _hard(odds)
    if len(missing) > len(GRID) or not limits:
        return None
    points = GRID[len(missing) - 1]
    choices = [_tries(question.leaves[index], points) for index in missing]
    if any(each is None for each in choices):
        return None

    def margin(tried: Sequence[Any]) -> float:
        return odds.least(limits, _filled(question, tried))

    # One best point for every mix of codes: a climb moves figures, it cannot change a code.
    best: dict[tuple[Any, ...], tuple[float, tuple[Any, ...]]] = {}
    for tried in product(*[each for each in choices if each is not None]):
        at = margin(tried)
        if at >= -odds.slack:
            return _filled(question, tried)
        codes = tuple(value for index, value in zip(missing, tried, strict=True) if question.leaves[index].options)
        if codes not in best or at > best[codes][0]:
            best[codes] = at, tried
    climbed = [
        _climb(question, margin, list(tried), points, -odds.slack) for at, tried in best.values() if at > -math.inf
    ]
    return _filled(question, max(climbed, key=margin)) if climbed else None


def _climb(
    question: Question, margin: Callable[[Sequence[Any]], float], best: list[Any], points: int, enough: float
) -> list[Any]:
    """Refine the numbers of the best try between the grid's points, so that a window narrower than the grid is found.

    Figures are moved one by one and together, since a ridge may run between the axes.
    """
    ranges = [question.leaves[index].feature.plausible for index in question.missing]
    free = [not question.leaves[index].options for index in question.missing]
    spans = [
        (each[1] - each[0]) / (points - 1) if each and moves else 0.0 for each, moves in zip(ranges, free, strict=True)
    ]
    moves = [each for each in product((0, 1, -1), repeat=len(best)) if any(each)]
    at = margin(best)
    for _ in range(_HALVINGS):
        for move in moves:
            tried = list(best)
            for place, (way, span, each) in enumerate(zip(move, spans, ranges, strict=True)):
                if way and span and each:
                    tried[place] = min(max(tried[place] + way * span, each[0]), each[1])
            if tried == best:
                continue
            found = margin(tried)
            if found > at:
                best, at = tried, found
            if at >= enough:
                return best
        spans = [span / 2 for span in spans]
    return best


class _Filled(Question):
    """A question whose missing leaves have been given values."""

    def __init__(self, question: Question, values: list[Any]) -> None:
        self.__dict__.update(question.__dict__)
        self.nominal = values


def _accuracy(question: Question, odds: Odds, values: list[Any], settings: Settings) -> float | None:
    """The widest standard uncertainty with which a reading of the one missing input could still say "fits".

    Taken at the best place between the limits; None for a choice, or for a quantity bounded on one side only (there
    any instrument will do for a value that is far enough inside).
    """
    leaf = question.leaves[question.missing[0]]
    if leaf.options or question.form in ("stations", "count"):
        return None
    low, high = odds.window(values)
    if math.isinf(low) or math.isinf(high) or low > high:
        return None
    index = question.missing[0]
    step = 1e-4 * abs(values[index]) or 1e-6
    moved = list(values)
    moved[index] += step
    filled = Odds(_Filled(question, values), settings)
    try:
        slope = float(question.quantity(moved) - question.quantity(values)) / step
        model = filled.worst_model() if question.spread else None
    except NO_FIGURE:
        return None
    if not slope:
        return None
    others = [
        term.scaled(model.slopes[spread.key])
        for at in (question.spread if model else ())
        for spread in [question.leaves[at]]
        if model and spread.dimension and model.slopes.get(spread.key)
        for term in spread.dimension.terms
    ]
    middle, reach = (low + high) / 2, (high - low) / 2
    good, bad = 0.0, reach
    for _ in range(40):
        u = (good + bad) / 2
        held = p_between(middle, [*others, Term("rectangular", u)], low, high) >= settings.fits_at
        good, bad = (u, bad) if held else (good, u)
    return good / abs(slope) if good else None
