"""The rules of trigger and spark on the sample: a set that fits, the swap that each rule says no to, their sums."""

from __future__ import annotations

import math
from typing import Any

import pytest

from kb.chance import FITS, NOT, OPEN
from kb.explain import tell
from kb.rules import load_rules, rule_named
from kb.rules.ignition._order import Lead, due, leads, order, pattern_of, wrong
from kb.rules.trigger._teeth import Setting, compare, reading, told
from kb.standards.patterns import parse_pattern, spelt_out
from tests.rules.sample_parts import asked, build, part

GOOD = {
    "cam_wheel": "calder-38-cam-vane",
    "sensor_loom": "quayside-sensor-loom",
    "coil": "tern-pack",
    "coil_feed": "bench-coil-feed",
    "coil_wiring": "bench-coil-leads",
    "distributor": "calder-38-stub",
    "spark_plug": "tern-plug",
    "cylinder_head": "calder-38-head",
    "battery_circuit": "bench-rear-battery",
}
POWERED = {"crank_sensor": "tern-hall-38"}
ROTOR = {"distributor": "calder-33-distributor"}
# What a build with a coil sensor and coil packs does not ask.
WITH = {"sensor-supply": POWERED, "sensor-pull-up": POWERED, "rotor-phase": ROTOR, "rotor-height": ROTOR}
LACED = {"sensor_loom": "bench-laced-loom"}
OLD_FEED = {"coil_feed": "drover-old-feed"}
RACE_PLUG = {"spark_plug": "hob-lane-long-plug"}
TAPER_PLUG = {"spark_plug": "tern-taper-plug"}
FAILS = {
    "wheel-teeth": {"trigger_wheel": "tern-36-2-2-2"},
    "wheel-index": {"trigger_wheel": "bench-38-wheel-clocked"},
    "cam-wheel": {"cam_wheel": "tern-three-vane"},
    "sensor-supply": {"crank_sensor": "tern-hall-bare"},
    "sensor-pull-up": {**POWERED, "controller": "tern-coils-only"},
    "sensor-polarity": LACED,
    "sensor-screen": LACED,
    "sensor-signal": {"controller": "hob-lane-spark"},
    "trigger-noise": LACED,
    "coil-driver": {"coil": "tern-stick-coil"},
    "coil-current": {"coil": "hob-lane-heavy-coil"},
    "coil-channels": {"controller": "tern-two"},
    "coil-mode": {"controller": "tern-two"},
    "coil-dwell-running": {"coil": "hob-lane-heavy-coil"},
    "coil-dwell-cranking": {"controller": "tern-coils-only"},
    "coil-feed-running": OLD_FEED,
    "coil-feed-cranking": OLD_FEED,
    "module-feed": OLD_FEED,
    "rotor-phase": {"distributor": "aldine-33-distributor"},
    "rotor-height": {"distributor": "aldine-33-distributor"},
    "plug-reach": RACE_PLUG,
    "plug-seat": TAPER_PLUG,
    "plug-thread": TAPER_PLUG,
    "plug-piston": RACE_PLUG,
    "firing-order": {"coil_wiring": "bench-leads-by-number"},
}
MINE = [rule for rule in load_rules().values() if rule.subsystem in ("trigger", "ignition")]


@pytest.mark.parametrize("rule", MINE, ids=lambda rule: rule.id)
def test_the_good_build_fits(rule: Any) -> None:
    findings = asked(rule, build("drover-good", {**GOOD, **WITH.get(rule.id, {})}))
    assert [finding.verdict for finding in findings] == [FITS]


@pytest.mark.parametrize("rule", [rule for rule in MINE if rule.subsystem == "trigger"], ids=lambda rule: rule.id)
def test_the_early_engine_fits(rule: Any) -> None:
    assert all(finding.verdict == FITS for finding in asked(rule, build("farm-33", ROTOR)))


@pytest.mark.parametrize("name", FAILS)
def test_the_swap_does_not_fit(name: str) -> None:
    (finding,) = asked(rule_named(name), build("drover-good", {**GOOD, **FAILS[name]}))
    assert finding.verdict == NOT


