"""The solver of plans against every choice tried."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kb.search import _branch
from kb.search.solver import BOUNDED, IMPOSSIBLE, PROVED, Problem, Relation, best, installed, solve
from tests.benchmarks.instances import instance


@st.composite
def problems(draw: st.DrawFn) -> Problem:
    """One to five variables of one to four candidates, up to seven relations over one to four of them; many ties."""
    rng = np.random.Generator(np.random.PCG64(draw(st.integers(0, 10**9))))
    sizes = draw(st.lists(st.integers(1, 4), min_size=1, max_size=5))
    dear = draw(st.sampled_from([1, 3, 50]))
    costs = tuple(rng.integers(0, dear + 1, size) * 5 for size in sizes)
    share = draw(st.sampled_from([0.4, 0.7, 0.9]))
    relations = []
    for number in range(draw(st.integers(0, 7))):
        arity = draw(st.integers(1, min(4, len(sizes))))
        scope = tuple(int(each) for each in rng.permutation(len(sizes))[:arity])
        relations.append(Relation(f"rule-{number}", scope, rng.random([sizes[each] for each in scope]) < share))
    return Problem(tuple(f"v{at}" for at in range(len(sizes))), costs, tuple(relations))


def every_choice(problem: Problem) -> list[tuple[int, tuple[int, ...]]]:
    """Cost and values of all allowed choices, cheapest first, then in the order of their candidates."""
    found = []
    for values in product(*(range(len(each)) for each in problem.costs)):
        if all(each.allowed[tuple(values[at] for at in each.scope)] for each in problem.relations):
            found.append((sum(int(cost[at]) for cost, at in zip(problem.costs, values, strict=True)), values))
    return sorted(found)


@given(problems())
@settings(max_examples=300, deadline=None)
def test_the_cheapest_is_what_trying_all_finds(problem: Problem) -> None:
    found = solve(problem, exact=False)
    due = every_choice(problem)
    if not due:
        assert found.status == IMPOSSIBLE
        assert found.values is None
    else:
        assert (found.status, found.cost, found.values) == (PROVED, *due[0])
        assert found.bound == due[0][0]


@given(problems(), st.integers(1, 8))
@settings(max_examples=200, deadline=None)
def test_the_next_best_come_in_the_order_that_trying_all_finds(problem: Problem, k: int) -> None:
    found = best(problem, k)
    assert [(each.cost, each.values) for each in found] == every_choice(problem)[:k]
    assert all(each.status == PROVED for each in found)


@given(problems())
@settings(max_examples=100, deadline=None)
def test_splitting_finds_what_elimination_finds(problem: Problem) -> None:
    usual = _branch.OUTRIGHT
    _branch.OUTRIGHT = 6  # cells: even these few candidates are then split
    try:
        found = solve(problem, exact=False)
    finally:
        _branch.OUTRIGHT = usual
    due = every_choice(problem)
    assert (found.cost, found.values) == (due[0] if due else (None, None))


@pytest.mark.skipif(not installed(), reason="the optional extra is not installed")
@given(problems())
@settings(max_examples=40, deadline=None)
def test_the_optional_extra_gives_the_same_choice(problem: Problem) -> None:
    mine, theirs = solve(problem, exact=False), solve(problem, exact=True)
    assert mine[:4] == theirs[:4]


def test_a_large_one_is_the_same_each_time() -> None:
    problem = instance(3, 30, 60)
    first = solve(problem, exact=False)
    assert first.status == PROVED
    assert solve(instance(3, 30, 60), exact=False) == first
    values = first.values
    assert values is not None
    assert all(each.allowed[tuple(values[at] for at in each.scope)] for each in problem.relations)
    assert first.cost == sum(int(cost[at]) for cost, at in zip(problem.costs, values, strict=True))
    second = best(problem, 2)
    assert second[0].values == values
    assert second[1].cost >= first.cost


def test_out_of_time_claims_no_optimum() -> None:
    problem = instance(2, 60, 120)
    hurried = solve(problem, 0.0, exact=False)
    proved = solve(problem, exact=False)
    assert hurried.status == BOUNDED
    assert proved.cost is not None
    assert hurried.bound <= proved.cost
    assert hurried.cost is None or hurried.cost >= proved.cost


def test_equal_costs_go_to_the_first_candidates() -> None:
    differ = np.array([[False, True], [True, False]])
    problem = Problem(("a", "b"), ([7, 7], [7, 7]), (Relation("differ", (0, 1), differ),))
    # by hand: (0, 1) and (1, 0) are allowed, both cost 14; the first in order is (0, 1)
    assert solve(problem).values == (0, 1)
    assert [each.values for each in best(problem, 5)] == [(0, 1), (1, 0)]


def test_nothing_to_choose_costs_nothing() -> None:
    assert solve(Problem((), (), ())).cost == 0
    assert solve(Problem(("a",), ([],), ())).status == IMPOSSIBLE


@pytest.mark.parametrize(
    ("problem", "said"),
    [
        (Problem(("a",), ([-1],), ()), "negative"),
        (Problem(("a",), ([1],), (Relation("twice", (0, 0), np.ones((1, 1), dtype=bool)),)), "twice"),
        (Problem(("a",), ([1],), (Relation("large", (0,), np.ones(2, dtype=bool)),)), "sizes"),
    ],
)
def test_what_is_no_problem_is_refused(problem: Problem, said: str) -> None:
    with pytest.raises(ValueError, match=said):
        solve(problem)
