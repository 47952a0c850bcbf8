"""Probabilities of ten thousand combinations at once, against a hundred thousand draws for each.

    python -m tests.benchmarks.chance [--count 10000] [--draws 100000] [--sample 100] [--seeds 1 2 3]

The draws of some combinations are timed and taken times the count: all of them would take minutes a round. The peer in
its plain form draws anew for each combination; in its best form it draws once and combines these by matrix products.
Answers are compared with exact sums or a fine integral, and with the draws, before anything is timed.
"""

from __future__ import annotations

import argparse
import math
import statistics
from collections.abc import Callable
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from kb import many
from kb.measure import Term
from kb.sums import p_between
from tests.benchmarks.timing import held, machine, seconds, shown, table

Array = NDArray[np.float64]
LOW, HIGH = 0.0, 1.0
STATIONS = 12


class Job(NamedTuple):
    """ours: all rows. plain, best: one row, drawn. truth: of one. least: ratio to reach; error: the most allowed."""

    name: str
    ours: Callable[[], Array]
    plain: Callable[[int], float]
    best: Callable[[int], float]
    truth: Callable[[int], float]
    least: float
    error: float


def linear(rng: np.random.Generator, count: int, draws: int) -> Job:
    """A stack of four normal errors between two limits."""
    mean = rng.uniform(-0.3, 1.3, count)
    u = rng.uniform(0.02, 0.2, (count, 4))
    variance = (u**2).sum(axis=1)
    none = np.zeros((count, 0))
    standard = rng.standard_normal((4, draws))

    def inside(value: Array) -> float:
        return float(((value >= LOW) & (value <= HIGH)).mean())

    def plain(row: int) -> float:
        return inside(mean[row] + sum(rng.normal(0.0, each, draws) for each in u[row]))

    def best(row: int) -> float:
        return inside(mean[row] + u[row] @ standard)

    def truth(row: int) -> float:
        return p_between(mean[row], [Term("normal", each) for each in u[row]], LOW, HIGH)

    def ours() -> Array:
        return many.p_between(mean, variance, none, LOW, HIGH)

    return Job("linear stack of 4 normal errors", ours, plain, best, truth, 20_000, 1e-6)


def mixed(rng: np.random.Generator, count: int, draws: int) -> Job:
    """A normal error and three rectangular ones."""
    mean = rng.uniform(-0.3, 1.3, count)
    u = rng.uniform(0.02, 0.2, count)
    halves = rng.uniform(0.02, 0.4, (count, 3))
    normal = rng.standard_normal(draws)
    flat = rng.uniform(-1.0, 1.0, (3, draws))

    def inside(value: Array) -> float:
        return float(((value >= LOW) & (value <= HIGH)).mean())

    def plain(row: int) -> float:
        return inside(mean[row] + rng.normal(0.0, u[row], draws) + sum(rng.uniform(-h, h, draws) for h in halves[row]))

    def best(row: int) -> float:
        return inside(mean[row] + u[row] * normal + halves[row] @ flat)

    def truth(row: int) -> float:
        terms = [Term("normal", u[row]), *(Term("rectangular", half / math.sqrt(3)) for half in halves[row])]
        return p_between(mean[row], terms, LOW, HIGH)

    def ours() -> Array:
        return many.p_between(mean, u * u, halves, LOW, HIGH)

    return Job("1 normal, 3 rectangular errors", ours, plain, best, truth, 1_000, 1e-3)


def stations(rng: np.random.Generator, count: int, draws: int) -> Job:
    """The least of twelve lands under one gasket, whose thickness they share."""
    mean = rng.normal(0.15, 0.1, (count, 1)) + rng.normal(0.0, 0.04, (count, STATIONS))
    own = rng.uniform(0.02, 0.05, (count, STATIONS))
    shared = rng.uniform(0.02, 0.1, count)
    common = rng.standard_normal(draws)
    each = rng.standard_normal((STATIONS, draws))
    fine = np.linspace(-8.0, 8.0, 4001)

    def plain(row: int) -> float:
        lands = mean[row][:, None] + rng.normal(0.0, own[row][:, None], (STATIONS, draws))
        return float(((lands + rng.normal(0.0, shared[row], draws)).min(axis=0) >= LOW).mean())

    def best(row: int) -> float:
        least = np.full(draws, math.inf)
        for s in range(STATIONS):
            np.minimum(least, mean[row, s] + own[row, s] * each[s], out=least)
        return float((least + shared[row] * common >= LOW).mean())

    def truth(row: int) -> float:
        z = (mean[row][:, None] + shared[row] * fine - LOW) / own[row][:, None]
        inside = np.prod(0.5 * np.vectorize(math.erfc)(-z / math.sqrt(2)), axis=0)
        return float(np.trapezoid(inside * np.exp(-0.5 * fine * fine) / math.sqrt(2 * math.pi), fine))

    def ours() -> Array:
        return many.p_all_stations(mean, own, shared, LOW)

    return Job("minimum over 12 stations, shared thickness", ours, plain, best, truth, 200, 5e-3)


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--count", type=int, default=10_000)
    parser.add_argument("--draws", type=int, default=100_000)
    parser.add_argument("--sample", type=int, default=100)
    parser.add_argument("--rounds", type=int, default=5)
    parser.add_argument("--seeds", type=int, nargs="+", default=[1, 2, 3])
    given = parser.parse_args()
    rows = []
    for make in (linear, mixed, stations):
        took: dict[str, list[float]] = {"ours": [], "plain": [], "best": []}
        off, times = 0.0, given.count / given.sample
        for seed in given.seeds:
            job = make(np.random.default_rng(seed), given.count, given.draws)
            found = job.ours()
            noise = 5.0 * 0.5 / math.sqrt(given.draws) + job.error
            some = range(given.sample)
            for row in some:
                off = max(off, abs(found[row] - job.truth(row)))
                for drawn in (job.plain, job.best):
                    assert abs(found[row] - drawn(row)) < noise, (job.name, seed, row)
            assert off <= job.error, (job.name, off)
            for _ in range(given.rounds):
                took["ours"].append(seconds(job.ours))
                for name, drawn in (("plain", job.plain), ("best", job.best)):
                    took[name].append(times * seconds(lambda drawn=drawn, some=some: [drawn(row) for row in some]))
        ours, plain, best = (statistics.median(each) for each in took.values())
        rows.append(
            (job.name, shown(ours), shown(plain), f"{plain / ours:,.0f}", shown(best), f"{best / ours:,.0f}",
             f"{job.least:,}", held(best / ours, job.least), f"{off:.1e}")
        )  # fmt: skip
    head = ("probability", "Matchmark", "draws, plain", "ratio", "draws, best", "ratio", "wanted", "", "largest error")
    table(f"{given.count:,} combinations against {given.draws:,} draws each (seeds {given.seeds})", head, rows)
    print(f"\n{machine(['numpy'])}")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
