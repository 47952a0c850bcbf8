"""How long it takes to prove the cheapest plan of a build that never was, and to say why none exists.

    python -m tests.benchmarks.plan [--seeds 1 2 3 4 5] [--least 40] [--most 400] [--limit 10]
                                   [--pairs 27] [--triples 8]

A row a seed: what was said, seconds, cost and bound, without the optional extra and with it. Costs that both prove must
be equal, else this stops.
"""

from __future__ import annotations

import argparse
from time import perf_counter

import numpy as np

from kb.search._explain import explain
from kb.search.solver import PROVED, Problem, Relation, best, installed, solve
from tests.benchmarks.instances import PAIRS, TRIPLES, instance


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--seeds", type=int, nargs="+", default=[1, 2, 3, 4, 5])
    parser.add_argument("--least", type=int, default=40)
    parser.add_argument("--most", type=int, default=400)
    parser.add_argument("--limit", type=float, default=10.0)
    parser.add_argument("--pairs", type=int, default=PAIRS)
    parser.add_argument("--triples", type=int, default=TRIPLES)
    given = parser.parse_args()
    ways = [("own", False)] + ([("extra", True)] if installed() else [])
    print(
        f"25 roles of {given.least} to {given.most} candidates, "
        f"{given.pairs} rules over two, {given.triples} over three"
    )
    print(
        f"{'seed':>4} {'solver':7}{'said':11}{'seconds':>8}{'cost':>9}{'bound':>9}{'steps':>7}"
        f"{'next two':>10}{'why not':>9}"
    )
    proved = dict.fromkeys((name for name, _ in ways), 0)
    for seed in given.seeds:
        problem = instance(seed, given.least, given.most, given.pairs, given.triples)
        costs = set()
        for name, exact in ways:
            start = perf_counter()
            found = solve(problem, given.limit, exact=exact)
            took = perf_counter() - start
            proved[name] += found.status == PROVED
            if found.status == PROVED:
                costs.add((found.cost, found.values))
            more = ""
            if name == "own":
                start = perf_counter()
                best(problem, 3, 6 * given.limit)
                more = f"{perf_counter() - start:10.2f}{_why_not(problem):9.2f}"
            print(
                f"{seed:4} {name:7}{found.status:11}{took:8.2f}{found.cost or 0:9}{found.bound:9}{found.nodes:7}{more}"
            )
        if len(costs) > 1:
            raise SystemExit(f"seed {seed}: two proved optima differ: {costs}")
    for name, count in proved.items():
        print(f"{name}: {count} of {len(given.seeds)} proved within {given.limit:g} s")
    if not installed():
        print("extra: not installed (pip install 'matchmark[exact]')")


def _why_not(problem: Problem) -> float:
    """Seconds to explain why the dearest half of each variable's candidates would not do with all owned parts kept."""
    owned = {at: int(np.argmin(each)) for at, each in enumerate(problem.costs) if min(each) == 0}
    dear = tuple(
        Relation(f"dear-{at}", (at,), np.asarray(each) >= np.median(each))
        for at, each in enumerate(problem.costs)
        if at not in owned
    )
    start = perf_counter()
    found = explain(problem._replace(relations=(*problem.relations, *dear)), owned)
    if found is None or not found.minimal:
        raise SystemExit("the owned parts of a random instance were not refuted, or not minimally")
    return perf_counter() - start


if __name__ == "__main__":
    main()
