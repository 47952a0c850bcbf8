"""Why there is no answer: a smallest-as-it-stands set of relations and pinned candidates that cannot hold together.

QuickXplain (Junker, "QuickXplain: preferred explanations and relaxations for over-constrained problems", AAAI 2004)
over arc consistency, with search where that does not refute. Which minimal set it meets depends on the order, so
several are tried and the shortest is kept; each member is then left out once to see that it is needed.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import NamedTuple

import numpy as np

from kb.search._bits import Bits, GaveUp
from kb.search.solver import IMPOSSIBLE, Problem, solve

Element = tuple[str, int]  # ("rule", number of the relation) or ("pin", number of the variable)


class Explanation(NamedTuple):
    """Relations by number and pinned variables by number that cannot hold together, though all but any one can.

    minimal: each member was left out and the rest can hold; False when time or size left that open.
    """

    relations: tuple[int, ...]
    pins: tuple[int, ...]
    minimal: bool = True

    def __len__(self) -> int:
        return len(self.relations) + len(self.pins)


def explain(problem: Problem, pins: Mapping[int, int], limit_s: float = 10.0) -> Explanation | None:
    """A minimal set of relations and pins that cannot hold together; None when all of them can (or nobody can tell).

    pins: variable -> the candidate that it is held at. A variable without candidates needs no rule: the set is empty.
    """
    bits = Bits([len(each) for each in problem.costs], [(each.scope, each.allowed) for each in problem.relations])
    doubtful = []

    def possible(elements: Sequence[Element]) -> bool:
        rules = sorted(at for sort, at in elements if sort == "rule")
        held = {at: pins[at] for sort, at in elements if sort == "pin"}
        try:
            return bits.possible(rules, held)
        except GaveUp:
            answer = solve(_only(problem, rules, held), limit_s, exact=False)
            if answer.status != IMPOSSIBLE and answer.values is None:
                doubtful.append(elements)
            return answer.status != IMPOSSIBLE

    everything: list[Element] = [("rule", at) for at in range(len(problem.relations))]
    everything += [("pin", at) for at in sorted(pins)]
    if not all(bits.full):
        return Explanation((), ())
    if possible(everything):
        return None
    shortest: list[Element] | None = None
    for order in _orders(problem, pins, everything):
        found = _minimal(order, possible)
        if shortest is None or len(found) < len(shortest):
            shortest = found
    assert shortest is not None
    doubtful.clear()
    minimal = not possible(shortest)
    for each in list(shortest):
        rest = [other for other in shortest if other != each]
        if not possible(rest):
            shortest = rest
    return Explanation(
        tuple(sorted(at for sort, at in shortest if sort == "rule")),
        tuple(sorted(at for sort, at in shortest if sort == "pin")),
        minimal and not doubtful,
    )


def _minimal(elements: list[Element], possible: Callable[[Sequence[Element]], bool]) -> list[Element]:
    """A minimal subset that is not possible; elements that stand first are kept rather than those that stand last."""

    def needed(given: list[Element], fresh: bool, left: list[Element]) -> list[Element]:
        if fresh and not possible(given):
            return []
        if len(left) == 1:
            return left
        half = len(left) // 2
        first, second = left[:half], left[half:]
        of_second = needed(given + first, True, second)
        of_first = needed(given + of_second, bool(of_second), first)
        return of_first + of_second

    return needed([], True, elements) if elements else []


def _orders(problem: Problem, pins: Mapping[int, int], everything: list[Element]) -> list[list[Element]]:
    """Orders worth trying: pins and the rules near them last, then first, and the rules as listed both ways."""
    away = _distance(problem, pins)
    far = {
        at: min((away.get(each, 99) for each in relation.scope), default=0)
        for at, relation in enumerate(problem.relations)
    }

    def key(element: Element) -> tuple[int, int, int]:
        sort, at = element
        return (0, far[at], -at) if sort == "rule" else (1, 0, at)

    near_last = sorted(everything, key=lambda each: (key(each)[0], -key(each)[1], key(each)[2]))
    near_first = sorted(everything, key=lambda each: (1 - key(each)[0], key(each)[1], -key(each)[2]))
    return [near_last, near_first, everything, everything[::-1]]


def _distance(problem: Problem, pins: Mapping[int, int]) -> dict[int, int]:
    """How many rules lie between each variable and the nearest pinned one."""
    away = dict.fromkeys(pins, 0)
    edge = list(pins)
    while edge:
        wave = []
        for relation in problem.relations:
            near = [away[each] for each in relation.scope if each in edge]
            for each in relation.scope:
                if near and each not in away:
                    away[each] = min(near) + 1
                    wave.append(each)
        edge = wave
    return away


def _only(problem: Problem, rules: Sequence[int], pins: Mapping[int, int]) -> Problem:
    """The problem with these relations and pins alone, and nothing to pay."""
    from kb.search.solver import Relation

    sizes = [len(each) for each in problem.costs]
    held = [
        Relation("pin", (at,), np.arange(sizes[at]) == value) for at, value in pins.items()
    ]  # fmt: skip
    kept = tuple(problem.relations[at] for at in rules)
    return Problem(problem.names, tuple(np.zeros(size, dtype=np.int64) for size in sizes), (*kept, *held))
