"""Every expected number names its origin; ids such as blt-05 are those of the shared check values."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kb.standards import belt_drive as drive

# (x, y, radius) in mm, back side or not
INSIDE = ((0.0, 0.0, 80.0, False), (250.0, 0.0, 30.0, False), (100.0, 220.0, 40.0, False))  # blt-05
BACKED = ((0.0, 0.0, 80.0, False), (260.0, 0.0, 30.0, False), (190.0, 105.0, 38.0, True), (60.0, 240.0, 45.0, False))


def laid(pulleys: Any, **more: Any) -> drive.Route:
    return drive.tangent_route(*zip(*pulleys, strict=True), **more)


def test_two_pulleys() -> None:
    assert drive.open_belt_length(6.0, 18.0, 96.0) == pytest.approx(230.074, abs=0.005)  # blt-01, Shigley ch. 17, in
    assert drive.small_pulley_wrap(6.0, 18.0, 96.0) == pytest.approx(3.01651, abs=1e-5)  # blt-02, Shigley ch. 17
    assert drive.open_belt_length(100.0, 100.0, 300.0) == pytest.approx(914.159, rel=1e-6)  # blt-04: 2 C + pi d
    assert math.degrees(drive.small_pulley_wrap(100.0, 100.0, 300.0)) == pytest.approx(180.0, rel=1e-6)  # blt-04


@given(st.floats(20, 200), st.floats(20, 200), st.floats(1.05, 8))
def test_two_pulleys_by_the_handbook_formula(first: float, second: float, apart: float) -> None:
    """L = sqrt(4 C^2 - (D - d)^2) + (D tD + d td) / 2, td = pi - 2 asin((D - d) / 2C): Shigley, chapter 17."""
    small, large = sorted((first, second))
    centres = apart * (small + large) / 2
    bend = 2 * math.asin((large - small) / (2 * centres))
    due = math.sqrt(4 * centres**2 - (large - small) ** 2) + (large * (math.pi + bend) + small * (math.pi - bend)) / 2
    assert drive.open_belt_length(small, large, centres) == pytest.approx(due, rel=1e-12)
    assert drive.small_pulley_wrap(small, large, centres) == pytest.approx(math.pi - bend, abs=1e-12)


def test_a_large_pulley_may_be_wrapped_nearly_all_round() -> None:
    numpy = pytest.importorskip("numpy")
    route = drive.tangent_route([0.0, 110.25], [0.0, 0.0], [88.0, 10.0], [False, False])
    due = math.pi + 2 * math.asin(78 / 110.25)  # Shigley, chapter 17: 270.1 deg, and 300.6 deg at 90.3 mm
    assert route.wraps[0] == pytest.approx(due, abs=1e-12)
    far = numpy.array([110.25, 90.3, 300.0])
    many = drive.tangent_route([0.0, far], [0.0, 0.0], [88.0, 10.0], [False, False])
    assert many.wraps[0] == pytest.approx(math.pi + 2 * numpy.arcsin(78 / far), abs=1e-12)
    assert many.turns == pytest.approx([1.0, 1.0, 1.0])


def test_three_pulleys_inside() -> None:
    assert laid(INSIDE).length == pytest.approx(1075.99, rel=2e-5)  # blt-05, shapely's hull of the circles


def test_an_idler_on_the_back() -> None:
    route = laid(BACKED)
    assert route.length == pytest.approx(1164.9, rel=2e-5)  # blt-08, numpy and scipy
    wraps = [math.degrees(wrap) for wrap in route.wraps]
    assert wraps == pytest.approx([123.257, 145.208, 48.6632, 140.198], abs=0.01)  # blt-09, numpy
    assert route.turns == pytest.approx(1.0, abs=1e-12)  # blt-09: inside wraps less back wraps are one turn
    assert route.closes


def test_the_order_may_run_either_way() -> None:
    forth, back = laid(BACKED), laid(BACKED[::-1])
    assert back.length == pytest.approx(forth.length, rel=1e-12)  # the same belt, from the definition
    assert back.wraps[::-1] == pytest.approx(forth.wraps, abs=1e-12)
    assert (forth.sense, back.sense) == (1.0, -1.0)
    assert back.closes


def test_a_wrong_order_is_found_out() -> None:
    square = (
        (0.0, 0.0, 50.0, False),
        (300.0, 300.0, 50.0, False),
        (300.0, 0.0, 50.0, False),
        (0.0, 300.0, 50.0, False),
    )
    assert not laid(square, sense=1.0).closes  # a figure of eight has no turn, or two: from the definition
    assert not laid(square, sense=-1.0).closes


def test_a_pulley_that_the_belt_misses_has_no_wrap() -> None:
    # 2 (atan 0.1 - asin(50 / 201)), hand derivation: an idler 20 mm over the middle of a span that lies 100 mm over it
    missed = laid(((0.0, 0.0, 100.0, False), (400.0, 0.0, 100.0, False), (200.0, 20.0, 50.0, False)))
    due = 2 * (math.atan(0.1) - math.asin(50 / math.hypot(200, 20)))
    assert missed.wraps[2] == pytest.approx(due, abs=1e-12)
    assert missed.wraps[2] < 0


def test_it_needs_two_pulleys() -> None:
    with pytest.raises(ValueError, match="two pulleys"):
        drive.tangent_route([0.0], [0.0], [0.1], [False])


ANGLES = st.lists(st.floats(0.75, 1.25), min_size=3, max_size=7)


@settings(max_examples=40, deadline=None)
@given(ANGLES, st.lists(st.floats(10, 60), min_size=7, max_size=7), st.booleans())
def test_inside_drives_against_the_hull_of_the_circles(steps: list[float], radii: list[float], turned: bool) -> None:
    """Centres spread round a circle of 300 mm: the belt is the outline of the convex hull (shapely)."""
    shapely = pytest.importorskip("shapely")
    total, angle, pulleys = sum(steps), 0.0, []
    for step, radius in zip(steps, radii, strict=False):
        pulleys.append((300 * math.cos(angle), 300 * math.sin(angle), radius, False))
        angle += 2 * math.pi * step / total
    route = laid(pulleys[::-1] if turned else pulleys)
    hull = shapely.unary_union(
        [shapely.Point(x, y).buffer(radius, quad_segs=720) for x, y, radius, _ in pulleys]
    ).convex_hull
    if min(route.wraps) > 0:  # else the hull passes a pulley that the belt is told to reach
        assert route.length == pytest.approx(hull.length, rel=2e-6)
    assert route.closes


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 3), st.floats(-40, 40), st.floats(-40, 40), st.floats(30, 90))
def test_moving_a_pulley_changes_the_length_by_the_pull_of_its_spans(
    at: int, x: float, y: float, radius: float
) -> None:
    """Virtual work: dL = (direction of the span that comes - direction of the span that goes) . d(centre)."""
    pulleys = [list(each) for each in BACKED]
    pulleys[0][2], pulleys[3][0], pulleys[3][1] = radius, 60.0 + x, 240.0 + y
    route = laid(pulleys)
    coming, going = route.directions[at - 1], route.directions[at]
    for axis in (0, 1):
        step = 1e-3
        lengths = []
        for sign in (1, -1):
            moved = [list(each) for each in pulleys]
            moved[at][axis] += sign * step
            lengths.append(laid(moved).length)
        assert (lengths[0] - lengths[1]) / (2 * step) == pytest.approx(coming[axis] - going[axis], abs=1e-6)


def test_spans_are_tangents() -> None:
    columns = list(zip(*BACKED, strict=True))
    route = drive.tangent_route(*columns)
    for i, (x1, y1, x2, y2) in enumerate(drive.span_ends(route, *columns)):
        j = (i + 1) % 4
        assert math.hypot(x2 - x1, y2 - y1) == pytest.approx(route.spans[i], rel=1e-12)  # from the definition
        for x, y, (cx, cy, radius, _) in ((x1, y1, BACKED[i]), (x2, y2, BACKED[j])):
            assert math.hypot(x - cx, y - cy) == pytest.approx(radius, rel=1e-12)
            assert (x - cx) * (x2 - x1) + (y - cy) * (y2 - y1) == pytest.approx(0, abs=1e-8)


def test_arrays_give_what_floats_give() -> None:
    numpy = pytest.importorskip("numpy")
    random = numpy.random.default_rng(7)
    columns = [
        [numpy.array(value) + random.uniform(-8, 8, 50) for value in row] for row in list(zip(*BACKED, strict=True))[:3]
    ]
    backs = [False, False, True, False]
    whole = drive.tangent_route(*columns, backs)
    for run in range(50):
        one = drive.tangent_route(*[[float(value[run]) for value in row] for row in columns], backs)
        assert whole.length[run] == pytest.approx(one.length, rel=1e-12)
        assert [wrap[run] for wrap in whole.wraps] == pytest.approx(one.wraps, abs=1e-12)
    assert bool(numpy.all(whole.closes))


# -- the tensioner -----------------------------------------------------------------------------------------------------


def swung(share: float) -> float:
    """Two equal pulleys of 100 mm, one on an arm of 100 mm about (0, 300): 2 C + pi d, C by the cosine law."""
    return 2 * math.sqrt(0.1 + 0.06 * math.cos(math.pi * share)) + math.pi * 0.1


def test_arm_places_its_pulley() -> None:
    arm = drive.Arm(1, 0.0, 0.3, 0.1, math.pi / 2, 3 * math.pi / 2)
    assert arm.place(0.0) == pytest.approx((0.0, 0.4), abs=1e-15)  # hand sum
    assert arm.place(0.5) == pytest.approx((-0.1, 0.3), abs=1e-15)
    assert arm.place(1.0) == pytest.approx((0.0, 0.2), abs=1e-15)


@given(st.floats(0.02, 0.98))
def test_the_arm_is_found_where_the_belt_fits(share: float) -> None:
    assert drive.arm_share(swung, swung(share)) == pytest.approx(share, abs=1e-8)  # from the definition


def test_beyond_the_stops() -> None:
    # Mean slope: 0.8 + 0.1 pi at one stop, 0.4 + 0.1 pi at the other (hand sums), so 0.4 m for the whole travel.
    assert drive.arm_share(swung, 1.2) == pytest.approx(-(1.2 - 0.8 - 0.1 * math.pi) / 0.4, abs=1e-9)
    assert drive.arm_share(swung, 0.6) == pytest.approx(1 + (0.4 + 0.1 * math.pi - 0.6) / 0.4, abs=1e-9)
    with pytest.raises(ValueError, match="takes up no belt"):
        drive.arm_share(lambda share: 1.0, 1.1)


def test_past_a_dead_point_the_arm_halts_at_the_first_fit_from_the_wound_stop() -> None:
    # length 1 + s (1.2 - s) is 1.27 at s = 0.3 and 0.9; the arm comes from 1: from the definition
    assert drive.arm_share(lambda s: 1 + s * (1.2 - s), 1.27) == pytest.approx(0.9, abs=1e-9)


# -- planes, speeds, grip ----------------------------------------------------------------------------------------------


def test_misalignment() -> None:
    # blt-18: 0.5 deg is 0.8727 mm in 100 mm
    assert math.tan(drive.misalignment(0.0, 0.8727e-3, 0.1)) * 100 == pytest.approx(0.8727, abs=0.005)
    assert math.degrees(drive.misalignment(0.0, 0.8727e-3, 0.1)) == pytest.approx(0.5, abs=1e-3)
    # trade rules, pulley-plane-alignment: 1/16 in over 8 in is 0.45 deg, computed there
    assert math.degrees(drive.misalignment(0.0, 1 / 16, 8.0)) == pytest.approx(0.45, abs=0.005)
    assert drive.misalignment(0.001, 0.0, 0.1) < 0


def test_capstan() -> None:
    assert drive.hold_force(2000.0, 0.25, 2.5 * drive.TURN) == pytest.approx(39.41, rel=0.005)  # blt-16
    # trade rules, belt-wrap-angle: 4.0, 6.3, 9.9, 15.7 at friction 0.3 in a groove of 40 deg, computed there
    found = [drive.capstan_ratio(0.3, math.radians(wrap), math.radians(20)) for wrap in (90, 120, 150, 180)]
    assert found == pytest.approx([4.0, 6.3, 9.9, 15.7], abs=0.05)


def test_speed_ratio() -> None:
    assert drive.speed_ratio(0.160, 0.060) == pytest.approx(8 / 3)  # from the definition


@given(st.lists(st.floats(0, 500), min_size=2, max_size=6), st.booleans(), st.floats(10, 900))
def test_tensions_balance_at_every_pulley(taken: list[float], along: bool, pull: float) -> None:
    forces = [-sum(taken), *taken]
    runs = drive.span_tensions(forces, along, [0, len(taken)], pull)
    assert (runs[0] + runs[-1]) / 2 == pytest.approx(pull, abs=1e-9)  # as asked for
    for at, force in enumerate(forces):
        behind = runs[at] - runs[at - 1] if along else runs[at - 1] - runs[at]
        assert behind == pytest.approx(force, abs=1e-7)  # statics: what the pulley takes, the belt gives


def test_the_crank_pulls_on_the_run_that_comes_to_it() -> None:
    # Crank first, belt in list order: the run behind the last pulley comes to the crank and is the tight one (statics).
    runs = drive.span_tensions([-100.0, 60.0, 40.0], True, [0], 200.0)
    assert runs == pytest.approx([200.0, 260.0, 300.0])
    assert drive.span_tensions([-100.0, 60.0, 40.0], False, [2], 200.0) == pytest.approx([300.0, 240.0, 200.0])


def test_rim_gap() -> None:
    assert drive.rim_gap(0, 0, 0.05, 0.3, 0.4, 0.1) == pytest.approx(0.35)  # 3-4-5 triangle
    assert drive.rim_gap(0, 0, 0.05, 0.1, 0.0, 0.06) == pytest.approx(-0.01)  # hand sum


def test_alternator_speed_from_diameters() -> None:
    # ele-08 of the check values: 165 mm crank and 60 mm alternator pulley at 6500 rpm, by the ratio of the diameters.
    assert 6500 * drive.speed_ratio(0.165, 0.060) == pytest.approx(17875, rel=1e-6)


@settings(max_examples=15, deadline=None)
@given(st.integers(0, 2**32 - 1))
def test_many_arms_at_once_stand_where_each_would(seed: int) -> None:
    """From the definition: the way round at the share found is as long as the belt, and `arm_share` finds the same."""
    numpy = pytest.importorskip("numpy")
    rng = numpy.random.default_rng(seed)
    count = 12
    xs = [0.0, rng.uniform(0.24, 0.3, count), 0.0, rng.uniform(0.0, 0.1, count)]
    ys = [0.0, rng.uniform(-0.05, 0.05, count), 0.0, rng.uniform(0.22, 0.3, count)]
    radii, backs = [0.08, 0.03, 0.038, 0.045], [False, False, True, False]
    arm = drive.Arm(2, 0.26, 0.16, 0.07, math.radians(200), math.radians(260))
    ends = []
    for share in (0.0, 1.0):
        xs[2], ys[2] = arm.place(share)
        ends.append(drive.tangent_route(xs, ys, radii, backs).length)
    belts = ends[0] + rng.uniform(-0.2, 1.2, count) * (ends[1] - ends[0])
    found = drive.arm_shares(arm, xs, ys, radii, backs, belts)
    assert numpy.isfinite(found).any()
    for at in range(count):
        own = [[float(each[at]) if hasattr(each, "__len__") else each for each in row] for row in (xs, ys)]

        def length_at(share: float, own: list[list[float]] = own) -> float:
            own[0][2], own[1][2] = arm.place(share)
            return float(drive.tangent_route(*own, radii, backs).length)

        due = drive.arm_share(length_at, float(belts[at]))
        if math.isfinite(found[at]):
            assert found[at] == pytest.approx(due, abs=1e-7)
            assert length_at(float(found[at])) == pytest.approx(float(belts[at]), abs=1e-9)
        elif length_at(0.0) > length_at(0.5) > length_at(1.0):
            assert not 0.001 < due < 0.999
