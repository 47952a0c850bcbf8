"""An engine bay made by hand. Sizes in mm are invented; none is an expected answer."""

from __future__ import annotations

from typing import Any

from kb.build import Build
from kb.records.part import Part
from tests.drawing.drawn import build, size

GAPS: dict[str, Any] = {
    "hood_room": size(26),
    "fan_gap": size(41, 0.5),
    "side_gap": size(28),
    "steering_gap": size(38),
    "line_gap": size(55),
    "cylinders": "light_v",
    "mount_rubber": "new",
    "mounts_hold": True,
    "mount_sag": size(3),
}
FAN: dict[str, Any] = {"drive": "mechanical", "cover_height": size(410), "core_height": size(430)}


def with_bay(fan: dict[str, Any] | None = None, **facts: Any) -> Build:
    made = build()
    known = {name: value for name, value in {**GAPS, **facts}.items() if value is not None}
    parts = {**made.parts, "engine_bay": Part("bay", "engine_bay", "The bay", facts=known)}
    if fan is not None:
        parts["fan"] = Part("fan", "fan", "The fan", facts=fan)
    return made._replace(parts=parts)
