"""Crank train and bellhousing: the sample fits, each clash is found, sums over a stack agree with hand derivations."""

from __future__ import annotations

import math
from typing import Any

import pytest

from kb.build import Build
from kb.chance import FITS, NOT, OPEN
from kb.explain import tell
from kb.judge import judge
from kb.records.models import part_of
from kb.rules import load_rules, rule_named
from kb.units import parse
from tests.rules.sample_parts import SETTINGS, asked, build, filled

BOTH = {
    "plate_stack": "calder-38-dust-plate",
    "starter": "calder-38-starter",
    "nose_stack": "calder-38-snout",
    "timing_pointer": "calder-38-tab",
    "crank_float": "bench-38-float",
}
GOOD = {
    **BOTH,
    "drive_plate": "calder-38-flexplate",
    "flywheel_bolts": "calder-38-flexplate-bolts",
    "converter_bolts": "calder-38-converter-bolts",
    "bellhousing": "calder-38-automatic-bell",
    "transmission": "calder-automatic",
    "converter": "calder-38-converter",
    "pilot": "bare-bore",
}
MANUAL = {
    **BOTH,
    "drive_plate": "calder-38-flywheel",
    "flywheel_bolts": "calder-38-flywheel-bolts",
    "bellhousing": "calder-38-manual-bell",
    "transmission": "calder-manual",
    "pilot": "calder-38-pilot-bearing",
    "clutch": "calder-38-clutch",
    "release_bearing": "calder-38-release-bearing",
    "block": "bench-38-yard",
    "crank": "bench-38-crank",
    "damper": "bench-38-damper",
    "duty": "duty-road",
}
EARLY_PLATE = {"drive_plate": "calder-33-flexplate"}
EARLY_CONVERTER = {"converter": "calder-33-converter"}
MID_PLATE = {"plate_stack": "brightwater-mid-plate"}
SPACER = {"crank_spacer": "brightwater-10-spacer"}
WEIGHTED = {"damper": "bench-33-damper"}
OLD_BOLT = {"damper": "bench-38-damper-old-bolt"}
SHIMMED = {"starter": "bench-38-starter-shimmed"}
TALL = {"flywheel_bolts": "hob-lane-race-bolts"}
BARE_SNOUT = {"nose_stack": "bench-38-snout-no-spacer"}
FAILS = {
    "balance-pair-match": WEIGHTED,
    "balance-force": WEIGHTED,
    "crank-flange-pattern": EARLY_PLATE,
    "crank-flange-circle": EARLY_PLATE,
    "crank-flange-register": EARLY_PLATE,
    "flywheel-bolt-thread": {"flywheel_bolts": "calder-33-flexplate-bolts"},
    "flywheel-bolt-engagement": TALL,
    "flywheel-bolt-tip": {"flywheel_bolts": "calder-38-flywheel-bolts"},
    "flywheel-bolt-head": TALL,
    "converter-bolt-head": {"converter_bolts": "yard-converter-bolts"},
    "converter-pull-forward-gap": SPACER,
    "converter-hub-engagement": MID_PLATE,
    "converter-nose-pilot-fit": EARLY_CONVERTER,
    "converter-nose-entry": SPACER,
    "converter-nose-bottom": {"crank": "spare-38-crank"},
    "converter-hub-runout": {"converter": "bench-38-wobbly-converter"},
    "converter-hub-bushing": EARLY_CONVERTER,
    "converter-pad-pattern": EARLY_CONVERTER,
    "pilot-bearing-right": {"pilot": "calder-33-pilot-bush"},
    "bell-dowels": {"block": "bench-38-spare"},
    "bell-dowel-engagement": MID_PLATE,
    "bell-runout-automatic": {"bellhousing": "bench-crooked-bell"},
    "plate-and-adapter-stack": {"plate_stack": "yard-adapter"},
    "ring-gear-starter-pair": EARLY_PLATE,
    "ring-gear-pitch": EARLY_PLATE,
    "starter-mesh-clearance": SHIMMED,
    "starter-shims": SHIMMED,
    "starter-pinion-rest": MID_PLATE,
    "starter-pinion-travel": {"starter": "calder-33-starter"},
    "damper-clamp-load": OLD_BOLT,
    "damper-clamp-force": OLD_BOLT,
    "damper-depth-stack": BARE_SNOUT,
    "damper-hub-clamp": BARE_SNOUT,
    "crank-end-float": {"crank_float": "spare-38-float-worn"},
    "crank-end-float-check": {"crank_float": "bench-38-float-pushed"},
    "timing-mark-agrees": {"timing_pointer": "calder-33-tab"},
    "timing-mark-family": {"timing_pointer": "calder-33-tab"},
}
FAILS_MANUAL = {
    "bell-runout-manual": {"bellhousing": "bench-crooked-bell"},
    "pilot-seat": {"pilot": "calder-33-pilot-bush"},
    "pilot-tip-fit": {"transmission": "calder-33-manual"},
    "input-tip-engagement": {"bellhousing": "hob-lane-deep-bell"},
    "input-tip-bottom": {"bellhousing": "hob-lane-short-bell"},
    "clutch-release-room": {"clutch": "hob-lane-tall-cover"},
    "clutch-release-travel": {"release_bearing": "hob-lane-worn-fork"},
}
INCH = 0.0254


