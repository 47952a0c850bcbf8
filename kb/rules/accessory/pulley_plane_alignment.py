"""A belt follows the pulleys' planes: one that stands a few millimetres ahead makes it climb, dust, squeal and leave."""

from typing import Any

from kb.roles import belt, belt_layout, water_pump
from kb.rules._rule import Case, Limit, optional, rule
from kb.rules.accessory._align import DRAWN, alignment_detail, angles, planes_of
from kb.rules.accessory._drive import Drive, Wheel

DEGREE = 0.017453292519943295

FIX = "shims under all feet of the accessory, or a spacer behind its pulley: see the notes"
TIERS = (
    (0.5, "the belt runs askew, climbs the side of the groove, dusts and is thrown", "wears", "trade-page",
     ("tolerated_ahead", "tolerated_behind")),
    (0.25, "a ribbed belt that runs more askew than this is noisy and short-lived", "nuisance", "memory",
     ("usual_ahead", "usual_behind")),
)  # fmt: skip


def _pair(plane: Any) -> Any:
    return {
        "pulleys": [
            Wheel("crank", drives="crank"),
            Wheel("pump", 0.3, 0.0, plane=plane, hub=0.15, drives="water_pump"),
        ],
        "tensioners": [],
        "back_offset": 0.0015,
        "belt_length": 0.914,
        "pump_hub": 0.15,
    }


@rule(
    "pulley-plane-alignment",
    "accessory",
    "angle",
    "stations",
    asks="Do the pulleys stand in one plane?",
    limits=tuple(
        bound(side * angle * DEGREE, why=why, harm=harm, milestone="drive", fix=FIX, source=source, name=name)
        for angle, why, harm, source, names in TIERS
        for side, bound, name in zip((1, -1), (Limit.at_most, Limit.at_least), names, strict=True)
    ),
    worst="most",
    cases=(
        Case(_pair(0.001), 0.19098521 * DEGREE, True, "atan(1/300), the open span of equal pulleys", 1e-8),
        Case(_pair(0.3 * 0.004363350821), 0.25 * DEGREE, True, "on the limit: tan 0.25 deg = 0.00436335", 1e-9),
        Case(_pair(0.3 * 0.008726867791), 0.5 * DEGREE, None, "on the limit: tan 0.5 deg = 0.00872687 (8.7 mm/m)", 1e-9),
        Case(_pair(0.0047625), 0.90950 * DEGREE, False, "3/16 in over 300 mm, hand sum", 1e-6),
        Case({**_pair(0.0), "pump_hub": 0.15 + 0.00635}, 1.21257 * DEGREE, False,
             "the pump chosen is 1/4 in taller than the one drawn", 1e-6),
    ),
    detail=lambda *given: alignment_detail(Drive(*given[:4]), given[4]),
    tangent=lambda *given: _near(Drive(*given[:4])),
    advice="Positive: the second pulley of the run stands ahead of the first. Aim at a quarter of a degree, 4.4 mm in a metre.",
    caution="Engine off, key out, before a straight edge or a hand goes near the belt.",
)  # fmt: skip
def pulley_plane_alignment(
    pulleys=belt_layout.pulleys.of(
        "drives", "x", "y", "diameter", "side", "mount_face", "bracket", "shim", "hub", "offset"
    ),
    tensioners=belt_layout.tensioners.of(
        "after",
        "drives",
        "pivot_x",
        "pivot_y",
        "arm",
        "free",
        "wound",
        "diameter",
        "side",
        "mount_face",
        "bracket",
        "shim",
        "hub",
        "offset",
    ),
    back_offset=belt.back_offset,
    belt_length=belt.effective_length,
    pump_hub=optional(water_pump.hub_height, absent=DRAWN),
):
    """angle = atan(how far the next pulley stands ahead / free span), plane = mounting face + bracket + shim + hub + offset"""
    return _askew(Drive(pulleys, tensioners, back_offset, belt_length), pump_hub)


def _askew(drive: Any, pump_hub: Any) -> Any:
    return list(zip(drive.span_names, angles(planes_of(drive.entries, pump_hub), drive.route.spans), strict=True))


def _near(nominal: Any) -> Any:
    return lambda *given: _askew(nominal.near(*given[:4]), given[4])
