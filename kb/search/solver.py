"""The cheapest choice of one candidate a variable that every relation allows: proved, or said not to be.

    problem = Problem(("pan", "pickup"), ([500, 0], [0, 900]), (Relation("hang", (0, 1), allowed),))
    solve(problem).values        # the cheapest; of equally cheap ones that which comes first in the order of candidates
    best(problem, 3)             # the three cheapest

Whole numbers only. Candidates that can be in no answer are dropped first (no partner in some relation, or another one
can always stand in); connected parts are solved apart. The bound is raised by moving costs (`_ascent`), candidates
that it rules out are dropped, and what is then left is eliminated outright (`_elimination`), or split until it can be
(`_branch`). The search first asks for something a little dearer than the bound, then for more: what it asked for and
did not find is proved not to exist. Nothing is drawn at random: the same problem gets the same answer.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import gcd
from time import monotonic
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from kb.search._ascent import ascend, gather
from kb.search._branch import OutOfTime
from kb.search._dominance import drop_dominated
from kb.search._state import INF, SCALE, Impossible, State, consistent, start
from kb.search._whole import Whole, installed

PROVED, BOUNDED, IMPOSSIBLE = "proved", "bounded", "impossible"


class Relation(NamedTuple):
    """Which combinations a rule allows. scope: variables by number; allowed: truth values, one axis each of them."""

    name: str
    scope: tuple[int, ...]
    allowed: npt.NDArray[np.bool_]


class Problem(NamedTuple):
    """names: of the variables. costs: per variable a whole number, not negative, for each candidate."""

    names: tuple[str, ...]
    costs: tuple[Any, ...]
    relations: tuple[Relation, ...]


class Solution(NamedTuple):
    """status: 'proved' (nothing cheaper exists), 'bounded' (time ran out: nothing cheaper than `bound` exists), or
    'impossible'. values: a candidate's number per variable, None where none was found."""

    status: str
    values: tuple[int, ...] | None
    cost: int | None
    bound: int
    nodes: int = 0


def solve(
    problem: Problem,
    limit_s: float = 60.0,
    progress: Callable[[str, int, int], None] | None = None,
    *,
    exact: bool | None = None,
    ties: bool = True,
) -> Solution:
    """The cheapest choice; of equally cheap ones the first in the order of variables and their candidates.

    exact: True asks the optional extra `exact` for the optimum, None only when half of the time brought no proof.
    ties: False leaves open which of equally cheap choices is given.
    """
    until = monotonic() + limit_s
    costs, unit = _costs(problem)
    try:
        state = _reduced(problem, costs)
    except Impossible:
        return Solution(IMPOSSIBLE, None, None, 0)
    values = [int(each[0]) for each in state.domains]
    cost = bound = nodes = 0
    found = proved = True
    groups = _groups(state)
    for done, group in enumerate(groups):
        if progress is not None:
            progress("Solving", done, len(groups))
        part, left = _part(state, costs, group)
        one = Whole(part, left, until, exact)
        one.ties = ties
        try:
            answer = one.cheapest()
        except Impossible:
            return Solution(IMPOSSIBLE, None, None, 0, nodes + one.nodes)
        nodes += one.nodes
        proved &= one.proved
        found &= answer is not None
        bound += one.bound
        if answer is not None:
            cost += answer[0]
            for variable, value in zip(group, answer[1], strict=True):
                values[variable] = int(state.domains[variable][value])
    fixed = sum(int(costs[at][each[0]]) for at, each in enumerate(state.domains) if each.size == 1)
    if progress is not None and groups:
        progress("Solving", len(groups), len(groups))
    if not found:
        return Solution(BOUNDED, None, None, (bound + fixed) * unit, nodes)
    total = (cost + fixed) * unit
    return Solution(PROVED if proved else BOUNDED, tuple(values), total, (bound + fixed) * unit, nodes)


