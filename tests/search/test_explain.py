"""Explanations: what they name cannot hold together, and without any one of its members the rest can."""

from __future__ import annotations

from itertools import product

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from kb.search import _bits
from kb.search._explain import Explanation, explain
from kb.search.solver import Problem, Relation
from tests.benchmarks.instances import instance
from tests.search.test_solver import problems


def can_hold(problem: Problem, relations: tuple[int, ...], pins: dict[int, int]) -> bool:
    """By trying every choice."""
    for values in product(*(range(len(each)) for each in problem.costs)):
        if all(values[at] == value for at, value in pins.items()) and all(
            problem.relations[at].allowed[tuple(values[each] for each in problem.relations[at].scope)]
            for at in relations
        ):
            return True
    return False


def assert_minimal(problem: Problem, pins: dict[int, int], found: Explanation) -> None:
    held = {at: pins[at] for at in found.pins}
    assert not can_hold(problem, found.relations, held)
    for left_out in found.relations:
        assert can_hold(problem, tuple(at for at in found.relations if at != left_out), held)
    for left_out in found.pins:
        assert can_hold(problem, found.relations, {at: value for at, value in held.items() if at != left_out})


@given(problems(), st.integers(0, 2**16))
@settings(max_examples=300, deadline=None)
def test_every_member_is_needed(problem: Problem, choice: int) -> None:
    pins = {at: choice % len(each) for at, each in enumerate(problem.costs) if choice >> at & 1}
    found = explain(problem, pins)
    if found is None:
        assert can_hold(problem, tuple(range(len(problem.relations))), pins)
    else:
        assert found.minimal
        assert_minimal(problem, pins, found)


@given(problems())
@settings(max_examples=60, deadline=None)
def test_the_solver_answers_where_the_steps_run_out(problem: Problem) -> None:
    usual = _bits.NODES
    _bits.NODES = 0
    try:
        found = explain(problem, {})
    finally:
        _bits.NODES = usual
    if found is None:
        assert can_hold(problem, tuple(range(len(problem.relations))), {})
    else:
        assert_minimal(problem, {}, found)


def test_a_pin_that_nothing_needs_is_left_out() -> None:
    # by hand: a must differ from b, b from c, c from a, with two candidates each; the pinned d has no part in it
    differ = np.array([[False, True], [True, False]])
    rules = tuple(Relation(f"differ-{one}{two}", (one, two), differ) for one, two in ((0, 1), (1, 2), (0, 2)))
    found = explain(Problem(("a", "b", "c", "d"), ([1, 1], [1, 1], [1, 1], [1, 1]), rules), {3: 0})
    assert found == Explanation((0, 1, 2), ())


def test_a_large_one_with_owned_parts() -> None:
    problem = instance(1, 20, 40)
    owned = {at: int(np.argmin(each)) for at, each in enumerate(problem.costs) if min(each) == 0}
    found = explain(problem, owned)  # the twelve owned parts of a random instance do not go together
    assert found is not None
    assert found.minimal
    assert 0 < len(found) < len(problem.relations)
    for left_out in found.pins:
        rest = {at: owned[at] for at in found.pins if at != left_out}
        few = Problem(problem.names, problem.costs, tuple(problem.relations[at] for at in found.relations))
        assert explain(few, rest) is None
