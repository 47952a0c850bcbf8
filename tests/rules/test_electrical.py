"""The electrical rules on the sample: a set that fits, the swap that each rule says no to, and what they compute."""

from __future__ import annotations

from typing import Any

import pytest

from kb.chance import FITS, NOT, OPEN
from kb.explain import tell
from kb.rules import load_rules, rule_named
from kb.rules.electrical._cable import TIERS, Joint, size_notes, tier, whole
from kb.rules.electrical._ground import Strap, cut_off, network, thickest_way, way_back, with_return
from kb.standards.wire import SIZES, effective_area, voltage_drop
from tests.rules.sample_parts import asked, build

GOOD = {
    "battery": "hob-lane-sealed-battery",
    "battery_circuit": "bench-rear-battery",
    "feed_cable": "quayside-feed-cable",
    "return_cable": "quayside-return-cable",
    "charge_cable": "quayside-charge-cable",
    "grounds": "bench-grounds",
    "alternator": "calder-38-alternator",
    "car_loom": "drover-loom",
    "gauge": "drover-oil-gauge",
    "sender": "hob-lane-oil-sender",
}
THIN = {"feed_cable": "yard-thin-cable"}
NO_STRAP = {"grounds": "drover-old-grounds"}
FIRST_TRY = {"battery_circuit": "bench-rear-first-try"}
OLD_BATTERY = {"battery": "drover-old-battery"}
FAILS = {
    "starter-cable-drop": THIN,
    "starter-feed-drop": THIN,
    "starter-joints": THIN,
    "starter-loop-drop": {"return_cable": "yard-thin-body-cable"},
    "ground-return": NO_STRAP,
    "harness-ground": NO_STRAP,
    "ground-size": {"return_cable": "yard-thin-cable"},
    "ground-return-drop": {"return_cable": "yard-thin-body-cable"},
    "battery-capacity": OLD_BATTERY,
    "battery-capacity-at-starter": OLD_BATTERY,
    "battery-under-load": OLD_BATTERY,
    "battery-vent": OLD_BATTERY,
    "battery-cable-guard": FIRST_TRY,
    "battery-cable-grommets": FIRST_TRY,
    "battery-cable-clips": FIRST_TRY,
    "battery-switch": FIRST_TRY,
    "battery-hold-down": FIRST_TRY,
    "battery-guard-distance": {"battery_circuit": "bench-rear-far-fuse"},
    "charge-cable-drop": {"charge_cable": "drover-old-charge-wire"},
    "alternator-control": {"alternator": "brightwater-run-alternator"},
    "gauge-sender-sort": {"sender": "calder-38-heat-sender"},
    "gauge-sender": {"sender": "calder-38-sender"},
    "gauge-sender-range": {"sender": "calder-38-sender"},
}
# Their limits are from memory only.
SOFT = {"battery-guard-distance"}
MINE = [rule for rule in load_rules().values() if rule.subsystem == "electrical"]
ROOM = 293.15


@pytest.mark.parametrize("rule", MINE, ids=lambda rule: rule.id)
def test_the_good_build_fits(rule: Any) -> None:
    assert [finding.verdict for finding in asked(rule, build("drover-good", GOOD))] == [FITS]


@pytest.mark.parametrize("rule", MINE, ids=lambda rule: rule.id)
def test_the_swap_does_not_fit(rule: Any) -> None:
    (finding,) = asked(rule, build("drover-good", {**GOOD, **FAILS[rule.id]}))
    if rule.id in SOFT:
        assert (finding.verdict, finding.because) == (OPEN, "outside_usual")
    else:
        assert finding.verdict == NOT


@pytest.mark.parametrize(
    ("rule", "swap"),
    [
        ("starter-cable-drop", {"feed_cable": "yard-unmarked-cable"}),
        ("battery-under-load", {"battery": "yard-battery"}),
        ("ground-return", {"grounds": "yard-grounds"}),
        ("alternator-control", {"car_loom": "yard-car-loom"}),
        ("alternator-control", {"alternator": "yard-alternator"}),
        ("gauge-sender", {"gauge": "yard-gauge"}),
        ("gauge-sender-sort", {"sender": "yard-sender"}),
    ],
)
def test_what_nobody_recorded_cannot_be_told(rule: str, swap: dict[str, str]) -> None:
    (finding,) = asked(rule_named(rule), build("drover-good", {**GOOD, **swap}))
    assert (finding.verdict, finding.because) == (OPEN, "missing")
    (role,) = swap
    assert all(driver.leaf.role == role for driver in finding.drivers)


def test_a_lamp_wire_that_was_cut_is_named() -> None:
    (finding,) = asked(rule_named("alternator-control"), build("drover-good", {**GOOD, "car_loom": "drover-cut-loom"}))
    assert finding.verdict == NOT
    assert "no charge lamp" in tell(finding).reason + " ".join(tell(finding).notes)


def test_a_drop_that_only_one_manual_tolerates_is_left_to_the_builder() -> None:
    """Between half a volt and 0.8 the sources differ: nothing is condemned, and the tier is named."""
    good = build("drover-good", GOOD)
    feed = good.parts["feed_cable"]
    smaller = feed._replace(facts={**feed.facts, "size": "2 AWG"})
    (finding,) = asked(rule_named("starter-cable-drop"), good._replace(parts={**good.parts, "feed_cable": smaller}))
    assert finding.quantity is not None
    assert 0.5 < finding.quantity < 0.8
    assert (finding.verdict, finding.because) == (OPEN, "outside_usual")
    assert ": tolerated (" in tell(finding).notes[0]
    assert tell(finding).notes[1].startswith("for 0.5 V over 6.2 m of conductor at 180 A: 2/0 AWG or 70 mm2")