def automatic(**swap: str) -> Build:
    return build("drover-good", {**GOOD, **swap})


def manual(**swap: str) -> Build:
    return Build("manual", "manual", filled({**MANUAL, **swap}))


def headlines(found: Any) -> list[str]:
    return [tell(each).headline for each in found]


def test_the_tables_name_every_rule_of_the_folder() -> None:
    assert {*FAILS, *FAILS_MANUAL} == {id for id, each in load_rules().items() if each.subsystem == "crank"}


@pytest.mark.parametrize("id", FAILS)
def test_the_automatic_build_fits(id: str) -> None:
    found = asked(rule_named(id), automatic())
    assert [each.verdict for each in found] == [FITS], headlines(found)


def test_every_rule_that_the_manual_build_asks_fits() -> None:
    rules = [each for each in load_rules().values() if each.subsystem == "crank"]
    found = {each.id: asked(each, manual()) for each in rules}
    assert {id for id, findings in found.items() if findings} >= {*FAILS_MANUAL, "ring-gear-pitch", "balance-force"}
    assert [id for id, findings in found.items() for one in findings if one.verdict != FITS] == []


@pytest.mark.parametrize("id", FAILS)
def test_the_swap_does_not_fit(id: str) -> None:
    found = asked(rule_named(id), automatic(**FAILS[id]))
    assert [each.verdict for each in found] == [NOT], headlines(found)


@pytest.mark.parametrize("id", FAILS_MANUAL)
def test_the_swap_in_the_manual_build_does_not_fit(id: str) -> None:
    found = asked(rule_named(id), manual(**FAILS_MANUAL[id]))
    assert [each.verdict for each in found] == [NOT], headlines(found)


def test_sets_are_told_apart() -> None:
    for id in FAILS_MANUAL:
        assert asked(rule_named(id), automatic()) == [], id
    for id in ("converter-pull-forward-gap", "converter-nose-pilot-fit", "bell-runout-automatic"):
        assert asked(rule_named(id), manual()) == [], id


def test_the_sleeve_suits_the_crank_and_the_early_nose() -> None:
    sleeved = automatic(pilot="hob-lane-nose-sleeve", converter="calder-33-converter")
    for id in ("pilot-seat", "pilot-bearing-right", "converter-nose-pilot-fit"):
        found = asked(rule_named(id), sleeved)
        assert [each.verdict for each in found] == [FITS], headlines(found)


def test_a_flywheel_that_is_too_thin_leaves_the_fingers_out_of_reach() -> None:
    found = asked(rule_named("clutch-release-room"), manual(drive_plate="hob-lane-38-light-flywheel"))
    assert found[0].verdict == NOT
    assert found[0].quantity == pytest.approx(12.5e-3)  # 3.0 mm + 25 mm - 15.5 mm, hand sum


