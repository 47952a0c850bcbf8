"""The cheapest plan, the smallest repair and why there is none, against general solvers in the same run.

    python -m tests.benchmarks.plan_peers [--seeds 1 2 3 4 5] [--least 40] [--most 400] [--limit 30] [--repairs 3]

Peers state the same rules in their best form: a rule is a window on a sum of whole micrometres. CP-SAT (two workers)
and HiGHS get it as a linear constraint over one switch a candidate, HiGHS with rows that say which partners remain;
python-sat and z3 get clauses with a selector a rule, over rules of two roles. Costs that two peers prove must be equal,
and so must ours; a core is checked to be refuted, and to be refuted no more once any one member is left out.
"""

from __future__ import annotations

import argparse
import statistics
import time
from collections.abc import Callable, Sequence
from typing import Any

import numpy as np

from kb.search._explain import explain
from kb.search.solver import IMPOSSIBLE, PROVED, Problem, Relation, installed, solve
from tests.benchmarks.instances import Drawn, drawn, problem_of
from tests.benchmarks.timing import held, machine, shown, table

CHANGE = 10_000_000  # cents that a change counts before any price: changes first, then money
WANTED_PLAN, WANTED_SAT, WANTED_Z3 = 5.0, 2.5, 15.0


# -- plans and repairs -------------------------------------------------------------------------------------------------


def by_cp_sat(made: Drawn, limit: float) -> int | None:
    """The proved cost, or None."""
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    switches = [[model.new_bool_var("") for _ in each] for each in made.costs]
    for each in switches:
        model.add_exactly_one(each)
    for scope, sides, low, high in made.windows:
        places = [x for role in scope for x in switches[role]]
        weights = [int(w) for side in sides for w in side]
        whole = cp_model.LinearExpr.weighted_sum(places, weights)
        model.add_linear_constraint(whole, int(np.ceil(low)), int(np.floor(high)))
    model.minimize(
        cp_model.LinearExpr.weighted_sum(
            [x for each in switches for x in each], [int(c) for each in made.costs for c in each]
        )
    )
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 2
    solver.parameters.max_time_in_seconds = limit
    status = solver.solve(model)
    return round(solver.objective_value) if status == cp_model.OPTIMAL else None


def by_highs(made: Drawn, limit: float) -> int | None:
    """The proved cost, or None."""
    from scipy import optimize, sparse

    starts = np.concatenate([[0], np.cumsum([len(each) for each in made.costs])])
    rows: list[Any] = []
    lows: list[float] = []
    highs: list[float] = []

    def row(places: np.ndarray, weights: np.ndarray, low: float, high: float) -> None:
        rows.append((places, weights))
        lows.append(low)
        highs.append(high)

    for at, each in enumerate(made.costs):
        row(np.arange(starts[at], starts[at + 1]), np.ones(len(each)), 1.0, 1.0)
    for scope, sides, low, high in made.windows:
        places = np.concatenate([np.arange(starts[role], starts[role + 1]) for role in scope])
        row(places, np.concatenate(sides).astype(float) / 1000.0, low / 1000.0, high / 1000.0)
        if len(scope) == 2:
            allowed = (sides[0][:, None] + sides[1] >= low) & (sides[0][:, None] + sides[1] <= high)
            for candidate, partners in enumerate(allowed):
                at = np.flatnonzero(partners)
                row(
                    np.concatenate([[starts[scope[0]] + candidate], starts[scope[1]] + at]),
                    np.concatenate([[1.0], -np.ones(len(at))]), -np.inf, 0.0,
                )  # fmt: skip
    counts = [len(places) for places, _ in rows]
    places, weights = (np.concatenate([each[part] for each in rows]) for part in (0, 1))
    ends = np.concatenate([[0], np.cumsum(counts)])
    matrix = sparse.csr_array((weights, places, ends), shape=(len(rows), starts[-1]))
    found = optimize.milp(
        np.concatenate(made.costs).astype(float),
        constraints=optimize.LinearConstraint(matrix, np.array(lows), np.array(highs)),
        integrality=np.ones(starts[-1]),
        bounds=optimize.Bounds(0, 1),
        options={"time_limit": limit, "mip_rel_gap": 0.0},
    )
    return round(found.fun) if found.status == 0 else None


def by_us(made: Drawn, limit: float, exact: bool = False) -> int | None:
    """The proved cost, or None; from the same figures, the relations included."""
    found = solve(problem_of(made), limit, exact=exact)
    return found.cost if found.status == PROVED else None


def broken(made: Drawn, values: Sequence[int], seed: int) -> Drawn:
    """The build with four of its parts gone bad: what is fitted costs nothing, a change counts before any price."""
    rng = np.random.Generator(np.random.PCG64(1000 + seed))
    lost = {int(each) for each in rng.choice(len(values), 4, replace=False)}
    costs = []
    for role, each in enumerate(made.costs):
        changed = each + CHANGE
        if role in lost:
            changed[values[role]] += 100 * CHANGE  # dearer than any other way
        else:
            changed[values[role]] = 0
        costs.append(changed)
    return made._replace(costs=tuple(costs))


