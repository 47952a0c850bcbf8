"""The car around the engine: the sample fits, each clash is found, and the shaft's figures agree with outside ones."""

from __future__ import annotations

import math

import pytest

from kb.chance import FITS, NOT, OPEN
from kb.explain import tell
from kb.rules import load_rules, rule_named
from tests.rules.sample_parts import asked, build

GOOD = {"engine_bay": "bench-drover-bay", "propshaft": "bench-drover-shaft"}
OLD = {"engine_bay": "drover-bay-old-mounts"}
# Not asked of a light V engine: the bay that they fit in.
PASSES = {
    "fan-room-four": {"engine_bay": "drover-bay-four"},
    "fan-room-small-v8": {"engine_bay": "club-bay-small-v8"},
    "fan-room-big-v8": {"engine_bay": "club-bay-big-v8"},
}
FAILS = {
    "fan-room-four": {"engine_bay": "drover-bay-four-tight"},
    "fan-room-light-v": OLD,
    "fan-room-small-v8": {"engine_bay": "club-bay-small-v8-tight"},
    "fan-room-big-v8": {"engine_bay": "club-bay-big-v8-tight"},
    "hood-room": OLD,
    "side-room": OLD,
    "steering-room": OLD,
    "line-room": OLD,
    "mount-rubber": OLD,
    "mount-sag": OLD,
    "yoke-room": {"propshaft": "penrose-drover-shaft"},
    "yoke-ride-height": {"propshaft": "penrose-drover-shaft"},
    "yoke-engagement": {"propshaft": "club-lifted-shaft"},
    "joint-fluctuation": {"propshaft": "club-lifted-shaft"},
    "front-joint-angle": {"propshaft": "club-lifted-shaft"},
    "rear-joint-angle": {"propshaft": "club-lowered-shaft"},
    "yokes-in-line": {"propshaft": "club-lifted-shaft"},
}
DEGREE = math.pi / 180


def test_the_table_names_every_rule_of_the_folder() -> None:
    assert set(FAILS) == {id for id, each in load_rules().items() if each.subsystem == "chassis"}


@pytest.mark.parametrize("id", FAILS)
def test_the_good_build_fits(id: str) -> None:
    found = asked(rule_named(id), build("drover-good", {**GOOD, **PASSES.get(id, {})}))
    assert [each.verdict for each in found] == [FITS], [tell(each).headline for each in found]


@pytest.mark.parametrize("id", FAILS)
def test_the_swap_does_not(id: str) -> None:
    found = asked(rule_named(id), build("drover-good", {**GOOD, **FAILS[id]}))
    assert [each.verdict for each in found] == [NOT], [tell(each).headline for each in found]


def test_a_fan_is_asked_for_by_the_size_of_the_engine() -> None:
    fans = [id for id in FAILS if id.startswith("fan-room") and asked(rule_named(id), build("drover-good", GOOD))]
    assert fans == ["fan-room-light-v"]


@pytest.mark.parametrize(
    ("id", "swap", "named"),
    [
        ("fan-room-light-v", {"engine_bay": "drover-bay-photographs"}, "engine_bay.fan_gap"),
        ("steering-room", {"engine_bay": "drover-bay-photographs"}, "engine_bay.steering_gap"),
        ("mount-rubber", {"engine_bay": "drover-bay-photographs"}, "engine_bay.mount_rubber"),
        ("yoke-room", {"propshaft": "yard-shaft"}, "propshaft.bump_travel"),
        ("joint-fluctuation", {"propshaft": "yard-shaft"}, "propshaft.front_angle"),
    ],
)
def test_what_is_not_recorded_is_named(id: str, swap: dict[str, str], named: str) -> None:
    (found,) = asked(rule_named(id), build("drover-good", {**GOOD, **swap}))
    assert found.verdict == OPEN
    assert named in [driver.leaf.name for driver in found.drivers]


@pytest.mark.parametrize("id", ["front-joint-angle", "rear-joint-angle"])
@pytest.mark.parametrize(("degrees", "soft"), [(0.2, True), (1.0, False), (3.0, False), (7.0, True)])
def test_a_band_from_memory_never_condemns(id: str, degrees: float, soft: bool) -> None:
    rule = rule_named(id)
    # 1 to 3 degrees: the trade page's band, itself from memory.
    broken = [
        limit
        for limit in rule.limits
        if (degrees * DEGREE < limit.bound - 1e-9 if limit.side == "least" else degrees * DEGREE > limit.bound + 1e-9)
    ]
    assert bool(broken) is soft
    assert not any(limit.may_condemn for limit in broken)


@pytest.mark.parametrize(("front", "rear"), [(2.0, 2.0), (4.0, 1.0), (1.0, 4.0), (16.423, 0.0), (5.0, 12.0)])
def test_unevenness_against_the_turning_of_two_joints(front: float, rear: float) -> None:
    """The speed of a cross joint over one turn, d(out)/d(in) = cos b / (1 - sin^2 b cos^2 t), step by step.

    Source of the formula: Shigley and others; the rule has only its two ends, 1/cos b and cos b.
    """

    def spread(degrees: float) -> float:
        b = degrees * DEGREE
        steps = [math.cos(b) / (1 - (math.sin(b) * math.cos(t * DEGREE)) ** 2) for t in range(181)]
        return max(steps) - min(steps)

    found = rule_named("joint-fluctuation")(front * DEGREE, rear * DEGREE)
    assert found == pytest.approx(spread(front) - spread(rear), abs=1e-12)


def test_joints_a_degree_apart_are_let_pass_and_ten_are_not() -> None:
    rule = rule_named("joint-fluctuation")
    # Hand sums: 1/cos 3 - cos 3 = 0.002744, less that of 2 degrees, 0.001219; the one of 10 degrees alone is 0.0306.
    assert rule(3 * DEGREE, 2 * DEGREE) == pytest.approx(0.002744 - 0.001219, abs=2e-6)
    assert rule(10 * DEGREE, 0.0) == pytest.approx(0.0306, abs=1e-4)


def test_yoke_between_bump_and_droop() -> None:
    # Hand sums from the sample: 29 - 11 of room, 102 - 29 - 18 of spline.
    (room,) = asked(rule_named("yoke-room"), build("drover-good", GOOD))
    (spline,) = asked(rule_named("yoke-engagement"), build("drover-good", GOOD))
    assert room.quantity == pytest.approx(18e-3)
    assert spline.quantity == pytest.approx(55e-3)


def test_what_can_kill_is_said() -> None:
    for id in FAILS:
        caution = rule_named(id).caution
        if id.startswith("fan-room"):
            assert "never stand in its plane" in caution
        elif id.startswith(("yoke", "front", "rear", "joint", "steering", "line")):
            assert "stands" in caution, id
