"""Pulley sizes set how fast everything turns: too slow at idle and the battery runs down, too fast at the limit and the
rotor bursts."""

from typing import Any

from kb.roles import belt, belt_layout, duty
from kb.rules._rule import Case, Limit, percent, rule
from kb.rules.accessory._drive import Wheel, crank_of, in_order
from kb.standards.belt_drive import speed_ratio
from kb.standards.belts import section


def _given(
    diameter: Any, most: Any = 18000, least: Any = 0.0, side: Any = "rib", limit: Any = 6000, idle: Any = 750
) -> Any:
    return {
        "pulleys": [
            Wheel("crank", diameter=0.166, drives="crank", speed_most=200),
            Wheel("alternator", diameter=diameter, side=side, speed_most=most / 60, speed_least=least / 60),
        ],
        "tensioners": [], "profile": "pk", "back_offset": 0.0035, "idle": idle / 60, "limit": limit / 60,
    }  # fmt: skip


@rule(
    "pulley-ratio-speed",
    "accessory",
    "percent",
    "stations",
    asks="Does each accessory turn fast enough at idle, and not too fast at the rev limit?",
    limits=(
        Limit.at_most(
            100 * percent,
            why="beyond what its maker allows at the rev limit it bursts or cavitates; short of its speed at idle it "
            "does not charge, pump or cool",
            harm="wears",
            milestone="drive",
            fix="change the accessory's own pulley first, then the crank's",
            source="definition",
        ),
    ),
    worst="most",
    cases=(
        Case(_given(0.0526, 20000), 6000 * 170 / 56.6 / 20000, True,
             "pitch diameters = effective + 4 mm (ISO 9981): 170 over 56.6 mm", 1e-9),
        Case(_given(0.081, 12000, limit=6000), 100 * percent, True, "on the limit: 170 over 85 mm is 2", 1e-9),
        Case(_given(0.0526, 16000), 6000 * 170 / 56.6 / 16000, False, "as above", 1e-9),
        Case(_given(0.116, 18000, 1200), 1200 / (750 * 170 / 120), False, "slow at idle: 170 over 120 mm", 1e-9),
        Case(_given(0.082, 18000, 1500, "back"), 1500 / (750 * 170 / 85), True,
             "on the limit; on the back the cords run 3.5 - 2 mm outside the pulley: 82 + 3 mm", 1e-9),
    ),
    detail=lambda *given: {"notes": _told(*given)},
    advice="Alternators are commonly turned two to three times as fast as the crank (makers' notes); their output falls "
    "away below about 2400 turns a minute of the rotor.",
    caution="A rotor that bursts goes through bonnet and bystander: keep out of its plane at full speed.",
)  # fmt: skip
def pulley_ratio_speed(
    pulleys=belt_layout.pulleys.of("drives", "diameter", "side", "speed_least", "speed_most"),
    tensioners=belt_layout.tensioners.of("after", "drives", "diameter", "side", "speed_least", "speed_most"),
    profile=belt.profile,
    back_offset=belt.back_offset,
    idle=duty.idle,
    limit=duty.rev_limit,
):
    """share = speed at the limit / highest allowed, and speed needed / speed at idle; ratio of the pitch diameters"""
    found = []
    for each, ratio in _ratios(pulleys, tensioners, profile, back_offset):
        found.append((f"{each.id} at the rev limit", limit * ratio / each.speed_most))
        found.append((f"{each.id} at idle", each.speed_least / (idle * ratio)))
    return found


def _ratios(pulleys: Any, tensioners: Any, profile: Any, back_offset: Any) -> Any:
    entries = in_order(pulleys, tensioners)
    offset = section(profile).pitch_offset
    pitch = [each.diameter + 2 * (back_offset - offset if each.side == "back" else offset) for each in entries]
    driving = pitch[crank_of(entries)]
    return [(each, speed_ratio(driving, of)) for each, of in zip(entries, pitch, strict=True)]


def _told(pulleys: Any, tensioners: Any, profile: Any, back_offset: Any, idle: Any, limit: Any) -> Any:
    return [
        f"{each.id}: {ratio:.2f} times the crank, {60 * idle * ratio:.0f} rpm at idle, {60 * limit * ratio:.0f} at the limit"
        for each, ratio in _ratios(pulleys, tensioners, profile, back_offset)
        if each.drives != "crank"
    ]
