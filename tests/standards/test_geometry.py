"""Every expected number names its origin; ids such as geo-01 are those of the shared check values."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.standards import geometry as geo

INCH = 0.0254
COORDINATE = st.integers(-50, 50).map(float)
POINTS = st.lists(st.tuples(COORDINATE, COORDINATE), min_size=1, max_size=30)
SQUARE = ((0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (0.0, 4.0))
ELL = ((0.0, 0.0), (4.0, 0.0), (4.0, 1.0), (1.0, 1.0), (1.0, 4.0), (0.0, 4.0))


def test_curtain() -> None:
    assert geo.curtain_gap(geo.round_perimeter(19e-3), 19e-3) * 1e3 == pytest.approx(4.75, abs=1e-9)  # geo-01
    assert geo.open_end_ratio(20e-3, 6e-3) == pytest.approx(1.2, rel=1e-9)  # geo-02: 4h/D
    assert geo.curtain_ratio(geo.round_perimeter(20e-3), 6e-3, 20e-3) == pytest.approx(1.2, rel=1e-9)  # geo-02
    # trade rules, pickup-floor-gap: 15.9 mm bore, 76 mm foot: 0.8 mm at k = 1, 3.3 mm at k = 4, computed there
    foot = geo.round_perimeter(76e-3)
    assert geo.curtain_gap(foot, 15.9e-3, 1) * 1e3 == pytest.approx(0.8, abs=0.05)
    assert geo.curtain_gap(foot, 15.9e-3, 4) * 1e3 == pytest.approx(3.3, abs=0.05)


def test_slot() -> None:
    assert geo.slot_perimeter(0.05, 0.05) == pytest.approx(geo.round_perimeter(0.05))  # definition
    assert geo.slot_perimeter(0.08, 0.02) == pytest.approx(0.12 + math.pi * 0.02)  # definition
    assert geo.curtain_area(0.2, 0.006) == pytest.approx(1.2e-3)  # definition


def test_tilt() -> None:
    # geo-10: L tan a
    assert geo.tilt_difference(0.4, math.radians(4)) * 1e3 == pytest.approx(27.9707, abs=0.05)


def test_joint() -> None:
    angle = geo.joint_angle(100 / 1200)
    assert math.degrees(angle) == pytest.approx(16.423, abs=0.02)  # geo-05: 1/cos b - cos b = dN/N
    assert geo.joint_fluctuation(angle) == pytest.approx(100 / 1200)
    speeds = geo.joint_speeds(1200.0, math.acos(0.959201012))
    assert (speeds.most, speeds.least) == pytest.approx((1251.04, 1151.04), abs=0.5)  # geo-06: N/cos b, N cos b


def test_converter() -> None:
    assert geo.converter_pullout(1.125 * INCH, 0.975 * INCH) / INCH == pytest.approx(0.15, abs=1e-6)  # geo-11


@pytest.mark.parametrize(
    ("other", "expected"),
    [  # definition, beside the box (0,2, 0,2, 0,2)
        ((5.0, 6.0, 0.0, 2.0, 0.0, 2.0), 3.0),
        ((5.0, 6.0, 6.0, 7.0, 0.0, 2.0), 5.0),
        ((2.0, 3.0, 0.0, 2.0, 0.0, 2.0), 0.0),
        ((1.5, 3.0, 0.0, 2.0, 0.0, 2.0), -0.5),
        ((0.5, 1.0, 0.5, 1.0, 0.5, 1.0), -1.0),
        ((-5.0, 5.0, 1.75, 9.0, -5.0, 5.0), -0.25),
    ],
)
def test_boxes(other: tuple[float, ...], expected: float) -> None:
    box = (0.0, 2.0, 0.0, 2.0, 0.0, 2.0)
    assert geo.box_separation(box, other) == pytest.approx(expected)
    assert geo.box_separation(other, box) == pytest.approx(expected)


@given(POINTS)
def test_hull_contains_its_points(points: list[tuple[float, float]]) -> None:
    hull = geo.convex_hull(points)
    assert set(hull) <= set(points)
    assert all(geo.boundary_distance(hull, point) >= -1e-9 for point in points)
    assert geo.convex_hull(hull) == hull


@given(POINTS)
def test_hull_turns_left(points: list[tuple[float, float]]) -> None:
    hull = geo.convex_hull(points)
    if len(hull) > 2:
        corners = zip(hull, (*hull[1:], *hull[:1]), (*hull[2:], *hull[:2]), strict=True)
        assert all(geo._turn(a, b, c) > 0 for a, b, c in corners)
    else:
        xs = {geo._turn(points[0], points[-1], point) for point in points}
        assert len(hull) == len(set(hull))
        assert len(set(points)) <= 1 or xs == {0.0} or points[0] == points[-1]


def test_hull_of_few_points() -> None:
    assert geo.convex_hull([]) == ()
    assert geo.convex_hull([(1.0, 1.0), (1.0, 1.0)]) == ((1.0, 1.0),)
    assert geo.convex_hull([(0.0, 0.0), (1.0, 1.0), (2.0, 2.0)]) == ((0.0, 0.0), (2.0, 2.0))


@pytest.mark.parametrize(
    ("polygon", "point", "expected"),
    [  # definition
        (SQUARE, (2.0, 2.0), 2.0),
        (SQUARE, (1.0, 2.5), 1.0),
        (SQUARE, (6.0, 2.0), -2.0),
        (SQUARE, (7.0, 8.0), -5.0),
        (SQUARE, (4.0, 2.0), 0.0),
        (tuple(reversed(SQUARE)), (2.0, 2.0), 2.0),
        (ELL, (2.0, 2.0), -1.0),
        (ELL, (0.5, 3.0), 0.5),
        (((0.0, 0.0), (2.0, 0.0)), (1.0, 1.0), -1.0),
        (((0.0, 0.0),), (3.0, 4.0), -5.0),
    ],
)
def test_boundary_distance(polygon: tuple[geo.Point, ...], point: geo.Point, expected: float) -> None:
    assert geo.boundary_distance(polygon, point) == pytest.approx(expected)
    assert geo.contains(polygon, point) is (expected > 0) or expected == 0


def test_no_polygon() -> None:
    with pytest.raises(ValueError, match="at least one corner"):
        geo.boundary_distance((), (0.0, 0.0))