@pytest.mark.parametrize(
    ("id", "swap", "named"),
    [
        ("balance-pair-match", {"drive_plate": "yard-flexplate"}, "drive_plate.balance"),
        ("crank-flange-register", {"drive_plate": "yard-flexplate"}, "drive_plate.register_bore"),
        ("flywheel-bolt-tip", {"flywheel_bolts": "yard-flywheel-bolts"}, "flywheel_bolts.length"),
        ("flywheel-bolt-engagement", {"crank_spacer": "yard-spacer"}, "crank_spacer.thickness"),
        ("converter-pull-forward-gap", {"converter": "yard-converter"}, "converter.setback"),
        ("converter-pull-forward-gap", {"plate_stack": "yard-plate"}, "plate_stack.plates.plate.thickness"),
        ("plate-and-adapter-stack", {"plate_stack": "yard-plate"}, "plate_stack.plates.plate.located"),
        ("bell-runout-automatic", {"bellhousing": "yard-bell"}, "bellhousing.bore_runout"),
        ("starter-mesh-clearance", {"starter": "yard-starter"}, "starter.mesh_gap"),
        ("damper-depth-stack", {"nose_stack": "yard-snout"}, "nose_stack.pieces.timing gear.thickness"),
        ("crank-end-float-check", {"crank_float": "spare-38-float-worn"}, "crank_float.with_gearbox"),
        ("timing-mark-agrees", {"timing_pointer": "yard-tab"}, "timing_pointer.stop_before"),
        ("pilot-bearing-right", {"transmission": "yard-gearbox"}, "transmission.sort"),
        ("pilot-seat", {"pilot": "yard-pilot"}, "pilot.outer"),
    ],
)
def test_what_is_not_recorded_is_named(id: str, swap: dict[str, str], named: str) -> None:
    found = asked(rule_named(id), automatic(**swap))
    assert [each.verdict for each in found] == [OPEN]
    assert named in [driver.leaf.name for driver in found[0].drivers]


@pytest.mark.parametrize(
    ("id", "swap", "named"),
    [
        ("clutch-release-room", {"clutch": "yard-clutch"}, "clutch.finger_depth"),
        ("clutch-release-room", {"release_bearing": "yard-release-bearing"}, "release_bearing.stand"),
    ],
)
def test_what_the_manual_set_lacks_is_named(id: str, swap: dict[str, str], named: str) -> None:
    found = asked(rule_named(id), manual(**swap))
    assert [each.verdict for each in found] == [OPEN]
    assert named in [driver.leaf.name for driver in found[0].drivers]


# -- the sums ----------------------------------------------------------------------------------------------------------


def gap(setback: float, plates: list[float], flange: float, spacer: float, offset: float) -> float:
    from kb.rules.crank._parts import Piece

    pieces = [Piece(each, str(index)) for index, each in enumerate(plates)]
    rule = rule_named("converter-pull-forward-gap")
    return float(rule(setback=setback, plates=pieces, flange=flange, spacer=spacer, offset=offset))


def test_pull_forward_gap_of_the_reference_value() -> None:
    # values geo-11 (derived from the definition): pads 1.125 in deep, flexplate face 0.975 in proud: 0.15 in
    assert gap(1.125 * INCH, [], 0.4 * INCH, 0.0, 0.575 * INCH) == pytest.approx(0.15 * INCH, abs=1e-9)


def test_pull_forward_gap_by_places_along_the_crank() -> None:
    """Every face by its own place behind the block: plates move the converter, spacers the flexplate."""
    plates, flange, spacer, offset, setback = [0.0015, 0.0095], 0.012, 0.005, 0.014, 0.0286
    pads = 0.0
    for each in plates:
        pads += each
    pads += setback
    flexplate = flange + spacer + offset
    assert gap(setback, plates, flange, spacer, offset) == pytest.approx(pads - flexplate)
    assert gap(setback, [], flange, 0.0, offset) - gap(setback, [], flange, spacer, offset) == pytest.approx(spacer)


def test_the_gap_says_which_convention_it_uses_and_what_would_cure_it() -> None:
    (wide,) = asked(rule_named("converter-pull-forward-gap"), automatic(**MID_PLATE))
    notes = wide.question.detail()["notes"]
    assert any("before the converter is pulled forward" in note for note in notes)
    assert any("mid plate 9.50 mm" in note for note in notes)
    # 28.6 + 1.5 + 9.5 - 12 - 14 = 13.6 mm, so 9.6 mm of washers bring it to the 4 mm aimed at (hand sum)
    assert wide.quantity == pytest.approx(13.6e-3)
    assert any("9.60 mm more spacer" in note for note in notes)
    (tight,) = asked(rule_named("converter-pull-forward-gap"), automatic(**SPACER))
    assert any("9.90 mm less spacer" in note for note in tight.question.detail()["notes"])  # 4.0 - (4.1 - 10)


def test_washers_named_by_the_note_bring_the_gap_into_its_band() -> None:
    assert gap(28.6e-3, [1.5e-3, 9.5e-3], 12e-3, 9.6e-3, 14e-3) == pytest.approx(4.0e-3)


def test_setback_is_worked_out_from_gearbox_and_converter() -> None:
    (found,) = asked(rule_named("converter-pull-forward-gap"), automatic())
    assert [name for name, _ in found.question.derived] == ["converter.setback"]
    assert found.quantity == pytest.approx(4.1e-3)  # 178.6 - 150 + 1.5 - 12 - 14, hand sum


