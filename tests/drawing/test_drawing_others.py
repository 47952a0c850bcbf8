"""Curve, map, pattern strip and suction graph show what they were given, in its place."""

from __future__ import annotations

import math

import pytest

from kb import drawing
from kb.chance import Settings, normal_cdf
from kb.drawing.suction import crossing
from kb.judge import judge
from kb.records.part import Part
from kb.rules import load_rules
from tests.drawing.drawn import SVG, all_text, build, having, number, read, size, view
from tests.drawing.test_drawing_form import RISING, flange, gap_finding


def area(points: str) -> float:
    """Shoelace formula (definition)."""
    pairs = [tuple(map(float, pair.split(","))) for pair in points.split()]
    turned = [*pairs[1:], pairs[0]]
    return abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(pairs, turned, strict=True))) / 2


def test_curve_areas_are_the_chances() -> None:
    finding = gap_finding(pickup={"hang": size(188.5, 0.6)})
    assert finding.quantity == pytest.approx(2.3e-3)  # hand sum: 188 + 1.6 + 1.2 - 188.5 mm
    root = read(drawing.chance_curve(finding))
    inside = sum(area(str(each.get("points"))) for each in having(root, "data-part", "inside"))
    outside = sum(area(str(each.get("points"))) for each in having(root, "data-part", "outside"))
    assert finding.u is not None
    # normal curve (JCGM 106, 7.3): share above 1.5 mm; the upper limit is 17 standard uncertainties away
    due = 1 - normal_cdf((1.5e-3 - 2.3e-3) / finding.u)
    assert inside / (inside + outside) == pytest.approx(due, abs=2e-3)
    fills = {str(each.get("data-part")): each.get("fill") for each in having(root, "data-part")}
    assert len(set(fills.values())) == 2  # hatched apart, not only coloured apart
    assert finding.probability is not None
    assert f"{100 * finding.probability:.1f} %" in all_text(root)


def test_curve_places_limits_and_quantity_on_one_axis() -> None:
    root = read(drawing.chance_curve(gap_finding()))
    limits = sorted(having(root, "data-limit"), key=lambda each: number(each, "data-limit"))
    mark = having(root, "data-quantity")[0]
    low, high = limits
    share = (number(mark, "x1") - number(low, "x1")) / (number(high, "x1") - number(low, "x1"))
    # gap 8.3 mm by hand sum; limits 1.5 and 12.7 mm as the rule declares them
    assert share == pytest.approx((8.3 - 1.5) / (12.7 - 1.5), abs=1e-5)
    text = all_text(root)
    assert "at least 1.5 mm (trade page)" in text
    assert "at most 12.7 mm (common practice)" in text


def test_curve_of_an_exact_answer_is_one_line() -> None:
    parts = {
        "trigger_wheel": Part("w", "trigger_wheel", "W", facts={"pattern": "36-1"}),
        "controller": Part("c", "controller", "C", facts={"patterns": frozenset({"60-2"})}),
    }
    finding = judge(load_rules()["wheel-pattern"], build()._replace(parts=parts), Settings())
    root = read(drawing.chance_curve(finding))
    assert not having(root, "data-part")
    assert len(having(root, "data-quantity")) == 1
    assert "broken" in all_text(root)


def test_curve_of_what_was_not_computed_names_what_is_missing() -> None:
    text = all_text(read(drawing.chance_curve(gap_finding(pickup={"hang": None}))))
    assert "Not computed. Not known: pickup: rail plane to the lowest point of the foot" in text
    assert "pickup.hang" not in text  # the name that a person types stands in no picture


def test_a_limit_from_memory_is_dotted() -> None:
    finding = judge(load_rules()["dipstick-full-mark"], build(), Settings())
    dashes = {
        number(each, "data-limit"): each.get("stroke-dasharray")
        for each in having(read(drawing.chance_curve(finding)), "data-limit")
    }
    assert dashes == {0.0: None, 0.02: "2 3"}  # the rule's own limits: 0 by definition, 20 mm from memory


def test_map_is_a_plan_to_scale() -> None:
    group, scale = view(read(drawing.seating_map(flange())), "flange")
    outline = group.findall(f"{SVG}polygon")[0]
    places = [tuple(map(float, pair.split(","))) for pair in str(outline.get("points")).split()]
    front, rear = places[0], places[1]
    assert math.dist(front, rear) / scale == pytest.approx(400, abs=0.01)  # R1 to R2 in the made-up flange
    assert math.dist(places[0], places[4]) / scale == pytest.approx(200, abs=0.01)  # R1 to L1
    assert rear[1] > front[1]  # front at the top
    assert places[0][0] > places[4][0]  # right-hand side at the right


