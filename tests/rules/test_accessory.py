"""The accessory drive through the judge: the sample's good front end, what spoils it, and what the notes say."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest

from kb.build import Build
from kb.chance import FITS, NOT, OPEN, Settings
from kb.finding import Finding
from kb.judge import judge
from kb.measure import instruments
from kb.reading_files import read
from kb.records.models import check
from kb.records.part import Part, assemble
from kb.rules import rule_named
from kb.rules.accessory._drive import Drive, Wheel, in_order, ways

RECORDS = Path(__file__).parent.parent.parent / "sample_db" / "records"
GOOD = {
    "belt_layout": "calder-38-front", "belt": "calder-38-belt", "water_pump": "calder-38-water-pump",
    "fan": "hob-lane-twin-fan", "bracket": "calder-38-alternator-bracket", "duty": "duty-road",
}  # fmt: skip
SPOILED = {
    "pulley-plane-alignment": {"belt_layout": "bench-38-front-shifted"},
    "belt-profile-match": {"belt": "calder-33-belt"},
    "belt-length-in-tensioner-range": {"belt": "quayside-6x1740"},
    "belt-wrap-angle": {"belt_layout": "bench-38-front-raised-pump"},
    "belt-path-clear": {"belt_layout": "bench-38-front-big-pump"},
    "belt-grip": {"belt": "bench-38-glazed-belt"},
    "pulley-least-diameter": {"belt_layout": "hob-lane-38-small-alternator"},
    "pulley-ratio-speed": {"belt_layout": "hob-lane-38-small-alternator"},
    "pump-rotation-and-face": {"water_pump": "aldine-38-water-pump"},
    "accessory-rotation": {"belt_layout": "bench-38-front-van-steering"},
    "accessory-bracket-seats-flat": {"bracket": "bench-38-bracket-other-head"},
    "bracket-feet-flat": {"bracket": "bench-38-bracket-bent"},
    "pump-hub-height-match": {"water_pump": "hob-lane-short-pump"},
    "fan-direction-and-cover": {"fan": "bench-twin-fan-crossed"},
}
YARD = {
    "belt_layout": "yard-38-front", "belt": "yard-belt", "water_pump": "yard-38-water-pump", "fan": "yard-fan",
    "bracket": "yard-bracket",
}  # fmt: skip
KINDS = ("belt", "belt_layout", "water_pump", "fan", "bracket", "duty")


@pytest.fixture(scope="module")
def facts() -> dict[str, Any]:
    found = read([RECORDS / kind for kind in KINDS])
    assert found.faults == []
    return {one.id: one.facts for one in map(check, found.records)}


def part(facts: dict[str, Any], id: str) -> Part:
    chain = [facts[id]]
    while chain[0].get("based_on"):
        chain.insert(0, facts[chain[0]["based_on"]])
    return assemble(id, chain, instruments())


def ask(facts: dict[str, Any], rule: str, **roles: str) -> Finding:
    parts = {role: part(facts, id) for role, id in {**GOOD, **roles}.items()}
    return judge(rule_named(rule), Build("sample", "sample", parts), Settings())


@pytest.mark.parametrize("rule", SPOILED)
def test_the_good_front_end_fits(facts: dict[str, Any], rule: str) -> None:
    assert ask(facts, rule).verdict == FITS


@pytest.mark.parametrize("rule", SPOILED)
def test_each_rule_has_a_part_that_spoils_it(facts: dict[str, Any], rule: str) -> None:
    assert ask(facts, rule, **SPOILED[rule]).verdict == NOT


def test_what_is_not_recorded_is_asked_for(facts: dict[str, Any]) -> None:
    for rule in ("pulley-plane-alignment", "belt-path-clear", "accessory-bracket-seats-flat", "fan-direction-and-cover",
                 "pump-rotation-and-face"):  # fmt: skip
        finding = ask(facts, rule, **YARD)
        assert (finding.verdict, finding.because) == (OPEN, "missing"), rule
        assert finding.drivers, rule


# -- planes ------------------------------------------------------------------------------------------------------------


def test_the_shim_that_is_offered_cures_it(facts: dict[str, Any]) -> None:
    finding = ask(facts, "pulley-plane-alignment", belt_layout="bench-38-front-shifted")
    assert finding.station in ("crank to alternator", "alternator to water pump")
    notes = finding.question.detail()["notes"]
    assert len(notes) == 1
    assert "alternator back by 4.0 mm" in notes[0]  # 99 mm of bracket for 95
    assert "re-checked: the worst span is then 0.00 deg" in notes[0]


def test_a_pump_with_a_short_hub_moves_its_plane(facts: dict[str, Any]) -> None:
    finding = ask(facts, "pulley-plane-alignment", water_pump="hob-lane-short-pump")
    assert finding.verdict == NOT
    planes = {row["id"]: row["plane"] for row in finding.question.detail()["planes"]}
    assert planes["water pump"] - planes["crank"] == pytest.approx(-6.35e-3)  # a quarter of an inch
    assert "a spacer of 6.3 mm behind the pulley of water pump" in finding.question.detail()["notes"][0].replace(
        "6.4", "6.3"
    )


def test_two_pulleys_out_of_plane_are_both_named() -> None:
    from kb.rules.accessory._align import DRAWN, alignment_detail

    wheels = [Wheel("crank", drives="crank"), Wheel("alternator", 0.3, 0.0, plane=0.004, drives="alternator"),
              Wheel("steering", 0.15, 0.3, plane=-0.003)]  # fmt: skip
    notes = alignment_detail(Drive(wheels, [], 0.003, 1.0), DRAWN)["notes"]
    (note,) = notes
    assert "alternator back by 4.0 mm" in note
    assert "shims of 3.0 mm under all feet of steering" in note
    assert note.endswith("(re-checked: the worst span is then 0.00 deg askew)")


# -- length ------------------------------------------------------------------------------------------------------------


def test_the_lengths_that_suit(facts: dict[str, Any]) -> None:
    travel = ask(facts, "belt-length-in-tensioner-range").question.detail()["travel"]
    assert travel["suits"] == ["6x1654"]  # of 1612, 1654 and 1740 mm
    assert travel["wound"] < travel["least"] < travel["middle"] < travel["most"] < travel["free"]
    long = ask(facts, "belt-length-in-tensioner-range", belt="quayside-6x1740")
    short = ask(facts, "belt-length-in-tensioner-range", belt="quayside-6x1560")
    assert long.quantity is not None
    assert short.quantity is not None
    assert long.quantity < 0 < 1 < short.quantity
    assert short.verdict == NOT


def test_the_spread_of_the_arm_is_that_of_the_whole_computation(facts: dict[str, Any]) -> None:
    """The linear model (with its one-step tangent) against draws through the full solution."""
    import random

    finding = ask(facts, "belt-length-in-tensioner-range")
    question, rng = finding.question, random.Random(3)
    shares = []
    for _ in range(300):
        values = list(question.nominal)
        for index in question.spread:
            dimension = question.leaves[index].dimension
            assert dimension is not None
            values[index] += rng.gauss(0.0, dimension.u)
        shares.append(question.quantity(values)[0][1])
    mean = sum(shares) / len(shares)
    spread = math.sqrt(sum((share - mean) ** 2 for share in shares) / (len(shares) - 1))
    assert finding.u == pytest.approx(spread, rel=0.15)  # 300 draws know a spread to about 4 %
    assert finding.quantity == pytest.approx(mean, abs=0.01)


SWING = {"pivot_x": -0.18, "pivot_y": 0.12, "arm": 0.085, "free": 0.0, "wound": math.radians(-60)}


def front(**crank: Any) -> list[Wheel]:
    return [
        Wheel("crank", diameter=0.15, drives="crank", **{"turns": "clockwise", **crank}),
        Wheel("alternator", 0.175, 0.275, 0.056, drives="alternator", torque=6.0),
        Wheel("pump", 0.0, 0.158, 0.12, "back", drives="water_pump", torque=2.0),
        Wheel("steering", -0.225, 0.23, 0.13, drives="steering_pump", torque=12.0),
    ]


def tensioner(**more: Any) -> Wheel:
    return Wheel("tensioner", diameter=0.07, side="back", **{"after": "steering", **SWING, **more})


def test_a_tensioner_in_the_tight_side_is_told() -> None:
    from kb.rules.accessory._length import length_detail

    right, wrong = (
        length_detail(Drive(front(turns=way), [tensioner()], 0.0032, 1.654)) for way in ("clockwise", "anticlockwise")
    )
    assert not any("tight side" in note for note in right["notes"])
    assert any("tensioner stands in the tight side" in note for note in wrong["notes"])


def test_stops_that_are_swapped_are_not_computed_with() -> None:
    with pytest.raises(ValueError, match="check the two angles"):
        Drive(front(), [tensioner(free=SWING["wound"], wound=SWING["free"])], 0.0032, 1.654)


def test_a_tensioner_that_names_no_neighbour_is_not_computed_with() -> None:
    with pytest.raises(ValueError, match="no pulley is called 'stering'"):
        Drive(front(), [tensioner(after="stering")], 0.0032, 1.654)


def test_a_belt_that_crosses_itself_is_not_computed_with() -> None:
    corners = [Wheel("crank", drives="crank"), Wheel("a", 0.3, 0.3), Wheel("b", 0.3, 0.0), Wheel("c", 0.0, 0.3)]
    with pytest.raises(ValueError, match="crosses itself"):
        Drive(corners, [], 0.003, 1.0)


def test_an_arm_that_does_not_reach_the_belt_takes_up_nothing() -> None:
    """Wound far back the idler leaves the belt, whose way is then that without it (from the definition)."""
    drive = Drive(front(), [tensioner(wound=math.radians(-150))], 0.0032, 1.654)
    assert drive.route_at(1.0).wraps[4] < 0
    assert drive.length_at(1.0) == pytest.approx(Drive(front(), [], 0.0032, 1.654).length_at(0.0), rel=1e-12)


def test_the_way_in_which_it_is_listed_does_not_matter() -> None:
    pulleys, arm = front(), tensioner()
    forth = Drive(pulleys, [arm], 0.0032, 1.654)
    back = Drive([pulleys[0], *pulleys[:0:-1]], [tensioner(after="crank")], 0.0032, 1.654)
    assert back.share == pytest.approx(forth.share, abs=1e-9)
    there = dict(zip((each.id for each in back.entries), back.route.wraps, strict=True))
    for each, wrap in zip(forth.entries, forth.route.wraps, strict=True):
        assert there[each.id] == pytest.approx(wrap, abs=1e-9)
    assert back.travels_along() != forth.travels_along()


# -- directions and pulls ----------------------------------------------------------------------------------------------


def test_ways_follow_the_sides_of_the_belt() -> None:
    entries = in_order(front(), [tensioner()])
    assert ways(entries) == ["clockwise", "clockwise", "anticlockwise", "clockwise", "anticlockwise"]
    assert ways(in_order(front(turns="anticlockwise"), []))[2] == "clockwise"
    with pytest.raises(ValueError, match="which way the crank turns"):
        ways(in_order(front(turns="either"), []))
    with pytest.raises(ValueError, match="crank"):
        ways(in_order(front()[1:], []))


def test_a_mechanical_fan_follows_the_belt(facts: dict[str, Any]) -> None:
    """The 33's fan on a pump that the belt's back turns the other way: it blows forward."""
    finding = ask(facts, "fan-direction-and-cover", fan="calder-33-fan")
    assert finding.verdict == NOT
    assert finding.quantity == 0.0
    assert [name for name, _ in finding.question.derived] == ["fan.turns"]
    right = ask(facts, "fan-direction-and-cover", fan="calder-33-fan", belt_layout="calder-33-front")
    assert right.verdict == FITS
    assert right.quantity == pytest.approx(0.56 * 0.41 / (0.61 * 0.43))  # hand sum


def test_a_small_bare_fan_covers_too_little(facts: dict[str, Any]) -> None:
    finding = ask(facts, "fan-direction-and-cover", fan="aldine-bare-fan")
    assert finding.verdict == NOT
    assert finding.quantity == pytest.approx(math.pi / 4 * 0.305**2 / (0.61 * 0.43))  # circle over rectangle


def test_pulls_add_up_round_the_belt() -> None:
    from kb.rules.accessory._grip import SLACK, shares, tensions

    drive = Drive(front(), [tensioner()], 0.0032, 1.654)
    runs = tensions(drive, "pk", 350.0)
    # Slack from the crank (clockwise, so against the list) over the sprung idler; radii of the cords: 30, 61.2, 67 mm.
    assert runs[3] == pytest.approx(350.0)
    assert runs[4] == pytest.approx(350.0)
    assert runs[2] == pytest.approx(350.0 + 12 / 0.067)  # statics
    assert runs[1] == pytest.approx(runs[2] + 2 / 0.0612)
    assert runs[0] == pytest.approx(runs[1] + 6 / 0.030)
    grip = dict(shares(drive, "pk", 0.3, 350.0))
    held = 0.3 * drive.route.wraps[0] / math.sin(math.radians(20))
    assert grip["crank"] == pytest.approx(math.log(runs[0] / 350.0) / held)  # Euler-Eytelwein
    # The same tensioner with the crank turning the other way stands in the tight side: the slack run has no pull left.
    wrong = Drive(front(turns="anticlockwise"), [tensioner()], 0.0032, 1.654)
    assert min(tensions(wrong, "pk", 350.0)) < 0
    assert dict(shares(wrong, "pk", 0.3, 350.0))["crank"] == SLACK


@pytest.mark.parametrize(("crank", "driven"), [(0.166, 0.056), (0.120, 0.080)])
def test_ratios_are_those_of_the_cords(crank: float, driven: float) -> None:
    wheels = [Wheel("crank", diameter=crank, drives="crank"), Wheel("alternator", diameter=driven, speed_most=300.0)]
    found = dict(rule_named("pulley-ratio-speed")(wheels, [], "pk", 0.0032, 12.5, 100.0))
    # ISO 9981, clause 5.4: effective diameter + 4 mm
    assert found["alternator at the rev limit"] == pytest.approx(100 * (crank + 0.004) / (driven + 0.004) / 300)
