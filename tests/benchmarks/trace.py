"""How many tests the trace needs to find a fault that a simulated builder has in the demo build.

    python -m tests.benchmarks.trace [--faults 100] [--seed 1]

A fault is a joint of a circuit of the build gone bad, or a cause of a tree that is no joint. The builder answers every
test truthfully, then once more with 2 % of the answers misleading. What a gauge shows for a joint comes from the
circuit (`kb.circuit.flow`), not from the trace's own tables; only tests that read no gauge are answered from those.
"""

from __future__ import annotations

import argparse
import os
import random
import statistics
import tempfile
import time
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from kb.base import Base
from kb.circuit.continuity import inspect
from kb.circuit.flow import effects, reached
from kb.circuit.graph import Circuit
from kb.store.load import init
from kb.trace.joints import outcomes_at
from kb.trace.model import Model, model
from kb.trace.session import Session
from kb.trace.trees import OneTest, trees

MOST_TESTS = 20
DUE_NAMED, DUE_MEDIAN = 0.9, 5  # the goal: the true joint first or second in 90 of 100, at most five tests


class Fault(NamedTuple):
    """symptom; cause: as the trace names it; joint: of the circuit, with its effect, '' where it is no joint."""

    symptom: str
    cause: str
    joint: str


class Found(NamedTuple):
    """place: of the true cause among the suspects, from 1."""

    fault: Fault
    place: int
    tests: int
    clear: bool


class Workshop(NamedTuple):
    """The build with all its models and circuits."""

    models: Mapping[str, Model]
    circuits: Mapping[str, Circuit]


def open_workshop(base: Base, build_id: str) -> Workshop:
    build = base.build(build_id)
    answer = base.check(build_id)
    seen = inspect(build, answer.findings)
    made = {id: model(build, answer, seen.breaks, (), id, circuits=seen.circuits) for id in trees()}
    return Workshop(made, seen.circuits)


def faults(shop: Workshop) -> list[Fault]:
    """Every single fault that can bring about a symptom of a tree."""
    found = []
    for symptom, made in shop.models.items():
        circuit = shop.circuits.get(made.tree.circuit)
        declared = {each.id: each for each in made.tree.causes}
        for cause in made.causes:
            joints = [circuit.joint(id) for id in cause.joints] if circuit else []
            listed = declared.get(cause.id)
            own_effect = {p.partition(":")[0]: p.partition(":")[2] for p in (listed.joints if listed else ())}
            imitates = listed is not None and listed.acts_like is not None
            if imitates or not joints:
                found.append(Fault(symptom, cause.id, ""))
                continue
            for joint in joints:
                assert joint is not None
                said = own_effect.get(joint.id, "")
                kinds = (said,) if said else effects(joint) if listed is None else (joint.fails,)
                found.extend(Fault(symptom, cause.id, f"{joint.id}:{effect}") for effect in kinds)
    return found


def answered(shop: Workshop, fault: Fault, test: OneTest, chance: random.Random, misleading: float) -> str:
    """What the builder sees."""
    made = shop.models[fault.symptom]
    circuit = shop.circuits.get(made.tree.circuit)
    node = circuit.at_gauge(test.flow.place) if circuit and test.flow else ""
    added = all(fault.cause != each.id for each in made.tree.causes)
    if circuit and test.flow and node and fault.joint and (added or not test.flow.only_added):
        given: Mapping[str, float] = outcomes_at(test.flow, node, [reached(circuit, {fault.joint})])
    else:
        given = dict(zip(test.outcomes, test.row(fault.cause), strict=True))
    names = list(test.outcomes)
    true = chance.choices(names, [given.get(name, 0.0) for name in names])[0]
    if chance.random() < misleading:
        return chance.choice([name for name in names if name != true])
    return true


def traced(shop: Workshop, fault: Fault, chance: random.Random, misleading: float = 0.0) -> Found:
    """Follow the trace's own proposals until it stops."""
    session = Session.start(shop.models[fault.symptom])
    tests = 0
    while session.state == "open" and tests < MOST_TESTS:
        test = session.proposed
        assert test is not None
        session = session.answered(test.id, answered(shop, fault, test, chance, misleading))
        tests += 1
    place = [each.cause.id for each in session.ranked].index(fault.cause) + 1
    return Found(fault, place, tests, session.clear is not None)


def run(shop: Workshop, count: int, seed: int, misleading: float) -> list[Found]:
    """`count` random single faults."""
    chance = random.Random(seed)
    every = faults(shop)
    return [traced(shop, chance.choice(every), chance, misleading) for _ in range(count)]


def told(found: Sequence[Found]) -> str:
    named = sum(each.place <= 2 for each in found)
    first = sum(each.place == 1 for each in found)
    clear = sum(each.clear for each in found)
    tests = sorted(each.tests for each in found)
    most = tests[int(0.9 * len(tests)) - 1]
    return (
        f"first {first}, first or second {named} of {len(found)}; stood clear {clear}; "
        f"tests: median {statistics.median(tests):g}, nine of ten within {most}, most {tests[-1]}"
    )


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.trace", description=__doc__)
    parser.add_argument("--faults", type=int, default=100)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--build", default="drover-good")
    parser.add_argument("--all", action="store_true", help="show every fault that was not named first or second")
    given = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        database = os.path.join(folder, "sample.db")
        init(database, sample=True)
        with Base(database) as base:
            shop = open_workshop(base, given.build)
    every = faults(shop)
    print(f"seed {given.seed}; {len(every)} faults can be seeded, {sum(bool(each.joint) for each in every)} are joints")
    good = True
    for words, misleading in (("truthful", 0.0), ("2 % misleading", 0.02)):
        start = time.perf_counter()
        found = run(shop, given.faults, given.seed, misleading)
        took = time.perf_counter() - start
        print(f"{words:15} {told(found)}; {1000 * took / max(1, sum(each.tests for each in found)):.1f} ms a step")
        if given.all:
            for each in found:
                if each.place > 2:
                    print("  ", *each.fault, f"came {each.place}. after {each.tests} tests")
        named = sum(each.place <= 2 for each in found) / len(found)
        good = good and named >= DUE_NAMED and statistics.median(each.tests for each in found) <= DUE_MEDIAN
    print("the goal is met" if good else "the goal is missed")
    return 0 if good else 1


if __name__ == "__main__":
    raise SystemExit(main())