def timed(work: Callable[[], int | None]) -> tuple[float, int | None]:
    start = time.perf_counter()
    found = work()
    return time.perf_counter() - start, found


def compare(title: str, jobs: Sequence[tuple[str, Drawn]], limit: float) -> None:
    ways: dict[str, Callable[[Drawn], int | None]] = {"Matchmark": lambda each: by_us(each, limit)}
    if installed():
        ways["with the extra"] = lambda each: by_us(each, limit, exact=True)
    ways["CP-SAT, 2 workers"] = lambda each: by_cp_sat(each, limit)
    ways["HiGHS"] = lambda each: by_highs(each, limit)
    took: dict[str, list[tuple[float, int | None]]] = {name: [] for name in ways}
    rows = []
    for name, made in jobs:
        for way, work in ways.items():
            took[way].append(timed(lambda work=work, made=made: work(made)))
        costs = {took[way][-1][1] for way in ways} - {None}
        assert len(costs) <= 1, f"{name}: proved costs differ: {costs}"
        last = [took[way][-1] for way in ways]
        cells = [shown(t) if found is not None else f"> {shown(t)}, not proved" for t, found in last]
        ours, peer = took["Matchmark"][-1], took["CP-SAT, 2 workers"][-1]
        sign = "" if peer[1] is not None else "> "
        ratio = peer[0] / ours[0]
        verdict = held(ratio, WANTED_PLAN) if ours[1] is not None else "missed"
        rows.append((name, *cells, f"{sign}{ratio:.1f}", f"{WANTED_PLAN:.0f}", verdict))
    table(title, ("seed", *ways, "CP-SAT : Matchmark", "wanted", ""), rows)
    for way in list(ways)[: 2 if installed() else 1]:
        quick = sum(found is not None and t <= 10.0 for t, found in took[way])
        print(f"\n{way}: {quick} of {len(jobs)} proved within 10 s")


# -- why not -----------------------------------------------------------------------------------------------------------


def hopeless(seed: int, least: int, most: int) -> tuple[Problem, dict[int, int], Drawn]:
    """All owned parts are kept, and of every other role only the dearer half may be bought: rules over two roles."""
    made = drawn(seed, least, most, 35, 0)
    problem = problem_of(made)
    owned = {at: int(np.argmin(each)) for at, each in enumerate(problem.costs) if min(each) == 0}
    dear = tuple(
        Relation(f"dear-{at}", (at,), np.asarray(each) >= np.median(each))
        for at, each in enumerate(problem.costs)
        if at not in owned
    )
    return problem._replace(relations=(*problem.relations, *dear)), owned, made


class Clauses:
    """The problem as clauses: `x(role, candidate)` and a selector for each relation and pin."""

    def __init__(self, problem: Problem, pins: dict[int, int]) -> None:
        sizes = [len(each) for each in problem.costs]
        self.starts = np.concatenate([[1], 1 + np.cumsum(sizes)])
        self.clauses: list[list[int]] = []
        for at, size in enumerate(sizes):
            self.clauses.append(list(range(int(self.starts[at]), int(self.starts[at]) + size)))
        top = int(self.starts[-1])
        self.selectors: dict[int, tuple[str, int]] = {}
        for number, each in enumerate(problem.relations):
            selector = top + len(self.selectors)
            self.selectors[selector] = ("rule", number)
            if len(each.scope) == 1:
                for candidate in np.flatnonzero(~each.allowed):
                    self.clauses.append([-selector, -self.x(each.scope[0], int(candidate))])
                continue
            for one, other, allowed in ((*each.scope, each.allowed), (*each.scope[::-1], each.allowed.T)):
                for candidate, partners in enumerate(allowed):
                    rest = (int(self.starts[other]) + np.flatnonzero(partners)).tolist()
                    self.clauses.append([-selector, -self.x(one, candidate), *rest])
        for role, candidate in sorted(pins.items()):
            selector = top + len(self.selectors)
            self.selectors[selector] = ("pin", role)
            others = [c for c in range(sizes[role]) if c != candidate]
            self.clauses += [[-selector, -self.x(role, c)] for c in others]

    def x(self, role: int, candidate: int) -> int:
        return int(self.starts[role]) + candidate


def core_by_sat(problem: Problem, pins: dict[int, int]) -> set[tuple[str, int]]:
    """A minimal core, by deletion."""
    from pysat.card import CardEnc, EncType
    from pysat.solvers import Cadical153

    made = Clauses(problem, pins)
    with Cadical153(bootstrap_with=made.clauses) as solver:
        top = max(made.selectors)
        for at in range(len(problem.costs)):
            group = list(range(int(made.starts[at]), int(made.starts[at + 1])))
            one = CardEnc.atmost(group, 1, top_id=top, encoding=EncType.seqcounter)
            top = max(top, one.nv)
            for clause in one.clauses:
                solver.add_clause(clause)
        assert not solver.solve(assumptions=sorted(made.selectors))
        core = sorted(solver.get_core())
        for each in list(core):
            rest = [other for other in core if other != each]
            if not solver.solve(assumptions=rest):
                core = sorted(solver.get_core())
    return {made.selectors[each] for each in core}


