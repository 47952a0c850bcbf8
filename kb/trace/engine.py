"""Which cause do the answers point to, and which test tells most for its trouble: exact, over no, one or two faults.

A test has outcomes in order from best to worst, and for every cause a distribution over them. A reading misleads at a
stated rate: it then shows any of the other outcomes, each as likely. With two faults the worse of the two shows
(`worst`), or either of them (`either`, for outcomes that have no order).

The hypotheses (none, each cause, each pair) are put into classes that no test tells apart; an answer is then one
multiplication of the classes' masses, and everything asked of the classes is exact for the hypotheses.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

MISLEADING = 0.02  # share of readings that show something else than is there
COMBINE = ("worst", "either")
LEAST_GAIN = 1e-4  # bits below which a test tells nothing worth its trouble
_LOWEST, _TIE = 1e-300, 1e-9


class Trial(NamedTuple):
    """A test as the engine sees it.

    shows: (1 + causes, outcomes); row 0 is what is seen with no fault, row 1 + i with cause i alone; rows sum to 1.
    effort: minutes, with what a missing tool and an opened engine add to them.
    """

    shows: Floats
    effort: float
    combine: str = "worst"


class Packed(NamedTuple):
    """Classes of hypotheses that no test tells apart.

    log_mass: (classes,) natural logarithm of the prior mass, not normalised. share: (causes, classes) part of a
    class's mass in which the cause is at fault. none: (classes,) part that is no fault at all. alone: (causes, classes)
    part that is this cause alone. seen: (tests, classes, outcomes) chance of each outcome, misleading readings counted
    in, padded with zeros. wrong: (tests, distinct, outcomes) what misleading readings give to it, in the row `held`
    (classes, tests) of each class. outcomes, efforts: one a test. flat: `seen` as (classes, tests * outcomes). sure:
    (classes, tests) less than zero by the bits open within a class.
    """

    log_mass: Floats
    share: Floats
    none: Floats
    alone: Floats
    seen: Floats
    wrong: Floats
    held: NDArray[np.int64]
    outcomes: tuple[int, ...]
    efforts: Floats
    flat: Floats
    sure: Floats


def combined(first: Floats, second: Floats, combine: str = "worst") -> Floats:
    """Distribution over outcomes with two faults, from those of each alone; outcomes along the last axis."""
    if combine == "either":
        return (first + second) / 2.0
    found = np.empty_like(first)
    one, two, before = (np.zeros(first.shape[:-1]) for _ in range(3))
    for outcome in range(first.shape[-1]):  # as bad as this or better: both must be
        one += first[..., outcome]
        two += second[..., outcome]
        found[..., outcome] = one * two - before
        before = one * two
    return found


def pack(priors: Sequence[float], trials: Sequence[Trial], misleading: float = MISLEADING) -> Packed:
    """The classes for causes with these prior probabilities (each alone, in (0, 1)) and these tests."""
    chance = np.asarray(priors, dtype=float)
    count = len(chance)
    odds = np.log(chance) - np.log1p(-chance)
    one, two = np.triu_indices(count, 1)
    log_mass = np.concatenate([[0.0], odds, odds[one] + odds[two]])
    widest = max((trial.shows.shape[1] for trial in trials), default=1)
    tables = [_Shown(trial) for trial in trials]
    codes = np.empty((len(log_mass), len(trials)), dtype=np.int64)
    for at, table in enumerate(tables):
        codes[: count + 1, at] = table.alone
        codes[count + 1 :, at] = table.pairs[table.alone[1 + one], table.alone[1 + two]]
    first, of = _classes(codes)
    classes = len(first)
    top = log_mass.max()
    mass = np.exp(np.maximum(log_mass - top, -700.0))
    total = np.bincount(of, mass, classes)
    none = np.bincount(of[:1], mass[:1], classes) / total
    alone = np.zeros((count, classes))
    alone[np.arange(count), of[1 : count + 1]] = mass[1 : count + 1]
    share = alone.copy()
    for each in (one, two):
        joined = np.bincount(each * classes + of[count + 1 :], mass[count + 1 :], count * classes)
        share += joined.reshape(count, classes)
    distinct = max((len(table.rows) for table in tables), default=1)
    right, wrong = (np.zeros((len(trials), distinct, widest)) for _ in range(2))
    for at, table in enumerate(tables):
        rows, outcomes = table.rows.shape
        if outcomes > 1:
            wrong[at, :rows, :outcomes] = misleading * (1.0 - table.rows) / (outcomes - 1)
        right[at, :rows, :outcomes] = (1.0 - misleading if outcomes > 1 else 1.0) * table.rows
    right += wrong
    held = codes[first]
    which = np.arange(len(trials))
    seen = right[which, held]
    return Packed(
        np.log(total) + top,
        share / total,
        none,
        alone / total,
        seen.transpose(1, 0, 2),
        wrong,
        held,
        tuple(trial.shows.shape[1] for trial in trials),
        np.array([trial.effort for trial in trials], dtype=float),
        seen.reshape(classes, -1),
        _plogp(right).sum(axis=-1)[which, held],
    )


class _Shown:
    """What a test can show at all: its distinct distributions, to the twelfth digit, and who brings which about.

    rows: (distinct, outcomes). alone: (1 + causes,) number of the row of no fault and of each cause alone. pairs:
    number of the row of two causes whose own rows have these numbers.
    """

    def __init__(self, trial: Trial) -> None:
        numbers: dict[tuple[float, ...], int] = {}  # of a row as it is, and of a row rounded
        kept: list[Sequence[float]] = []

        def number(row: Sequence[float]) -> int:
            exact = tuple(row)
            if exact not in numbers:
                key = tuple(round(each, 12) for each in row)
                if key not in numbers:
                    numbers[key] = len(kept)
                    kept.append(row)
                numbers[exact] = numbers[key]
            return numbers[exact]

        self.alone = np.array([number(row) for row in trial.shows.tolist()], dtype=np.int64)
        own = np.array(kept)
        first, second = np.indices((len(own), len(own))).reshape(2, -1)
        both = combined(own[first], own[second], trial.combine)
        self.pairs = np.array([number(row) for row in both.tolist()], dtype=np.int64).reshape(len(own), len(own))
        self.rows = np.array(kept)


def _classes(rows: NDArray[np.int64]) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """(a row of each class, class of each row): rows that agree are one class.

    By a 64-bit signature of each row; should two rows that differ ever share one, by the rows themselves.
    """
    if not rows.shape[1]:
        return np.zeros(1, dtype=np.intp), np.zeros(len(rows), dtype=np.intp)
    weights = np.random.default_rng(1).integers(1, 2**62, rows.shape[1]) | 1
    _, first, of = np.unique(rows @ weights, return_index=True, return_inverse=True)
    if not (rows[first][of] == rows).all():
        _, first, of = np.unique(rows, axis=0, return_index=True, return_inverse=True)
    return first, of.ravel()


class Belief(NamedTuple):
    """What to believe after some answers.

    classes: posterior of the classes. causes: (causes,) probability that each is at fault, alone or with another.
    alone: that it is the only one. none: that nothing is. evidence: natural logarithm of the answers' probability.
    """

    classes: Floats
    causes: Floats
    alone: Floats
    none: float
    evidence: float


def believe(packed: Packed, answers: Mapping[int, int]) -> Belief:
    """The exact posterior; answers: test -> outcome, both by number."""
    log_mass = packed.log_mass.copy()
    for test, outcome in answers.items():
        log_mass = log_mass + np.log(np.maximum(packed.seen[test, :, outcome], _LOWEST))
    classes = _normal(log_mass)
    evidence = _log_sum(log_mass) - _log_sum(packed.log_mass) if answers else 0.0
    return Belief(
        classes,
        np.clip(packed.share @ classes, 0.0, 1.0),
        packed.alone @ classes,
        float(packed.none @ classes),
        float(evidence),
    )


def _log_sum(values: Floats) -> float:
    top = values.max()
    return float(top + np.log(np.exp(values - top).sum()))


def _normal(log_mass: Floats) -> Floats:
    mass = np.exp(log_mass - log_mass.max())
    return np.asarray(mass / mass.sum())


def predicted(packed: Packed, belief: Belief, test: int) -> Floats:
    """(outcomes,) how likely each outcome of the test is."""
    return np.asarray(belief.classes @ packed.seen[test, :, : packed.outcomes[test]])


def _wrong(packed: Packed, test: int, outcome: int) -> Floats:
    """(classes,) chance that a misleading reading of the test shows this outcome."""
    found: Floats = packed.wrong[test, packed.held[:, test], outcome]
    return found


def misled(packed: Packed, belief: Belief, test: int, outcome: int) -> float:
    """Probability that this reading misleads, if it is taken now.

    Above one half no cause explains the reading as well as a misleading reading does: it contradicts them all.
    """
    return float(belief.classes @ _wrong(packed, test, outcome) / (belief.classes @ packed.seen[test, :, outcome]))


def doubts(packed: Packed, answers: Mapping[int, int]) -> dict[int, float]:
    """For each test answered the probability, after all answers, that its reading misled."""
    classes = believe(packed, answers).classes
    return {
        test: float(classes @ (_wrong(packed, test, outcome) / np.maximum(packed.seen[test, :, outcome], _LOWEST)))
        for test, outcome in answers.items()
    }


def gains(packed: Packed, classes: Floats) -> Floats:
    """(tests,) expected information of each test in bits; classes: (..., classes) posteriors give (..., tests)."""
    tests, _, widest = packed.seen.shape
    marginal = (classes @ packed.flat).reshape(*classes.shape[:-1], tests, widest)
    return np.asarray(classes @ packed.sure - _plogp(marginal).sum(axis=-1))


def _plogp(values: Floats) -> Floats:
    return values * np.log2(np.where(values > 0.0, values, 1.0))


def rates(packed: Packed, belief: Belief, asked: frozenset[int] = frozenset(), steps: int = 1) -> Floats:
    """(tests,) information gained per minute by each test, 0 for one already asked.

    steps 2: by the test and, for each of its outcomes, the best that can follow it: all the information of both over
    all their minutes, each follower weighted with how likely its turn comes.
    """
    free = np.array([test not in asked for test in range(len(packed.outcomes))], dtype=bool)
    gain = np.where(free, np.maximum(gains(packed, belief.classes), 0.0), 0.0) if len(free) else np.zeros(0)
    rate = gain / packed.efforts
    if steps < 2:
        return rate
    found = np.zeros(len(free))
    telling = np.flatnonzero(free & (gain > LEAST_GAIN))
    joint = belief.classes[:, None] * packed.seen[telling]  # (tests, classes, outcomes)
    chances = joint.sum(axis=1)
    after = (joint / np.maximum(chances, _LOWEST)[:, None, :]).transpose(0, 2, 1)
    follows = np.maximum(gains(packed, after.reshape(-1, after.shape[2])), 0.0).reshape(*after.shape[:2], len(free))
    for at, test in enumerate(telling):
        outcomes = packed.outcomes[test]
        left = free.copy()
        left[test] = False
        follow = np.where(left, follows[at, :outcomes], 0.0)  # (outcomes, tests)
        found[test] = _best_plan(gain[test], packed.efforts[test], chances[at, :outcomes], follow, packed.efforts, left)
    return found


def _best_plan(
    gain: float, effort: float, chance: Floats, follow: Floats, efforts: Floats, left: NDArray[np.bool_]
) -> float:
    """Most information per minute over all ways to choose a follower (or none) for each outcome.

    A ratio of sums: for a rate r the best follower of an outcome is the one with the largest gain - r * effort, and
    the best r is the one for which the whole comes to nothing (Dinkelbach); it rises to it in a few steps.
    """
    rate = gain / effort
    if not left.any():
        return float(rate)
    for _ in range(50):
        worth = np.where(left, follow - rate * efforts, -np.inf)
        pick = worth.argmax(axis=1)
        take = worth[np.arange(len(chance)), pick] > 0.0
        more = float((chance * take * follow[np.arange(len(chance)), pick]).sum())
        cost = float((chance * take * efforts[pick]).sum())
        better = (gain + more) / (effort + cost)
        if better <= rate * (1.0 + 1e-13):
            break
        rate = better
    return float(rate)


def next_test(packed: Packed, belief: Belief, asked: frozenset[int] = frozenset(), steps: int = 2) -> int | None:
    """The test that gains most per minute, the first of those that gain as much; None when none tells anything."""
    if not len(packed.outcomes):
        return None
    gain = gains(packed, belief.classes)
    rate = rates(packed, belief, asked, steps)
    rate = np.where(gain > LEAST_GAIN, rate, 0.0)
    best = rate.max()
    if best <= 0.0:
        return None
    return int(np.flatnonzero(rate >= best * (1.0 - _TIE))[0])
