"""The first test of a fault search with up to two faults, and how many tests it takes, on a circuit of sixty nodes.

    python -m tests.benchmarks.isolate [--nodes 60] [--faults 40] [--rounds 7] [--seeds 1 2 3]

The circuit branches without loops, so the worse of two faults is what both together show. Ours goes from the circuit as
records give it (`kb.circuit.flow`) to the test; the peer goes over the same hypotheses with networkx and a scalar gain.
Its plain form looks up what is reached for each hypothesis, its best form once for each joint. The gain of every test
is compared before anything is timed.

Then faults are drawn, answers mislead in 2 of 100, and tests are counted until a joint is 95 % sure to be at fault:
those that the gain picks, those met in walking along the circuit, and random ones, all judged by the same belief. The
complaint, an end of the circuit that is dry, is known before the first test and beyond doubt (seen three times).
"""

from __future__ import annotations

import argparse
import math
import random
import statistics
from collections.abc import Callable

import networkx
import numpy as np
from numpy.typing import NDArray

from kb.circuit.flow import reached
from kb.circuit.graph import Circuit, Joint, Node
from kb.trace.engine import MISLEADING, Belief, Packed, Trial, believe, gains, next_test, pack
from tests.benchmarks.timing import held, machine, medians, shown, table

Array = NDArray[np.float64]
ENOUGH = 0.9
WANTED, WANTED_SHARE = 30.0, 0.4


def branching(nodes: int, seed: int) -> tuple[Circuit, list[float]]:
    """A circuit that branches, with a chance for each joint to be open."""
    chance = random.Random(seed)
    parents = [chance.randrange(max(0, at - 4), at) for at in range(1, nodes)]
    made = tuple(Node(f"n{at}", "pump", f"n{at}", f"place {at}") for at in range(nodes))
    joints = tuple(
        Joint(f"j{at}", "oil", f"n{parent}", f"n{at}", "mate", ("pump",), (), "prime", passes="oil")
        for at, parent in enumerate(parents, 1)
    )
    priors = [chance.uniform(0.0005, 0.006) for _ in joints]
    return Circuit("oil", made, joints, "n0", ()), priors


def trials_of(circuit: Circuit) -> list[Trial]:
    """A look at each node but the source: wet or dry with no fault and with each joint open."""
    names = [each.id for each in circuit.nodes if each.id != circuit.source]
    levels = [reached(circuit, ())] + [reached(circuit, {joint.id}) for joint in circuit.joints]
    dry = np.array([[row[name] == "none" for row in levels] for name in names], dtype=float)
    return [Trial(np.column_stack([1.0 - each, each]), 1.0) for each in dry]


def ours(circuit: Circuit, priors: list[float]) -> tuple[Packed, Belief, Array]:
    """(hypotheses, belief before any test, gain of each node's test in bits)."""
    packed = pack(priors, trials_of(circuit))
    belief = believe(packed, {})
    return packed, belief, gains(packed, belief.classes)


def hypotheses(circuit: Circuit, priors: list[float]) -> tuple[list[tuple[int, ...]], list[float]]:
    count = len(priors)
    odds = [p / (1.0 - p) for p in priors]
    found: list[tuple[int, ...]] = [(), *((i,) for i in range(count))]
    found += [(i, j) for i in range(count) for j in range(i + 1, count)]
    mass = [math.prod(odds[i] for i in each) for each in found]
    whole = math.fsum(mass)
    return found, [each / whole for each in mass]


def peer(circuit: Circuit, priors: list[float], best: bool) -> list[float]:
    """Gain of each node's test, hypothesis by hypothesis."""
    graph = networkx.DiGraph([(each.a, each.b) for each in circuit.joints])
    edges = [(each.a, each.b) for each in circuit.joints]
    every, mass = hypotheses(circuit, priors)
    names = [each.id for each in circuit.nodes if each.id != circuit.source]
    if best:
        beyond = [{b, *networkx.descendants(graph, b)} for _, b in edges]
        lost = [set().union(*(beyond[i] for i in each)) for each in every]
    else:
        lost = []
        for each in every:
            view = networkx.restricted_view(graph, [], [edges[i] for i in each])
            lost.append(set(names) - networkx.descendants(view, circuit.source))
    found = []
    inner = _entropy(MISLEADING)
    for name in names:
        dry = 0.0
        for p, gone in zip(mass, lost, strict=True):
            if name in gone:
                dry += p
        shows = dry * (1.0 - MISLEADING) + (1.0 - dry) * MISLEADING
        found.append(_entropy(shows) - inner)
    return found


def _entropy(p: float) -> float:
    return -sum(each * math.log2(each) for each in (p, 1.0 - p) if each > 0.0)