def core_by_z3(problem: Problem, pins: dict[int, int]) -> set[tuple[str, int]]:
    """A minimal core, by the solver's own minimizer."""
    import z3

    made = Clauses(problem, pins)
    solver = z3.Solver()
    solver.set("core.minimize", True)
    names = {at: z3.Bool(f"v{at}") for at in range(1, max(made.selectors) + 1)}
    literal = {**names, **{-at: z3.Not(each) for at, each in names.items()}}
    for clause in made.clauses:
        solver.add(z3.Or([literal[each] for each in clause]))
    for at in range(len(problem.costs)):
        group = range(int(made.starts[at]), int(made.starts[at + 1]))
        solver.add(z3.AtMost(*[names[each] for each in group], 1))
    assert solver.check([names[each] for each in sorted(made.selectors)]) == z3.unsat
    return {made.selectors[int(str(each)[1:])] for each in solver.unsat_core()}


def core_by_us(problem: Problem, pins: dict[int, int]) -> set[tuple[str, int]]:
    found = explain(problem, pins)
    assert found is not None
    assert found.minimal
    return {("rule", at) for at in found.relations} | {("pin", at) for at in found.pins}


def verify(problem: Problem, pins: dict[int, int], core: set[tuple[str, int]]) -> None:
    """The core cannot hold, and any one less can: by the exact search."""

    def possible(members: set[tuple[str, int]]) -> bool:
        kept = tuple(each for at, each in enumerate(problem.relations) if ("rule", at) in members)
        held_ = []
        for sort, at in members:
            if sort == "pin":
                only = np.zeros(len(problem.costs[at]), dtype=bool)
                only[pins[at]] = True
                held_.append(Relation(f"pin-{at}", (at,), only))
        return solve(problem._replace(relations=(*kept, *held_)), 60.0, exact=False).status != IMPOSSIBLE

    assert not possible(core), "a core that can hold"
    for each in core:
        assert possible(core - {each}), "a core that is not minimal"


def why_not(seeds: Sequence[int], least: int, most: int, rounds: int) -> None:
    rows = []
    for seed in seeds:
        problem, pins, _ = hopeless(seed, least, most)
        ways = {"Matchmark": core_by_us, "python-sat": core_by_sat, "z3": core_by_z3}
        took: dict[str, list[float]] = {name: [] for name in ways}
        sizes = {}
        for turn in range(rounds):
            for name, work in ways.items():
                if name == "z3" and turn:
                    continue
                start = time.perf_counter()
                core = work(problem, pins)
                took[name].append(time.perf_counter() - start)
                if not turn:
                    verify(problem, pins, core)
                    sizes[name] = len(core)
        ours, sat, z3 = (statistics.median(each) for each in took.values())
        rows.append(
            (str(seed), f"{shown(ours)}, {sizes['Matchmark']} members", f"{shown(sat)}, {sizes['python-sat']}",
             f"{sat / ours:.1f}", f"{WANTED_SAT} {held(sat / ours, WANTED_SAT)}", f"{shown(z3)}, {sizes['z3']}",
             f"{z3 / ours:.1f}", f"{WANTED_Z3:.0f} {held(z3 / ours, WANTED_Z3)}")
        )  # fmt: skip
    table(
        f"Why no plan holds: 25 roles of {least} to {most}, 35 rules over two, owned parts kept, the rest dear",
        ("seed", "Matchmark", "python-sat", "ratio", "wanted", "z3 (once)", "ratio", "wanted"), rows,
    )  # fmt: skip


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--seeds", type=int, nargs="+", default=[1, 2, 3, 4, 5])
    parser.add_argument("--least", type=int, default=40)
    parser.add_argument("--most", type=int, default=400)
    parser.add_argument("--limit", type=float, default=30.0)
    parser.add_argument("--rounds", type=int, default=3)
    given = parser.parse_args()
    sizes = f"25 roles of {given.least} to {given.most}, 27 rules over two, 8 over three"
    plans = [(str(seed), drawn(seed, given.least, given.most)) for seed in given.seeds]
    compare(f"Cheapest plan, built and proved: {sizes}", plans, given.limit)
    repairs = []
    for name, made in plans:
        found = solve(problem_of(made), 60.0)
        if found.values is not None:
            repairs.append((name, broken(made, found.values, int(name))))
    compare(f"Smallest change, then money, with four parts gone bad: {sizes}", repairs, given.limit)
    why_not(given.seeds, given.least, given.most, given.rounds)
    print(f"\n{machine(['numpy', 'scipy', 'ortools', 'python-sat', 'z3-solver', 'pytoulbar2'])}")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