def best(problem: Problem, k: int, limit_s: float = 60.0) -> list[Solution]:
    """The k cheapest choices, cheapest first, equally cheap ones in the order of their candidates.

    Each is proved to be the next; the list ends early when there are no more or time runs out (then its last is
    'bounded'). What is left after the choices so far is split into regions that differ in their first differing
    variable (Lawler, "A procedure for computing the k best solutions", Management Science 18, 1972).
    """
    until = monotonic() + limit_s
    costs, unit = _costs(problem)
    try:
        root = start(costs, [(each.scope, each.allowed) for each in problem.relations])
        consistent(root)
        ascend(root, INF >> 1, 8, least_gain=SCALE)
    except Impossible:
        return []
    found: list[Solution] = []
    regions = [Region(-(-root.lower // SCALE), False, root)]
    try:
        while len(found) < k and regions:
            cheapest = _cheapest(regions, costs, until)
            if cheapest is None:
                break
            # Of the regions that hold an equally cheap choice, the one whose candidates come first.
            firsts = []
            for at, region in enumerate(regions):
                if region.bound == cheapest:
                    got = _asked(region, costs, until, cheapest + 1, ties=True)
                    if got is not None:
                        firsts.append(([int(region.state.domains[v][one]) for v, one in enumerate(got[1])], at))
                    elif not region.exact:
                        regions[at] = region._replace(bound=cheapest + 1)
            values, at = min(firsts)
            found.append(Solution(PROVED, tuple(values), cheapest * unit, cheapest * unit))
            regions += _rest(regions.pop(at).state, values)
    except OutOfTime:
        bound = min((each.bound for each in regions), default=0)
        found.append(Solution(BOUNDED, None, None, bound * unit))
    return found


class Region(NamedTuple):
    """Choices that are left. bound: of their cost; exact: the cheapest of them costs just that."""

    bound: int
    exact: bool
    state: State


def _cheapest(regions: list[Region], costs: Sequence[npt.NDArray[np.int64]], until: float) -> int | None:
    """The cost of the cheapest choice in all regions; looked for where the bound is low, told apart no further."""
    regions.sort(key=lambda each: (each.bound, not each.exact))
    least = min((each.bound for each in regions if each.exact), default=None)
    for at, region in enumerate(regions):
        if region.exact or (least is not None and region.bound >= least):
            continue
        got = _asked(region, costs, until, least, ties=False)
        if got is not None:
            least = got[0]
            regions[at] = region._replace(bound=least, exact=True)
        elif least is None:
            regions[at] = region._replace(bound=INF)
        else:
            regions[at] = region._replace(bound=least)
    regions[:] = [each for each in regions if each.bound < INF]
    return least


def _asked(
    region: Region, costs: Sequence[npt.NDArray[np.int64]], until: float, beat: int | None, *, ties: bool
) -> tuple[int, list[int]] | None:
    """The cheapest choice of a region below `beat`, as positions in its candidates; None when there is none."""
    one = Whole(region.state.copy(), [costs[v][d] for v, d in enumerate(region.state.domains)], until, False)
    one.ties = ties
    try:
        got = one.cheapest(beat)
    except Impossible:
        return None
    if not one.proved:
        raise OutOfTime
    return got


def _rest(region: State, values: Sequence[int]) -> list[Region]:
    """The region without this choice, in regions that share its first values and differ in the next."""
    made = []
    rest = region.copy()
    try:
        for variable, value in enumerate(values):
            here = rest.domains[variable] == value
            if rest.domains[variable].size > 1:
                part = rest.copy()
                floor = int((gather(part, variable)[~here]).min())
                part.restrict(variable, ~here)
                made.append(Region(-(-(part.lower + floor) // SCALE), False, part))
                rest.restrict(variable, here)
    except Impossible:  # cannot be: the choice itself is in the region
        pass
    return [each for each in made if each.bound < INF // SCALE // 2]


def _costs(problem: Problem) -> tuple[list[npt.NDArray[np.int64]], int]:
    """The costs in the largest unit that leaves them whole, and that unit. ValueError for a problem that is none."""
    costs = [np.asarray(each, dtype=np.int64) for each in problem.costs]
    for relation in problem.relations:
        if len(set(relation.scope)) < len(relation.scope):
            raise ValueError(f"{relation.name} names a variable twice")
        if relation.allowed.shape != tuple(costs[each].size for each in relation.scope):
            raise ValueError(f"{relation.name} is not of its variables' sizes")
    if any((each < 0).any() for each in costs):
        raise ValueError("a cost is negative")
    if sum(int(each.max()) for each in costs if each.size) * SCALE >= INF >> 2:
        raise ValueError("the costs are too large to be moved in shares")
    unit = gcd(*(int(value) for each in costs for value in np.unique(each))) or 1
    return [each // unit for each in costs], unit


def _reduced(problem: Problem, costs: list[npt.NDArray[np.int64]]) -> State:
    """Without the candidates that no answer needs."""
    for relation in problem.relations:
        if not relation.scope and not relation.allowed.all():
            raise Impossible
    state = start(costs, [(each.scope, each.allowed) for each in problem.relations if each.scope])
    consistent(state)
    for _ in range(3):
        if not drop_dominated(state, costs):
            break
        consistent(state)
    return state


def _groups(state: State) -> list[list[int]]:
    """Variables with a choice that relations join, directly or through others with a choice."""
    near: dict[int, set[int]] = {each: {each} for each in state.free}
    for table in state.tables:
        if table.allowed.all():
            continue
        scope = [each for each in table.scope if each in near]
        for one in scope:
            near[one].update(scope)
    groups = []
    while near:
        waiting = [min(near)]
        group = set()
        while waiting:
            one = waiting.pop()
            if one in near:
                group.add(one)
                waiting += near.pop(one)
        groups.append(sorted(group))
    return groups


def _part(
    state: State, costs: list[npt.NDArray[np.int64]], group: list[int]
) -> tuple[State, list[npt.NDArray[np.int64]]]:
    """The part of a reduced problem that these variables make."""
    number = {variable: at for at, variable in enumerate(group)}
    left = [costs[variable][state.domains[variable]] for variable in group]
    relations = []
    for table in state.tables:
        if table.scope and any(each in number for each in table.scope) and not table.allowed.all():
            scope = tuple(number[each] for each in table.scope if each in number)
            gone = tuple(axis for axis, each in enumerate(table.scope) if each not in number)
            relations.append((scope, np.squeeze(table.allowed, axis=gone)))
    return start(left, relations), left


__all__ = [
    "BOUNDED", "IMPOSSIBLE", "PROVED", "Problem", "Relation", "Solution", "best", "installed", "solve",
]  # fmt: skip
