"""Worked cases of the sealing rules: flanges so simple that the seat can be found by hand."""

from __future__ import annotations

from typing import Any

from kb.rules._rule import Case, mm


class At:
    """A station of the block or of the pan for worked cases."""

    def __init__(
        self, id: str, x: float = 0.0, y: float = 0.0, height: float = 0.0, passage: str = "", bolt: bool = True
    ) -> None:
        self.id, self.x, self.y, self.height = id, x, y, height
        self.passage, self.bolt, self.face = passage, bolt, "rail"


# Six bolts on a rectangle, the passage in the middle of a long side at M (no bolt of its own).
_PLACES = (
    ("A", 0.0, 0.0),
    ("B", 0.1, 0.0),
    ("M", 0.15, 0.0),
    ("C", 0.2, 0.0),
    ("D", 0.2, 0.2),
    ("E", 0.1, 0.2),
    ("F", 0.0, 0.2),
)
_BLOCK = [At(name, x, y, passage="feed" if name == "M" else "", bolt=name != "M") for name, x, y in _PLACES]


def _pan(low: float, *, everywhere: bool = False) -> list[At]:
    return [At(name, height=low if everywhere or name == "M" else 0.0) for name, _, _ in _PLACES]


# The bolts are strong enough to bring a flat flange down on the 1.2 mm stops everywhere, and the flange is far too
# stiff to follow a hollow at M: the gap there is 1.2 mm plus the hollow.
_GIVEN: dict[str, Any] = {
    "block_side": _BLOCK,
    "front_step": 0.0,
    "rear_step": 0.0,
    "free": 1.6 * mm,
    "stop": 1.2 * mm,
    "modulus": 4e6,
    "seal_width": 6 * mm,
    "torque": 10.0,
    "nut_factor": 0.2,
    "diameter": 6 * mm,
    "flange_modulus": 70e9,
    "flange_width": 20 * mm,
    "flange_thickness": 60 * mm,
    "ports": [],
}


def _case(hollow: float, due: float, holds: bool | None, origin: str) -> Case:
    return Case({**_GIVEN, "pan_side": _pan(-hollow)}, due, holds, origin, 2e-3)


passage_sealing_cases = (
    _case(0.0, 0.25, True, "hand sum: on the stops, (1.6 - 1.2) / 1.6"),
    _case(0.4 * mm, 0.0, None, "hand sum: the hollow leaves just the free thickness"),
    _case(0.7 * mm, -0.1875, False, "hand sum: (1.6 - 1.9) / 1.6"),
)
rail_sealing_cases = (
    Case({**_GIVEN, "pan_side": _pan(0.0)}, 0.25, True, "hand sum: on the stops, (1.6 - 1.2) / 1.6", 2e-3),
    Case(
        {**_GIVEN, "pan_side": _pan(0.0), "stop": 1.28 * mm}, 0.2, True, "on the usual limit: (1.6 - 1.28) / 1.6", 2e-3
    ),
    Case({**_GIVEN, "pan_side": _pan(0.0), "stop": 0.4 * mm}, 0.5, None, "hand sum: nearly crushed on low stops", 0.26),
)
