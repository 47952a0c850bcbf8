"""Builds that never were, to time the solver of plans: hard, and shaped like the real thing.

Every candidate has a few hidden dimensions; a rule asks that a difference of dimensions of two or three roles lies in a
window, as fitment rules do. One set of candidates is planted so that a plan exists. Everything is drawn from one seeded
PCG64 stream, lengths are whole micrometres and prices whole cents, so that an instance is the same on every machine.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from kb.search.solver import Problem, Relation

ROLES, PAIRS, TRIPLES, OWNED = 25, 27, 8, 12


class Window(NamedTuple):
    """A rule: low <= sum of sides[i][candidate of role scope[i]] <= high, whole micrometres."""

    scope: tuple[int, ...]
    sides: tuple[NDArray[np.int64], ...]
    low: float
    high: float


class Drawn(NamedTuple):
    """What an instance is made of, for peers that state the rules their own way. costs: cents, one array a role."""

    costs: tuple[NDArray[np.int64], ...]
    windows: tuple[Window, ...]


def instance(seed: int, least: int = 40, most: int = 400, pairs: int = PAIRS, triples: int = TRIPLES) -> Problem:
    """A plan to find: 25 roles of `least` to `most` candidates, rules over two and three of them, 12 owned parts."""
    return problem_of(drawn(seed, least, most, pairs, triples))


def problem_of(made: Drawn) -> Problem:
    """The instance as the solver takes it."""
    relations = []
    for number, (scope, sides, low, high) in enumerate(made.windows):
        figure = _sum(sides)
        relations.append(Relation(f"rule-{number:02}", scope, (figure >= low) & (figure <= high)))
    return Problem(tuple(f"role-{each:02}" for each in range(ROLES)), made.costs, tuple(relations))


def _sum(sides: tuple[NDArray[np.int64], ...]) -> NDArray[np.int64]:
    figure = sides[0]
    for side in sides[1:]:
        figure = figure[..., None] + side
    return figure


def drawn(seed: int, least: int = 40, most: int = 400, pairs: int = PAIRS, triples: int = TRIPLES) -> Drawn:
    """The figures of an instance."""
    rng = np.random.Generator(np.random.PCG64(seed))
    sizes = [int(each) for each in rng.integers(least, most + 1, ROLES)]
    dims = [rng.integers(-20_000, 20_001, (size, 2)) for size in sizes]  # two hidden dimensions a candidate, um
    costs = [np.round(np.exp(rng.normal(8.6, 0.5, size))).astype(np.int64) for size in sizes]  # about 54 euro, in cents
    for role in rng.permutation(ROLES)[:OWNED]:
        costs[role][rng.integers(sizes[role])] = 0
    planted = [int(rng.integers(size)) for size in sizes]
    windows = []
    for scope in _scopes(rng, pairs, triples):
        sides = tuple(dims[role][:, rng.integers(2)] * (1 if at == 0 else -1) for at, role in enumerate(scope))
        figure = _sum(sides)
        width = float(np.std(figure)) * rng.uniform(0.5, 1.1)
        low = figure[tuple(planted[role] for role in scope)] - rng.uniform(0, 1) * width
        windows.append(Window(scope, sides, float(low), float(low + width)))
    return Drawn(tuple(costs), tuple(windows))


def _scopes(rng: np.random.Generator, two: int, three: int) -> list[tuple[int, ...]]:
    """Which roles each rule reads: pairs that join all roles, in no order of mind, and triples of any roles."""
    pairs: set[tuple[int, ...]] = set()
    for role in range(1, ROLES):
        pairs.add(tuple(sorted((role, int(rng.integers(role))))))
    while len(pairs) < two:
        pairs.add(tuple(sorted(int(each) for each in rng.choice(ROLES, 2, replace=False))))
    triples: set[tuple[int, ...]] = set()
    while len(triples) < three:
        triples.add(tuple(sorted(int(each) for each in rng.choice(ROLES, 3, replace=False))))
    return [*sorted(pairs), *sorted(triples)]
