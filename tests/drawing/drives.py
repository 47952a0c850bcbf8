"""Builds with a belt drive, and with a crank, plate, converter and gearbox. Sizes are invented."""

from __future__ import annotations

import math
from typing import Any

from kb.build import Build
from kb.measure import Dimension, Term
from kb.records.part import Part
from tests.drawing.drawn import size


def wheel(name: str, **more: Any) -> dict[str, Any]:
    """A pulley of 100 mm on the belt's ribs, its plane 100 mm ahead of the block; None leaves a fact out."""
    given: dict[str, Any] = {
        "id": name, "drives": "idler", "diameter": size(100), "side": "rib", "turns": "either", "mount_face": size(60),
        "bracket": size(0, 0), "shim": size(0, 0), "hub": size(25), "offset": size(15), **more,
    }  # fmt: skip
    return {name: value for name, value in given.items() if value is not None}


CRANK = wheel("crank", drives="crank", turns="clockwise", x=size(0), y=size(0))
PUMP = wheel("pump", drives="water_pump", x=size(300), y=size(0))
IDLER = wheel("idler", x=size(150), y=size(60), side="back", diameter=size(60))
# About (0, 300) by 100 mm; with the arm level C2 = 300^2 + 100^2 and the belt is 2 C + pi d.
SWING = wheel(
    "swing", drives="alternator", after="crank", pivot_x=size(0), pivot_y=size(300), arm=size(100),
    free=Dimension(math.pi / 2, (Term("normal", 0.01),)), wound=Dimension(3 * math.pi / 2, (Term("normal", 0.01),)),
)  # fmt: skip
LEVEL = 2 * math.hypot(300, 100) + math.pi * 100


def with_belt(
    *pulleys: dict[str, Any], swung: tuple[dict[str, Any], ...] = (), belt: Any = None, **parts: Any
) -> Build:
    facts = {"effective_length": size(914), "back_offset": size(0, 0), **(belt or {})}
    facts = {name: value for name, value in facts.items() if value is not None}
    all_parts = {
        "belt_layout": Part("front", "belt_layout", "The front", facts={"pulleys": pulleys, "tensioners": swung}),
        "belt": Part("the-belt", "belt", "The belt", facts=facts),
        **{role: Part(role.replace("_", "-"), role, role, facts=known) for role, known in parts.items()},
    }
    return Build("drover", "Drover", all_parts)


STACK: dict[str, dict[str, Any]] = {
    "block": {"rear_proud": size(4)},
    "crank": {
        "flange_position": size(12, 0.1), "flange_circle": size(80), "pilot_bore": size(46), "pilot_mouth": size(1),
        "pilot_depth": size(25),
    },
    "drive_plate": {
        "sort": "flexplate", "thickness": size(3), "register_bore": size(60), "pad_offset": size(14, 0.1),
        "pad_thickness": size(2.5), "pad_circle": size(273),
    },
    "plate_stack": {"plates": ({"id": "dust plate", "thickness": size(1.5, 0.05), "located": True},)},
    "transmission": {"sort": "automatic", "pump_depth": size(178.6, 0.1), "pump_gear_width": size(19)},
    "converter": {
        "height": size(150, 0.1), "hub_engagement": size(20, 0.2), "nose_length": size(22), "nose_diameter": size(45.9),
        "hub_diameter": size(47.6), "pad_circle": size(273),
    },
}  # fmt: skip


def with_stack(*without: str, **facts: dict[str, Any]) -> Build:
    """The build without some roles, with some facts changed or, as None, not known."""
    parts = {}
    for role in (*STACK, *(role for role in facts if role not in STACK)):
        if role in without:
            continue
        merged = {**STACK.get(role, {}), **facts.get(role, {})}
        kept = {name: value for name, value in merged.items() if value is not None}
        parts[role] = Part(role.replace("_", "-"), role, role, facts=kept)
    return Build("drover", "Drover", parts)
