"""Resistance of cables with their joints, the tier that a drop falls in, and the size that would do."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from kb.standards.wire import LAY, RESISTIVITY_20, awg_area, least_area, resistance, sizes_for

mm2 = 1e-6
celsius = 273.15
# Total of both ways while cranking, V: what each source is content with.
TIERS = (
    (0.4, "low (0.2 V a side, trade page)"),
    (0.5, "normal (0.5 V in all, service manuals)"),
    (0.8, "tolerated (0.5 V out and 0.3 V back, instrument manual)"),
)


class Joint:
    """A joint for worked cases."""

    def __init__(self, resistance: float, id: str = "lug") -> None:
        self.id, self.resistance = id, resistance


def whole(length: Any, area: Any, temperature: Any, joints: Sequence[Any]) -> Any:
    """Resistance of a cable with its joints, ohm."""
    return resistance(length, area, temperature) + sum(joint.resistance for joint in joints)


def tier(drop: float) -> str:
    """The name of the tier that the drop of both ways falls in."""
    return next((name for most, name in TIERS if drop <= most + 1e-9), "more than any source tolerates")


def size_notes(current: float, length: float, temperature: float, joints: float, allowed: float) -> list[str]:
    """A sentence with the sizes that would lose no more than `allowed` over `length` of conductor and these joints."""
    left = allowed - current * joints
    if left <= 0:
        return [f"the joints alone lose {current * joints:.2g} V: no cable mends that, clean and crimp them"]
    sizes = sizes_for(least_area(current, length, left, temperature))
    if not sizes:
        lost = f"the joints alone lose {current * joints:.2g} V" if 2 * left < allowed else "bring the battery nearer"
        return [f"no cable sold holds {allowed:g} V over {length:.1f} m at {current:.0f} A: {lost}"]
    return [f"for {allowed:g} V over {length:.1f} m of conductor at {current:.0f} A: {' or '.join(sizes)} or thicker"]


def plain_area(ohm_per_km: float) -> float:
    """Area of plain copper with this resistance at 20 degC, m2, for worked cases."""
    return RESISTIVITY_20 / (ohm_per_km / 1000)


def gauge(number: int) -> float:
    """Effective area of a stranded gauge, m2, for worked cases."""
    return float(awg_area(number)) / LAY
