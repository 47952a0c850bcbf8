"""Belt lines and tensioners of a hundred thousand layouts at once, against a scalar loop.

    python -m tests.benchmarks.belts [--count 100000] [--sample 2000] [--rounds 5] [--seeds 1 2 3]

The peer is hand-written scalar Python: the same tangents, wraps and length with `math`, and Newton for the arm. It is
timed on some layouts and taken times the count. Lengths and arms are compared before anything is timed; every signed
sum of wraps is one turn.
"""

from __future__ import annotations

import argparse
import math
import statistics
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from kb.standards.belt_drive import Arm, arm_shares, tangent_route
from tests.benchmarks.timing import held, machine, seconds, shown, table

Array = NDArray[np.float64]
CHUNK = 8000
WANTED = 25.0
# A crank, a water pump, an idler on the back, an alternator, a steering pump and the tensioner between, m.
PLACES = ((0.0, 0.0), (0.02, 0.25), (0.16, 0.13), (0.30, 0.24), (0.26, -0.05), (0.13, -0.10))
RADII = (0.080, 0.062, 0.038, 0.030, 0.055, 0.038)
BACKS = (False, False, True, False, False, True)
JITTER = 0.012


class Layouts(NamedTuple):
    """xs, ys: (6, n), in belt order; the arm's pulley is the last."""

    xs: Array
    ys: Array
    radii: list[float]
    backs: list[bool]
    arm: Arm
    belts: Array


def layouts(count: int, seed: int) -> Layouts:
    rng = np.random.default_rng(seed)
    order = (0, 4, 2, 3, 1)
    xs = np.array([PLACES[at][0] for at in order])[:, None] + rng.uniform(-JITTER, JITTER, (5, count))
    ys = np.array([PLACES[at][1] for at in order])[:, None] + rng.uniform(-JITTER, JITTER, (5, count))
    radii = [RADII[at] for at in order] + [0.038]
    backs = [BACKS[at] for at in order] + [True]
    arm = Arm(5, -0.13, 0.17, 0.08, math.radians(-5.0), math.radians(-65.0))
    hung = np.zeros((1, count))
    xs, ys = np.vstack([xs, hung]), np.vstack([ys, hung])
    ends = []
    for share in (0.15, 0.85):
        xs[5], ys[5] = arm.place(share)
        ends.append(tangent_route(list(xs), list(ys), radii, backs).length)
    belts = ends[0] + rng.uniform(0.0, 1.0, count) * (ends[1] - ends[0])
    return Layouts(xs, ys, radii, backs, arm, belts)


def scalar_route(
    xs: list[float], ys: list[float], radii: list[float], backs: list[bool]
) -> tuple[float, list[float], list[tuple[float, float]]]:
    """(length, wraps, directions), the list against the clock."""
    count = len(xs)
    spans, ways = [], []
    for i in range(count):
        j = i + 1 if i + 1 < count else 0
        dx, dy = xs[j] - xs[i], ys[j] - ys[i]
        across = (-radii[j] if backs[j] else radii[j]) - (-radii[i] if backs[i] else radii[i])
        square = dx * dx + dy * dy
        span = math.sqrt(max(square - across * across, 0.0))
        spans.append(span)
        ways.append(((span * dx + across * dy) / square, (span * dy - across * dx) / square))
    length, wraps = sum(spans), []
    for i in range(count):
        (ax, ay), (bx, by) = ways[i - 1], ways[i]
        bend = math.atan2(ax * by - ay * bx, ax * bx + ay * by)
        if backs[i]:
            bend = -bend
        if bend <= -math.pi / 2:
            bend += 2 * math.pi
        wraps.append(bend)
        length += radii[i] * bend
    return length, wraps, ways


def scalar_arm(xs: list[float], ys: list[float], made: Layouts, belt: float) -> float:
    """Newton from mid travel, with the same derivative."""
    arm, share, swing = made.arm, 0.5, made.arm.wound - made.arm.free
    for _ in range(8):
        angle = arm.free + share * swing
        xs[5], ys[5] = arm.x + arm.length * math.cos(angle), arm.y + arm.length * math.sin(angle)
        length, _, ways = scalar_route(xs, ys, made.radii, made.backs)
        slope = (
            arm.length
            * swing
            * ((ways[5][0] - ways[4][0]) * math.sin(angle) - (ways[5][1] - ways[4][1]) * math.cos(angle))
        )
        step = (length - belt) / slope
        share -= step
        if abs(step) < 1e-4:
            break
    return share