def tests_to_isolate(
    packed: Packed,
    truth: Array,
    known: dict[int, int],
    pick: Callable[[Belief, frozenset[int]], int | None],
    chance: random.Random,
) -> int:
    """Tests until a joint is known to be at fault; every answer but the complaint may mislead."""
    answers = dict(known)
    belief = believe(packed, answers)
    while belief.causes.max() < ENOUGH and len(answers) < len(truth):
        test = pick(belief, frozenset(answers))
        if test is None:
            break
        true = int(truth[test])
        answers[test] = true if chance.random() >= MISLEADING else 1 - true
        belief = believe(packed, answers)
    return len(answers) - len(known)


def counted(circuit: Circuit, priors: list[float], faults: int, seed: int) -> dict[str, float]:
    """Mean number of tests by each way."""
    chance = random.Random(seed)
    names = [each.id for each in circuit.nodes if each.id != circuit.source]
    every, mass = hypotheses(circuit, priors)
    faulty = [(each, p) for each, p in zip(every, mass, strict=True) if each]
    drawn = chance.choices([each for each, _ in faulty], [p for _, p in faulty], k=faults)
    ends = {each.b for each in circuit.joints} - {each.a for each in circuit.joints}
    took: dict[str, list[int]] = {"by gain": [], "walking in order": [], "random": []}
    for fault in drawn:
        level = reached(circuit, {circuit.joints[i].id for i in fault})
        truth = np.array([level[name] == "none" for name in names])
        complaint = chance.choice([at for at, name in enumerate(names) if truth[at] and name in ends])
        trials = trials_of(circuit)
        packed = pack(priors, [*trials, trials[complaint], trials[complaint]])
        known = {complaint: 1, len(trials): 1, len(trials) + 1: 1}

        def in_order(_: Belief, asked: frozenset[int]) -> int | None:
            return next((at for at in range(len(names)) if at not in asked), None)

        def anyhow(_: Belief, asked: frozenset[int]) -> int | None:
            return chance.choice([at for at in range(len(names)) if at not in asked])

        def by_gain(belief: Belief, asked: frozenset[int], packed: Packed = packed) -> int | None:
            return next_test(packed, belief, asked, steps=1)

        for name, pick in zip(took, (by_gain, in_order, anyhow), strict=True):
            took[name].append(tests_to_isolate(packed, truth, known, pick, chance))
    return {name: statistics.fmean(each) for name, each in took.items()}


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--nodes", type=int, default=60)
    parser.add_argument("--faults", type=int, default=40)
    parser.add_argument("--rounds", type=int, default=7)
    parser.add_argument("--seeds", type=int, nargs="+", default=[1, 2, 3])
    given = parser.parse_args()
    rows, counts = [], []
    for seed in given.seeds:
        circuit, priors = branching(given.nodes, seed)
        _, _, gain = ours(circuit, priors)
        for best in (False, True):
            assert np.abs(gain - np.array(peer(circuit, priors, best))).max() < 1e-9, "the gains differ"
        took = medians(
            {
                "ours": lambda circuit=circuit, priors=priors: ours(circuit, priors),
                "plain": lambda circuit=circuit, priors=priors: peer(circuit, priors, False),
                "best": lambda circuit=circuit, priors=priors: peer(circuit, priors, True),
            },
            given.rounds,
        )
        plain, best_of = took["plain"] / took["ours"], took["best"] / took["ours"]
        rows.append(
            (str(seed), shown(took["ours"]), shown(took["plain"]), f"{plain:.1f}", shown(took["best"]),
             f"{best_of:.1f}", f"{WANTED:.0f}", held(plain, WANTED))
        )  # fmt: skip
        numbers = counted(circuit, priors, given.faults, seed)
        share = numbers["by gain"] / numbers["walking in order"]
        counts.append(
            (str(seed), *(f"{each:.1f}" for each in numbers.values()), f"{share:.2f}", f"at most {WANTED_SHARE}",
             "reached" if share <= WANTED_SHARE else "missed")
        )  # fmt: skip
    head = ("seed", "Matchmark", "networkx, plain", "ratio", "networkx, best", "ratio", "wanted", "")
    table(f"From the circuit to the first test: {given.nodes} nodes, up to two faults", head, rows)
    table(
        f"Tests until a joint at fault is known with {ENOUGH:.0%}: mean of {given.faults} drawn faults, 2 % misleading",
        ("seed", "by gain", "walking in order", "random", "by gain : in order", "wanted", ""), counts,
    )  # fmt: skip
    print(f"\n{machine(['numpy', 'networkx'])}")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