def test_tiers_are_kept_by_name() -> None:
    # Trade rules 68: 0.2 V a side, 0.5 V in all, 0.5 + 0.3 V, each from another source.
    assert [most for most, _ in TIERS] == [0.4, 0.5, 0.8]
    assert tier(0.4).startswith("low")
    assert tier(0.5).startswith("normal")
    assert tier(0.8).startswith("tolerated")
    assert tier(0.9).startswith("more")


def test_the_feed_limit_is_that_of_the_manual() -> None:
    # ele-01 of the check values: 0.5 V from battery + to starter stud, a service manual's limit.
    (limit,) = rule_named("starter-feed-drop").limits
    assert limit.bound == pytest.approx(0.5, abs=1e-6)
    assert limit.source.sort == "service"


@pytest.mark.parametrize(("current", "length", "joints"), [(200, 6.0, 0.0005), (250, 3.2, 0.0), (120, 9.0, 0.001)])
def test_the_size_offered_holds_the_drop_and_the_next_thinner_does_not(
    current: float, length: float, joints: float
) -> None:
    (words,) = size_notes(current, length, ROOM, joints, 0.5)
    offered = [name for name in SIZES if f" {name} or" in words]
    assert len(offered) == 2
    for name in offered:
        assert voltage_drop(current, length, SIZES[name].area, ROOM) + current * joints <= 0.5 + 1e-9
        thinner = [each for each in SIZES.values() if each.name[-3:] == name[-3:] and each.area < SIZES[name].area]
        best = max(thinner, key=lambda each: each.area)
        assert voltage_drop(current, length, best.area, ROOM) + current * joints > 0.5


def test_joints_that_no_cable_mends() -> None:
    # ele-04 of the check values: 0.01 ohm at 200 A lose 2 V.
    (words,) = size_notes(200, 5.0, ROOM, 0.01, 0.5)
    assert words.startswith("the joints alone lose 2 V")
    (words,) = size_notes(200, 400.0, ROOM, 0.0, 0.5)
    assert "bring the battery nearer" in words


def test_a_cable_is_its_copper_and_its_joints() -> None:
    # awg-04 of the check values: 4 AWG has 0.815 ohm/km at 20 degC, here with 2 % for the lay; joints add.
    ohms = whole(1000.0, effective_area("4 AWG"), ROOM, [Joint(0.001), Joint(0.002)])
    assert ohms == pytest.approx(0.815171 * 1.02 + 0.003, rel=1e-3)


# -- grounds -----------------------------------------------------------------------------------------------------------


def test_places_without_a_way_back() -> None:
    chain = [Strap("engine", "gearbox"), Strap("gearbox", "frame"), Strap("harness", "engine")]
    assert cut_off(chain, "frame") == ["body"]
    assert cut_off(chain, "body") == ["engine", "harness", "gearbox", "frame"]
    assert cut_off([*chain, Strap("frame", "body")], "body") == []
    assert cut_off([], "engine") == ["body", "harness"]


def test_straps_side_by_side_and_end_to_end() -> None:
    # Ohm's law: two ways of 2 milliohm each side by side, then 1 milliohm.
    links = [
        Strap("engine", "body", "sheet_metal", 0.0, 0.002, "left"),
        Strap("engine", "body", "sheet_metal", 0.0, 0.002),
    ]
    found = way_back(with_return(network(links, ROOM), "body", 0.001, 50e-6))
    assert found == pytest.approx(0.002)


def test_a_strap_is_copper_and_joints_at_its_temperature() -> None:
    (link,) = network([Strap("engine", "body", "2 AWG", 1.0, 0.0005)], ROOM + 60)
    # IEC 60028 at 80 degC: 1 + 0.00393 x 60; ASTM B258: 33.63 mm2; 2 % for the lay.
    assert link.resistance == pytest.approx(1.02 * 1.2358 / 58 / 33.631 + 0.0005, rel=1e-4)


def test_the_thickest_way_is_found_round_a_thin_strap() -> None:
    links = [Strap("engine", "body", "10 AWG", id="thin"), Strap("engine", "frame", "2 AWG", id="one"),
             Strap("frame", "body", "sheet_metal", id="two")]  # fmt: skip
    path = thickest_way(with_return(network(links, ROOM), "body", 0.0, effective_area("1/0 AWG")))
    assert [link.name for link in path] == ["one", "two", "return cable"]


def test_no_way_back_loses_everything() -> None:
    no_way = {**GOOD, **NO_STRAP, "return_cable": "quayside-body-cable"}
    (finding,) = asked(rule_named("ground-return-drop"), build("drover-good", no_way))
    assert (finding.verdict, finding.quantity) == (NOT, 12.0)  # a convention of the rule: all that a loaded battery has
    (finding,) = asked(rule_named("ground-return"), build("drover-good", no_way))
    assert tell(finding).notes == ("engine has no way back to the battery",)