def test_mesh_gap_is_worked_out_from_teeth_and_centres_and_a_wire_goes_before_it() -> None:
    (found,) = asked(rule_named("starter-mesh-clearance"), automatic())
    assert found.quantity == pytest.approx(0.4e-3 + 0.25 * 2.5e-3)  # 185.4 - 185.0 and a quarter module (ISO 53)
    parts = dict(automatic().parts)
    parts["starter"] = part_of({"kind": "starter", "id": "read", "name": "read", "mesh_gap": "0.9 +/- 0.05 mm"})
    read = judge(rule_named("starter-mesh-clearance"), Build("x", "x", parts), SETTINGS)
    assert read.verdict == FITS
    assert read.quantity == pytest.approx(0.9e-3)


def test_pitch_of_an_inch_ring_is_worked_out_from_its_diametral_pitch() -> None:
    (found,) = asked(rule_named("ring-gear-pitch"), automatic(**EARLY_PLATE))
    assert found.quantity == pytest.approx(2.5 / (25.4 / 12) - 1)
    assert (
        asked(rule_named("ring-gear-pitch"), automatic(**EARLY_PLATE, starter="calder-33-starter"))[0].verdict == FITS
    )


def test_bolt_circle_is_worked_out_from_neighbouring_holes() -> None:
    (found,) = asked(rule_named("crank-flange-circle"), automatic(**EARLY_PLATE))
    assert found.station == "circle too small"
    # 29.16 / sin 22.5 deg = 76.2 mm against 80 mm with 0.2 mm of play
    assert found.quantity == pytest.approx((10.2 - 10.0) * 1e-3 - (80e-3 - 29.16e-3 / math.sin(math.pi / 8)))


def test_leftover_imbalance_is_told_at_the_end_where_it_is() -> None:
    (found,) = asked(rule_named("balance-force"), automatic(**WEIGHTED))
    assert found.station == "front"
    oz_in, n = 0.028349523125 * INCH, 5500 / 60  # definition; rev limit of duty-road
    assert found.quantity == pytest.approx(20 * oz_in * (2 * math.pi * n) ** 2)
    assert any("+20.0 oz-in" in note for note in found.question.detail()["notes"])


def test_a_missing_weight_is_as_bad_as_one_too_many() -> None:
    rule = rule_named("balance-force")
    due = 28.2 * 0.028349523125 * INCH
    ends = dict(rule(front=due, front_due=due, rear=0.0, rear_due=due, speed=50.0))
    assert ends["front"] == 0.0
    assert ends["rear"] == pytest.approx(-due * (100 * math.pi) ** 2)


def test_plates_do_not_change_how_far_the_nose_enters() -> None:
    plain, thick = (asked(rule_named("converter-nose-entry"), automatic(**swap))[0] for swap in ({}, MID_PLATE))
    assert plain.quantity == thick.quantity == pytest.approx(7e-3)  # 22 - 14 - 1, hand sum


def test_every_plate_draws_the_tip_out_of_the_pilot() -> None:
    plain, thick = (asked(rule_named("input-tip-engagement"), manual(**swap))[0] for swap in ({}, MID_PLATE))
    assert plain.quantity == pytest.approx(10 / 12)  # 12 - 3 - (1.5 + 150 - 152.5) = 10 of 12 mm, hand sum
    assert thick.quantity == pytest.approx(0.5 / 12)
    assert thick.because == "outside_usual"  # two thirds is from memory, so it does not condemn


@pytest.mark.parametrize("throws", ["rearward", "forward"])
def test_pinion_rest_in_a_mirror(throws: str) -> None:
    """A starter behind the ring is the same picture turned round: all places change sign."""
    sign = 1 if throws == "rearward" else -1
    given = {"flange": 12e-3, "spacer": 0.0, "ring": 5.5e-3, "plates": [], "face": 30e-3, "reach": -15e-3}
    mirrored = {name: sign * value if isinstance(value, float) else value for name, value in given.items()}
    assert rule_named("starter-pinion-rest")(**mirrored, throws=throws) == pytest.approx(2.5e-3)


def test_oz_in_is_an_imbalance_where_one_is_due_and_a_torque_elsewhere() -> None:
    assert parse("21.8 oz-in", "imbalance").value == pytest.approx(21.8 * 0.028349523125 * 0.0254)
    assert parse("720 g.mm", "imbalance").value == pytest.approx(720e-6)
    assert parse("10 oz-in", "torque").value == pytest.approx(10 * 0.0070615518, rel=1e-8)  # NIST SP 811