def test_every_new_rule_has_its_swap() -> None:
    old = {"sensor-gap-least", "sensor-gap-most", "sensor-input", "sensor-target", "tooth-rate", "wheel-pattern"}
    assert {rule.id for rule in MINE} - old - {"cam-source"} == set(FAILS)


def test_sequential_without_a_cam_wheel_does_not_fit() -> None:
    (finding,) = asked(rule_named("cam-source"), build("farm-33", {"controller": "tern-two"}))
    assert finding.verdict == NOT


@pytest.mark.parametrize(
    ("rule", "swap"),
    [
        ("coil-dwell-running", {"coil": "yard-coil"}),
        ("coil-feed-running", {"coil_feed": "yard-feed"}),
        ("plug-reach", {"cylinder_head": "yard-head"}),
        ("firing-order", {"coil_wiring": "yard-leads"}),
        ("sensor-screen", {"sensor_loom": "yard-loom"}),
        ("cam-wheel", {"cam_wheel": "yard-cam-wheel"}),
        ("rotor-phase", {"distributor": "yard-distributor"}),
        ("plug-seat", {"spark_plug": "yard-plug"}),
    ],
)
def test_what_nobody_recorded_cannot_be_told(rule: str, swap: dict[str, str]) -> None:
    (finding,) = asked(rule_named(rule), build("drover-good", {**GOOD, **swap}))
    assert (finding.verdict, finding.because) == (OPEN, "missing")
    (role,) = swap
    assert all(driver.leaf.role == role for driver in finding.drivers)


# -- order of the teeth ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("counted", "expected", "sort"),
    [
        ("60-2", "60-2", "same"),
        ("36-2@0-2@16-2@19", "36-2@5-2@21-2@24", "clocked"),  # definition: every gap five positions on
        ("36-2@0-2@16-2@19", "36-2@0-2@16-2@33", "mirrored"),  # definition: steps 16, 3, 17 against 16, 17, 3
        ("36-2@0-2@16-2@19", "36-2@0-2@12-2@24", "different"),  # definition: 30 teeth each, other gaps
        ("24", "24-1", "different"),  # pat-13 of the check values: both are called 24
        ("11,49,60,60,60,60,60", "10,50,60,60,60,60,60", "different"),  # definition: a degree off is another wheel
        ("10.4,49.6,60,60,60,60,60", "10,50,60,60,60,60,60", "same"),  # read off a card, true to half a degree
        ("50,10,60,60,60,60,60", "10,50,60,60,60,60,60", "mirrored"),  # pat-08's wheel, back to front
        ("odd-one", "odd-one", "same"),  # a name that is no pattern compares as a name
        ("odd-one", "24", "different"),
    ],
)
def test_wheels_are_compared_by_their_teeth(counted: str, expected: str, sort: str) -> None:
    assert compare(counted, expected).sort == sort


def test_a_clocked_wheel_is_read_and_its_angle_told() -> None:
    # Definition: five positions of 36 are 50 degrees.
    known = [Setting("36-2@5-2@21-2@24", id="uneven")]
    assert len(reading("36-2@0-2@16-2@19", "crank", known)) == 1
    assert told("36-2@0-2@16-2@19", "crank", known) == [
        "read as uneven, clocked by 50 deg: the angle is another question"
    ]


def test_near_misses_are_named() -> None:
    known = [Setting("36-2@0-2@16-2@19", id="uneven"), Setting("36-1"), Setting("12-1", shaft="cam")]
    assert told("36-2@0-2@12-2@24", "crank", known) == [
        "uneven has as many teeth (30), with other gaps between them",
        "36-1 has the same pitch, with 35 teeth where 30 were counted",
    ]
    assert told("36-2@0-2@16-2@33", "crank", known)[0] == "uneven is this wheel back to front: turn it over"
    assert told("12-1", "crank", known) == ["12-1 is this wheel on the cam, and it turns with the crank"]
    assert told("7", "crank", known) == ["none of its settings comes near this wheel"]


