"""The section is to scale: lengths read off the picture are the lengths of the parts. Expected sums are hand sums."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kb import drawing
from kb.drawing._values import Known, ask, sentence
from kb.roles import crank, pan, pan_gasket
from kb.rules._rule import optional
from tests.drawing.drawn import MM, SVG, all_text, box, build, having, number, read, size, view

NEAR = 1e-3  # mm: coordinates carry four decimals of a px


def test_gap_in_the_detail_is_the_gap_of_the_parts() -> None:
    group, scale = view(read(drawing.sump_section(build())), "gap")
    line = having(group, "data-name", "gap")[0]
    # hand sum: 188 + clamped gasket at its stop 1.6 + tray rim 1.2 - hang 182.5 mm
    assert (number(line, "data-to") - number(line, "data-from")) / scale == pytest.approx(8.3, abs=NEAR)
    assert "8.3" in all_text(group)


@given(st.floats(60, 300), st.floats(-20, 40), st.floats(0.2, 6), st.floats(0, 4))
@settings(max_examples=40, deadline=None)
def test_depths_are_to_scale_whatever_they_are(depth: float, gap: float, gasket: float, tray: float) -> None:
    hang = depth + gasket + tray - gap
    made = build(
        pan={"sump_depth": size(depth), "floor": None, "hull": None},
        pan_gasket={"stop_thickness": size(gasket)},
        windage_tray={"rim_thickness": size(tray)},
        pickup={"hang": size(hang)},
    )
    root = read(drawing.sump_section(made))
    group, scale = view(root, "section")
    rail = number(group.findall(f"{SVG}circle")[0], "cy")
    for word, due in (("floor", depth + gasket + tray), ("foot", hang), ("full", 110.0), ("inlet", 12.0)):
        mark = having(group, "data-mark", word)[0]
        assert (number(mark, "y1") - rail) / scale == pytest.approx(due, abs=NEAR / scale)
        assert number(mark, "data-depth") == pytest.approx(due, abs=1e-3)
    detail, fine = view(root, "gap")
    line = having(detail, "data-name", "gap")[0]
    assert abs(number(line, "data-to") - number(line, "data-from")) / fine == pytest.approx(abs(gap), abs=NEAR / fine)
    words = "foot in the floor by" in all_text(detail)
    assert words == (gap < 0) or abs(gap) < 1e-9


def test_one_scale_in_both_directions() -> None:
    group, scale = view(read(drawing.sump_section(build())), "section")
    floors = having(group, "data-edge", "floor")
    lengths = [(number(each, "x2") - number(each, "x1")) / scale for each in floors]
    assert lengths == pytest.approx([220, 230], abs=0.01)  # the floor's rectangles: 20 to 240 and 240 to 470 mm
    foot = having(group, "data-edge", "foot")[0]
    xs = [float(pair.split(",")[0]) for pair in str(foot.get("points")).split()]
    assert (max(xs) - min(xs)) / scale == pytest.approx(76, abs=0.01)  # the foot's length
    # floor under the foot: 188 + 1.6 + 1.2 mm below the rail, 118 mm below the shelf
    assert (number(floors[1], "y1") - number(floors[0], "y1")) / scale == pytest.approx(118, abs=0.01)


def test_joint_in_the_detail() -> None:
    group, scale = view(read(drawing.sump_section(build())), "joint")
    heights = {str(each.get("data-layer")): number(each, "height") / scale for each in having(group, "data-layer")}
    due = {"gasket": 1.6, "tray rim": 1.2, "flange": 5.0, "free": 2.6}  # the parts as recorded; clamped at the stop
    assert heights == pytest.approx(due, abs=NEAR)


def test_bands_are_the_expanded_uncertainty() -> None:
    group, scale = view(read(drawing.sump_section(build())), "gap")
    bands = sorted(number(each, "height") / scale for each in having(group, "data-band"))
    # 2 x 2 u, u = 0.3 mm for the foot, root of the squares of 0.5, 0.02 and 0.02 mm for the floor (JCGM 100, 5.1.2)
    assert bands == pytest.approx([4 * 0.3, 4 * (0.5**2 + 2 * 0.02**2) ** 0.5], abs=NEAR)


def test_a_thin_band_is_one_px_and_its_value_is_said() -> None:
    root = read(drawing.sump_section(build(pickup={"hang": size(182.5, 0.001)})))
    group, _ = view(root, "section")
    assert min(number(each, "height") for each in having(group, "data-band")) == 1.0
    assert "foot 182.500 \N{PLUS-MINUS SIGN}0.002" in all_text(root)


def test_what_is_not_known_is_dashed_in_the_middle_and_says_measure() -> None:
    root = read(drawing.sump_section(build(pickup={"hang": None})))
    group, scale = view(root, "section")
    rail = number(group.findall(f"{SVG}circle")[0], "cy")
    mark = having(group, "data-mark", "foot")[0]
    assert mark.get("stroke-dasharray") == "5 3"
    assert having(group, "data-edge", "foot")[0].get("stroke-dasharray") == "5 3"
    # middle of the plausible range of the hang, 30 to 320 mm as declared in kb/records/oil.py
    assert (number(mark, "y1") - rail) / scale == pytest.approx(175, abs=0.01)
    assert "foot not known: measure" in all_text(root)
    assert "Pickup foot, lowest point: not known: measure (drawn at the middle of 30 mm to 320 mm)." in "".join(
        root[1].text or ""
    )
    assert not [each for each in root.iter() if each.get("data-view") == "gap"]


def test_known_parts_are_not_dashed() -> None:
    group, _ = view(read(drawing.sump_section(build())), "section")
    for word in ("floor", "foot", "full", "low", "inlet", "crank", "tray", "shelf"):
        assert having(group, "data-mark", word)[0].get("stroke-dasharray") is None
    assert "not known" not in all_text(group)


@pytest.mark.parametrize(
    ("role", "words"), [("crank", "crank"), ("dipstick", "full"), ("windage_tray", "tray"), ("oil_pump", "inlet")]
)
def test_an_empty_role_is_left_out(role: str, words: str) -> None:
    group, _ = view(read(drawing.sump_section(build(role))), "section")
    marks = {each.get("data-mark") for each in having(group, "data-mark")}
    assert words not in marks
    assert "floor" in marks


def test_without_a_tray_the_pan_sits_higher() -> None:
    group, scale = view(read(drawing.sump_section(build("windage_tray"))), "section")
    rail = number(group.findall(f"{SVG}circle")[0], "cy")
    floor = having(group, "data-mark", "floor")[0]
    assert (number(floor, "y1") - rail) / scale == pytest.approx(188 + 1.6, abs=0.01)  # hand sum, no rim


def test_the_sweep_is_the_larger_radius_below_the_rail() -> None:
    group, _ = view(read(drawing.sump_section(build())), "section")
    crank_mark = having(group, "data-mark", "crank")[0]
    assert number(crank_mark, "data-depth") == pytest.approx(-62 + 84)  # hand sum: drop + larger swing


def test_obstacles_near_and_far_and_beside() -> None:
    things = (
        box("crossmember", (0.06, 0.16), sort="fixed", top=size(95)),
        {**box("link", (0.3, 0.4), sort="steering", top=size(150)), "y_from": 0.2, "y_to": 0.3},
        box("far", (0.1, 0.2), sort="fixed", top=size(480)),
    )
    root = read(drawing.sump_section(build(car={"obstacles": things})))
    text = all_text(root)
    assert "crossmember" in text
    assert "link" in text
    assert "far" not in text
    assert "Car, link, beside the plane of the section: top at 150 mm" in str(root[1].text)


def test_lengths_that_nobody_recorded_are_owned_up_to() -> None:
    root = read(drawing.sump_section(build(pan={"floor": None, "hull": None})))
    assert "Lengths along the engine are not recorded: only depths are true." in all_text(root)


def test_inches() -> None:
    root = read(drawing.sump_section(build(), system="in"))
    assert "Depths in inches" in all_text(root)
    assert "foot 7.185" in all_text(root)  # 182.5 mm / 25.4 (definition of the inch)


def test_notes_keep_no_more_figures_than_the_spread_leaves() -> None:
    # a hundredth of the range's width or so; a spread of 0.12 mm is told as 0.1 mm (both: common practice, no source)
    unknown = Known(0.0, 0.0, False, low=-0.142095, high=0.137905)
    assert sentence(unknown).endswith("(drawn at the middle of -142 mm to 138 mm)")
    narrow = Known(0.0, 0.0, False, low=0.0021234, high=0.0045678)
    assert sentence(narrow).endswith("of 2.1 mm to 4.6 mm)")
    assert sentence(Known(0.184195, 0.00006, True, "drawing")) == "184.2 mm ±0.1 mm, drawing"
    assert sentence(Known(0.002, 0.0, True)) == "2 mm"


def test_values_are_those_of_the_rules() -> None:
    made = build()
    thick = ask(made, lambda gasket: gasket, pan_gasket.installed_thickness)
    assert thick is not None
    assert thick.value == pytest.approx(1.6 * MM)  # a molded gasket is clamped to its stop, as the rules derive it
    assert thick.sure
    assert ask(build("crank"), lambda stroke: stroke, crank.stroke) is None
    empty = ask(build("pan_gasket"), lambda gasket: gasket, optional(pan_gasket.installed_thickness, absent=0.0))
    assert empty is not None
    assert empty.value == 0.0
    guess = ask(build(pan={"sump_depth": None, "floor": None}), lambda depth: depth, pan.sump_depth)
    assert guess is not None
    assert (guess.value, guess.low, guess.high, guess.sure) == (
        pytest.approx(0.18),  # middle of 40 to 320 mm, declared in kb/records/oil.py
        pytest.approx(0.04),
        pytest.approx(0.32),
        False,
    )