def test_map_sizes_rings_by_gap() -> None:
    root = read(drawing.seating_map(flange(gap=3.2e-3)))
    radius = {number(each, "data-gap"): number(each, "r") for each in having(root, "data-gap")}
    assert radius[3.2] / radius[1.6] == pytest.approx(2)  # in proportion to the gap


def test_map_crosses_out_what_does_not_seal_and_says_so() -> None:
    sealed = read(drawing.seating_map(flange()))
    assert "Every station is sealed." in all_text(sealed)
    root = read(drawing.seating_map(flange(sealed=False, clamped=False, missing=8.2e-4, squeeze=-0.04)))
    group, _ = view(root, "flange")
    assert len(having(group, "data-mark", "not-sealed")) == 2  # two strokes of one cross
    text = all_text(root)
    assert "not sealed" in all_text(group)
    assert "not clamped" in all_text(group)
    assert "\N{MINUS SIGN}4 %" in text
    assert "0.82 mm missing" in text
    assert "oil passage rear-feed, rear cover" in text


def test_pattern_teeth_and_words() -> None:
    root = read(drawing.pattern_strip("36-1", ["60-2", "36-1", "24"]))
    teeth = [each.get("data-teeth") for each in having(root, "data-teeth")]
    assert teeth == ["35", "58", "35", "24"]  # definition of the codes: positions minus missing
    text = all_text(root)
    assert text.count("does not match") == 2
    assert text.count("reads this wheel") == 1
    assert "gap 20\N{DEGREE SIGN}" in text  # pat-04: (missing + 1) 360 / positions
    assert "gap 18\N{DEGREE SIGN}" in text  # check values, conventions: 60-2 leaves 18 degrees


def test_pattern_axis_carries_time() -> None:
    text = all_text(read(drawing.pattern_strip("36-1", [], speed=50.0)))
    assert "20 ms" in text  # definition: one turn at 50 turns a second
    assert "not known" in text


def test_suction_curves_and_limit_share_one_axis() -> None:
    root = read(drawing.suction_graph(RISING, {"curve": [(0.0, 0.0), (100.0, 80e3)]}, 30e3))
    limit = having(root, "data-limit")[0]
    hot, cold = having(root, "data-curve", "hot")[0], having(root, "data-curve", "cold")[0]
    assert hot.get("stroke-dasharray") != cold.get("stroke-dasharray")
    pairs = [tuple(map(float, pair.split(","))) for pair in str(hot.get("points")).split()]
    assert pairs[60][1] == pytest.approx(number(limit, "y1"), abs=1e-3)  # 60 turns a second x 500 Pa = the limit
    text = all_text(root)
    assert "over the limit from 3600 rpm on" in text  # hand: 30 kPa / 500 Pa = 60 turns a second
    assert "over the limit from 2250 rpm on" in text  # hand: 30 / 80 of 100 turns a second


@pytest.mark.parametrize(
    ("curve", "limit", "due"),
    [
        ([(0.0, 0.0), (10.0, 100.0)], 50.0, 5.0),  # straight line, hand
        ([(0.0, 0.0), (10.0, 100.0)], 100.0, None),  # reached is not passed
        ([(0.0, 80.0), (10.0, 100.0)], 50.0, 0.0),  # over it from the start
        ([], 50.0, None),  # nothing to pass
    ],
)
def test_crossing(curve: list[tuple[float, float]], limit: float, due: float | None) -> None:
    assert crossing(curve, limit) == due


def test_a_curve_beyond_the_air_leaves_the_picture() -> None:
    text = all_text(read(drawing.suction_graph(None, {"curve": [(0.0, 0.0), (100.0, 400e3)]}, 30e3)))
    assert "more than the air can press" in text
    assert "What the pump allows is not known" in all_text(read(drawing.suction_graph(RISING, None, None)))


def test_pattern_fitted_back_to_front() -> None:
    text = all_text(read(drawing.pattern_strip("10,20,330", ["20,10,330"])))
    assert "reads it only fitted back to front" in text  # definition: the same intervals in the opposite order
    assert "\N{CHECK MARK}" not in text