def test_only_names_that_leave_nothing_open_stand_for_teeth() -> None:
    assert spelt_out("60-2") == "60-2"
    assert spelt_out("36-2@0-2@16-2@19") == "36-2@0-2@16-2@19"
    assert not parse_pattern("36-2-2-2").placed
    for code in ("36-2-2-2", "early"):
        with pytest.raises(ValueError, match=code):
            spelt_out(code)


def test_a_name_that_does_not_say_where_its_gaps_lie_cannot_be_told() -> None:
    wheel = part("trigger_wheel", "tern-36-2-2-2")
    bare = wheel._replace(facts={name: value for name, value in wheel.facts.items() if name != "teeth"})
    whole = build("drover-good", GOOD)
    (finding,) = asked(rule_named("wheel-teeth"), whole._replace(parts={**whole.parts, "trigger_wheel": bare}))
    assert finding.verdict == OPEN
    assert [driver.leaf.name for driver in finding.drivers] == ["trigger_wheel.teeth"]


def test_angles_go_round_the_turn() -> None:
    rule = rule_named("wheel-index")
    # Definition: 350 - 0 - 10 = 340 is 20 degrees early; nine teeth of 60 are 54 degrees (trade magazine).
    for tooth, sensor, lead, late in ((350, 0, 10, -20), (5, 355, 10, 0), (174 + 54, 90, 84, 54), (0, 180, 0, 180)):
        early, past = rule(math.radians(tooth), math.radians(sensor), math.radians(lead), 0.0)
        assert abs(math.degrees(past[1])) == pytest.approx(abs(late), abs=1e-9)
        assert early[1] == pytest.approx(-past[1])


# -- firing order ------------------------------------------------------------------------------------------------------


def test_outputs_that_are_due() -> None:
    # Definition, six in a V fired 1-6-5-4-3-2: pairs are half the order apart.
    assert due(order(1, 6, 5, 4, 3, 2), "wasted") == {1: 1, 6: 2, 5: 3, 4: 1, 3: 2, 2: 3}
    assert due(order(1, 3, 4, 2), "sequential") == {1: 1, 3: 2, 4: 3, 2: 4}
    assert due(order(1, 3, 4, 2), "distributor") == dict.fromkeys((1, 2, 3, 4), 1)
    assert due([], "wasted") == {}


def test_faults_of_the_leads_are_named() -> None:
    right = leads(1, 3, 4, 2)
    assert wrong(order(1, 3, 4, 2), right, "sequential") == []
    assert wrong(order(1, 3, 4, 2), right[:-1], "sequential") == ["cylinder 2 has no lead: it belongs on output 4"]
    assert wrong(order(1, 3, 4, 2), [*right, Lead(1, 2)], "sequential") == ["cylinder 2 has leads of outputs 1 and 4"]
    assert wrong(order(1, 3, 4, 2), [*right, Lead(1, 7)], "sequential") == [
        "a lead goes to cylinder 7, which this block does not have"
    ]


def test_one_cause_is_named_once() -> None:
    firing = order(1, 6, 5, 4, 3, 2)
    late = [Lead(lead.output % 6 + 1, lead.cylinder) for lead in leads(1, 6, 5, 4, 3, 2)]
    assert pattern_of(firing, late, "sequential").startswith("every lead is 1 outputs along")
    assert (
        pattern_of(firing, leads(1, 2, 3, 4, 5, 6), "sequential") == "the leads run through the firing order backwards"
    )
    assert pattern_of(firing, leads(1, 6, 5, 4, 2, 3), "sequential") == ""


def test_the_wiring_by_number_is_told_as_backwards() -> None:
    (finding,) = asked(rule_named("firing-order"), build("drover-good", {**GOOD, **FAILS["firing-order"]}))
    assert tell(finding).notes[0] == "the leads run through the firing order backwards"
    assert finding.quantity == 4  # definition: outputs 2 and 3 are crossed, two cylinders each
