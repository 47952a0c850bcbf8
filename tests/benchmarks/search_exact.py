"""What is fixed in the search against other engines: a block, its pump and a car, errors taken out. No numpy here."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from kb.measure import Dimension
from kb.records.part import Part

UM = 1e-6
BUILD = {"block": "calder-38", "oil_pump": "calder-38-pump", "car": "bench-drover"}
# Of the car in the garage, whole micrometres; low enough for the deepest pans to be refused.
TOPS = {"crossmember": 132_000, "drag link": 154_000}
GROUND = 320_000
BORE, CHAMFER, BORE_DEPTH = 24_600, 1_000, 16_000  # of the pump
RAILS = (*["calder-38"] * 9, "calder-33")
SIDES = (*["right"] * 9, "left")
REARS = (*["one_piece"] * 9, "two_piece")
JOINTS = (*["radial"] * 6, "face", "press")
# What the rules read of each kind.
READ = {
    "pan": (
        "rail_pattern", "rear_seal", "front_seal", "dipstick_side", "construction", "sump_depth", "floor", "flange",
        "ports", "hull",
    ),
    "pickup": (
        "joint", "hang", "foot_x", "foot_y", "foot_shape", "foot_length", "foot_width", "tube_bore", "groove_diameter",
        "groove_depth", "groove_width", "groove_from_flange", "spigot_length", "flange_bolts", "flange_lift", "brace",
    ),
    "pan_gasket": ("style", "stop_thickness", "installed_thickness", "holes"),
    "pickup_seal": ("cord", "inner_diameter"),
}  # fmt: skip


def exact(value: Any) -> Any:
    """The same fact without errors."""
    if isinstance(value, Dimension):
        return Dimension(round(value.value, 6))
    if isinstance(value, tuple):
        return tuple({name: exact(each) for name, each in entry.items()} for entry in value)
    return value


def exact_part(part: Part) -> Part:
    return part._replace(facts={name: exact(value) for name, value in part.facts.items()})


def lowered(parts: Mapping[str, Part]) -> dict[str, Part]:
    """These parts without errors, the car as low as the micrometres above say."""
    made = {role: exact_part(part) for role, part in parts.items()}
    facts = made["car"].facts
    obstacles = tuple({**each, "top": Dimension(TOPS[each["id"]] * UM)} for each in facts["obstacles"])
    made["car"] = made["car"]._replace(facts={**facts, "obstacles": obstacles, "ground": Dimension(GROUND * UM)})
    return made