def all_lengths(made: Layouts) -> tuple[Array, Array]:
    """(lengths, turns) of every layout with the arm in mid travel."""
    xs, ys = list(made.xs), list(made.ys)
    lengths, turns = [], []
    for start in range(0, made.xs.shape[1], CHUNK):
        rows = slice(start, start + CHUNK)
        x, y = [each[rows] for each in xs], [each[rows] for each in ys]
        x[5], y[5] = made.arm.place(0.5)
        route = tangent_route(x, y, made.radii, made.backs, 1.0)
        lengths.append(route.length)
        turns.append(route.turns)
    return np.concatenate(lengths), np.concatenate(turns)


def all_arms(made: Layouts) -> Array:
    found = []
    for start in range(0, made.xs.shape[1], CHUNK):
        rows = slice(start, start + CHUNK)
        xs, ys = list(made.xs[:, rows]), list(made.ys[:, rows])
        found.append(arm_shares(made.arm, xs, ys, made.radii, made.backs, made.belts[rows], 1.0))
    return np.concatenate(found)


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--count", type=int, default=100_000)
    parser.add_argument("--sample", type=int, default=2_000)
    parser.add_argument("--rounds", type=int, default=5)
    parser.add_argument("--seeds", type=int, nargs="+", default=[1, 2, 3])
    given = parser.parse_args()
    took: dict[str, list[float]] = {name: [] for name in ("lengths", "lengths, scalar", "arms", "arms, scalar")}
    worst_length = worst_arm = 0.0
    for seed in given.seeds:
        made = layouts(given.count, seed)
        xs, ys = made.xs[:, : given.sample].T.tolist(), made.ys[:, : given.sample].T.tolist()
        middle = made.arm.place(0.5)
        for x, y in zip(xs, ys, strict=True):
            x[5], y[5] = middle
        lengths, turns = all_lengths(made)
        arms = all_arms(made)
        assert np.abs(turns - 1.0).max() < 1e-9, "a belt that does not close"
        assert np.isfinite(arms).all(), f"{np.isnan(arms).sum()} arms were not found"
        for row, (x, y) in enumerate(zip(xs, ys, strict=True)):
            worst_length = max(worst_length, abs(scalar_route(x, y, made.radii, made.backs)[0] - lengths[row]))
            worst_arm = max(worst_arm, abs(scalar_arm([*x], [*y], made, made.belts[row]) - arms[row]))
        assert worst_length < 1e-12, worst_length
        assert worst_arm < 1e-7, worst_arm
        times = given.count / given.sample

        def one_by_one(made: Layouts = made, xs: list[list[float]] = xs, ys: list[list[float]] = ys) -> None:
            for x, y in zip(xs, ys, strict=True):
                scalar_route(x, y, made.radii, made.backs)

        def arm_by_arm(made: Layouts = made, xs: list[list[float]] = xs, ys: list[list[float]] = ys) -> None:
            for x, y, belt in zip(xs, ys, made.belts.tolist(), strict=False):
                scalar_arm(x, y, made, belt)

        for _ in range(given.rounds):
            took["lengths"].append(seconds(lambda made=made: all_lengths(made)))
            took["lengths, scalar"].append(times * seconds(one_by_one))
            took["arms"].append(seconds(lambda made=made: all_arms(made)))
            took["arms, scalar"].append(times * seconds(arm_by_arm))
    middle_of = {name: statistics.median(each) for name, each in took.items()}
    rows = []
    for name, words, off in (
        ("lengths", "lengths and wraps", f"{worst_length:.0e} m"),
        ("arms", "where the arm stands", f"{worst_arm:.0e} of the travel"),
    ):
        ratio = middle_of[f"{name}, scalar"] / middle_of[name]
        ours, scalar = shown(middle_of[name]), shown(middle_of[f"{name}, scalar"])
        rows.append((words, ours, scalar, f"{ratio:.0f}", f"{WANTED:.0f}", held(ratio, WANTED), off))
    table(
        f"{given.count:,} belt layouts of 6 pulleys (seeds {given.seeds})",
        ("job", "Matchmark", "scalar Python", "ratio", "wanted", "", "largest difference"), rows,
    )  # fmt: skip
    print(f"\n{machine(['numpy'])}")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
