"""The belt drawing: true to scale, honest about what nobody recorded. Sizes are invented; due values are hand sums."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any
from xml.etree import ElementTree

import pytest

from kb import drawing
from kb.build import Build
from tests.drawing.drawn import MM, SVG, all_text, having, number, read, size, view
from tests.drawing.drives import CRANK, IDLER, LEVEL, PUMP, SWING, wheel, with_belt

NEAR = 0.01  # mm: figures in the picture have four decimals of a px


def drawn(build: Build, **more: Any) -> ElementTree.Element:
    return read(drawing.belt_drawing(build, **more))


def points(element: ElementTree.Element) -> list[tuple[float, float]]:
    pairs = [pair.split(",") for pair in element.get("points", "").split()]
    return [(float(x), float(y)) for x, y in pairs]


def test_pulleys_and_belt_to_scale() -> None:
    group, scale = view(drawn(with_belt(CRANK, PUMP)), "front")
    discs = {each.get("data-pulley"): each for each in having(group, "data-pulley")}
    assert number(discs["crank"], "r") / scale == pytest.approx(50, abs=NEAR)
    assert (number(discs["pump"], "cx") - number(discs["crank"], "cx")) / scale == pytest.approx(300, abs=NEAR)
    way = points(having(group, "data-belt", "way")[0])
    length = sum(math.dist(a, b) for a, b in pairwise([*way, way[0]])) / scale
    # 2 x 300 + pi x 100 mm (Shigley, chapter 17, equal pulleys); chords of 5 deg are short by 0.03 %
    assert length == pytest.approx(600 + 100 * math.pi, abs=0.15)
    assert having(group, "data-belt", "way")[0].get("stroke-dasharray") is None


def test_up_is_up_and_right_is_right() -> None:
    group, scale = view(drawn(with_belt(CRANK, wheel("top", x=size(-120), y=size(260)))), "front")
    discs = {each.get("data-pulley"): each for each in having(group, "data-pulley")}
    across = number(discs["top"], "cx") - number(discs["crank"], "cx")
    up = number(discs["crank"], "cy") - number(discs["top"], "cy")
    assert (across / scale, up / scale) == pytest.approx((-120, 260), abs=NEAR)


def test_wraps_and_ways_of_turning() -> None:
    root = drawn(with_belt(CRANK, PUMP, IDLER))
    words = all_text(root)
    assert "belt round 180" not in words  # the idler presses the upper run down
    ways = [each.get("data-way") for each in having(root, "data-way")]
    assert ways == ["clockwise", "clockwise", "anticlockwise"]  # the back turns against the ribs
    equal = all_text(drawn(with_belt(CRANK, PUMP)))
    assert equal.count("belt round 180\N{DEGREE SIGN}") == 2  # equal pulleys, half a turn each


def test_the_arrow_turns_as_said() -> None:
    root = drawn(with_belt(CRANK, PUMP, IDLER))
    for each in having(root, "data-way"):
        first, *_, last = points(each)
        assert (last[0] > first[0]) == (each.get("data-way") == "clockwise")  # the arc lies over the centre


def test_a_pulley_turned_the_wrong_way_is_named() -> None:
    wrong = {**PUMP, "turns": "anticlockwise"}
    assert "\N{MULTIPLICATION SIGN} must turn anticlockwise" in all_text(drawn(with_belt(CRANK, wrong)))
    assert "must turn" not in all_text(drawn(with_belt(CRANK, {**PUMP, "turns": "clockwise"})))


def test_planes_are_sums_to_scale() -> None:
    ahead = {**PUMP, "bracket": size(30), "shim": size(2), "mount_face": size(30)}
    root = drawn(with_belt(CRANK, ahead))
    group, scale = view(root, "planes")
    face = number(having(group, "data-face")[0], "x1")
    planes = {each.get("data-plane"): number(each, "x1") for each in having(group, "data-plane")}
    assert (planes["pump"] - face) / scale == pytest.approx(30 + 30 + 2 + 25 + 15, abs=NEAR)  # hand sum
    rect = {each.get("data-piece"): each for each in having(group, "data-piece") if each.tag == f"{SVG}rect"}
    assert number(rect["shim"], "width") / scale == pytest.approx(2, abs=NEAR)
    bands = [float(each.get("data-band", "")) for each in having(group, "data-band")]
    # twice the root of the squares of 0.2 mm, three pieces of the crank and five of the pump (JCGM 100, 5.1.2)
    assert bands == pytest.approx([2 * 0.2 * 3**0.5, 2 * 0.2 * 5**0.5], abs=1e-4)


def test_the_chosen_pump_sets_its_plane() -> None:
    root = drawn(with_belt(CRANK, PUMP, water_pump={"hub_height": size(31)}))
    assert "2 pump: 106.00" in " ".join(all_text(root).split())  # 60 + 31 + 15 mm, hand sum


def gauges(root: ElementTree.Element) -> dict[str, ElementTree.Element]:
    return {str(each.get("data-gauge")): each for each in having(root, "data-gauge")}


def limits(gauge: ElementTree.Element) -> list[float]:
    return [float(each.get("data-limit", "")) / MM for each in having(gauge, "data-limit")]


def test_offset_over_a_span_against_its_limits() -> None:
    root = drawn(with_belt(CRANK, {**PUMP, "mount_face": size(64)}))
    gauge = gauges(root)["1 to 2, second ahead by"]
    assert float(having(gauge, "data-value")[0].get("data-value", "")) / MM == pytest.approx(4.0)
    # 300 mm times tan 0.25 deg = 0.00436335 and tan 0.5 deg = 0.00872687 (tables), both ways
    due = [-2.618061, -1.309005, 1.309005, 2.618061]
    assert limits(gauge) == pytest.approx(due, abs=1e-4)
    places = [number(each, "x1") for each in having(gauge, "data-limit")]
    step = (places[-1] - places[0]) / (due[-1] - due[0])
    at = number(having(gauge, "data-value")[0], "x1")
    assert (at - places[-1]) / step == pytest.approx(4.0 - due[-1], abs=NEAR)
    assert "all together: does not fit" in all_text(root)


def test_own_limits_move_the_marks() -> None:
    build = with_belt(CRANK, PUMP)._replace(
        own_limits={("pulley-plane-alignment", "tolerated_ahead"): (0.01, "0.01 rad")}
    )
    due = 300 * math.tan(0.01)  # from the definition
    assert max(limits(gauges(drawn(build))["1 to 2, second ahead by"])) == pytest.approx(due, abs=1e-4)


def test_the_arm_and_its_travel() -> None:
    root = drawn(with_belt(CRANK, swung=(SWING,), belt={"effective_length": size(LEVEL)}))
    group, scale = view(root, "front")
    arm = having(group, "data-arm", "swing")[0]
    assert math.hypot(number(arm, "x2") - number(arm, "x1"), number(arm, "y2") - number(arm, "y1")) / scale == (
        pytest.approx(100, abs=NEAR)
    )
    assert number(arm, "y1") == pytest.approx(number(arm, "y2"), abs=NEAR)  # level: half way from up to down
    way = points(having(group, "data-travel", "swing")[0])
    assert math.dist(way[0], way[-1]) / scale == pytest.approx(200, abs=NEAR)  # stop to stop, twice the arm
    assert way[-1][1] < way[0][1]  # the spring pushes up, to the free stop
    gauge = next(each for name, each in gauges(root).items() if name.startswith("Tensioner"))
    assert float(having(gauge, "data-value")[0].get("data-value", "")) == pytest.approx(0.5, abs=1e-6)
    assert limits(gauge) == pytest.approx([0, 200, 800, 1000])  # shares x 1000: 0, 20, 80, 100 % as the rule declares


def test_without_the_belts_length_the_way_is_dashed() -> None:
    root = drawn(with_belt(CRANK, swung=(SWING,), belt={"effective_length": None}))
    assert having(root, "data-belt", "way")[0].get("stroke-dasharray") == "5 3"
    assert "the belt's length is not known" in all_text(root)
    build = with_belt(CRANK, swung=(SWING,))
    alone = drawn(build._replace(parts={"belt_layout": build.parts["belt_layout"]}))
    assert having(alone, "data-belt", "way")[0].get("stroke-dasharray") == "5 3"


def test_the_belts_thickness_matters_on_its_back_only() -> None:
    assert "outside the pulley" not in all_text(drawn(with_belt(CRANK, PUMP, belt={"back_offset": None})))
    root = drawn(with_belt(CRANK, PUMP, IDLER, belt={"back_offset": None}))
    assert having(root, "data-belt", "way")[0].get("stroke-dasharray") == "5 3"
    assert "counted as nothing" in all_text(root)


@pytest.mark.parametrize("lost", ["diameter", "x", "side"])
def test_what_is_not_known_is_never_drawn_as_known(lost: str) -> None:
    third = {name: value for name, value in IDLER.items() if name != lost}
    root = drawn(with_belt(CRANK, PUMP, third))
    assert not having(root, "data-belt", "way")
    assert "The belt's way cannot be drawn: not known: idler" in all_text(root)
    discs = having(root, "data-pulley", "idler")
    if lost == "x":
        assert not discs
        assert "centre not known: measure" in all_text(root)
    if lost == "diameter":
        assert discs[0].get("stroke-dasharray") == "5 3"
        assert "diameter not known: measure" in all_text(root)
    if lost == "side":
        assert "side of the belt not known" in all_text(root)


def test_a_piece_that_lacks_leaves_the_plane_open() -> None:
    root = drawn(with_belt(CRANK, {name: value for name, value in PUMP.items() if name != "hub"}))
    group, _ = view(root, "planes")
    assert {each.get("data-plane") for each in having(group, "data-plane")} == {"crank"}
    assert having(group, "data-unknown", "hub")
    assert "pump: not known: measure hub" in all_text(group)
    assert "Measure the plane of pump" in all_text(root)


def test_a_belt_that_crosses_itself_or_a_list_that_is_wrong() -> None:
    lost = {**SWING, "after": "nobody"}
    assert "no pulley is called 'nobody'" in all_text(drawn(with_belt(CRANK, PUMP, swung=(lost,))))
    assert "a belt needs two pulleys" in all_text(drawn(with_belt(CRANK)))
    assert "no pulley is recorded" in all_text(drawn(with_belt()))


def test_inches_and_titles() -> None:
    root = drawn(with_belt(CRANK, PUMP), system="in", name="second")
    assert "diameter 3.9" in all_text(root)  # 100 mm / 25.4 (definition of the inch)
    assert root[0].text == "Belt layout, second: The front"
    assert "Engine off, key out" in " ".join(all_text(root).split())
