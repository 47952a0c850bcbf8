"""Worked cases of the suction rules, and what they show beside the one figure."""

from __future__ import annotations

from typing import Any

from kb.rules._rule import Case, kpa, mm
from kb.standards.suction import suction_curve, suction_losses

_LITRE = 1e-3
_MM2_S = 1e-6

_TUBE: dict[str, Any] = {
    "displacement": 0.016 * _LITRE,
    "ratio": 1.0,
    "v40": 95 * _MM2_S,
    "v100": 14.2 * _MM2_S,
    "density": 872.0,
    "bore": 19 * mm,
    "length": 300 * mm,
    "bends": 2,
    "mouth": "square",
    "screen_area": 3800e-6,
    "screen_open": 0.5,
    "screen_wire": 0.4 * mm,
    "hang": 182 * mm,
    "inlet": 10 * mm,
}


def _due(**changed: Any) -> float:
    """The hand-run sum for a case; the parts of it are tested against outside values in tests/standards."""
    given = {**_TUBE, **changed}
    lift = given.pop("hang") - given.pop("inlet")
    given["density_15"] = given.pop("density")
    given.pop("pump_allows", None)
    return float(suction_losses(lift=lift, **given).total)


def _case(holds: bool, **changed: Any) -> Case:
    allows = changed.get("pump_allows", 30 * kpa)
    due = _due(**changed)
    origin = "sum of parts that are each tested against published values"
    return Case({**_TUBE, **changed, "pump_allows": allows}, due, holds, origin, 1e-6 * due)


_HOT = {"speed": 5500 / 60, "temperature": 383.15}
_COLD = {"speed": 900 / 60, "temperature": 278.15}


def hot_cases() -> tuple[Case, ...]:
    return (
        _case(True, **_HOT, pump_allows=40 * kpa),
        _case(True, **_HOT, pump_allows=_due(**_HOT)),
        _case(False, **_HOT, bore=11 * mm),
    )


def cold_cases() -> tuple[Case, ...]:
    return (
        _case(True, **_COLD, bore=25 * mm, screen_open=0.7, pump_allows=60 * kpa),
        _case(True, **_COLD, pump_allows=_due(**_COLD)),
        _case(False, **_COLD, bore=13 * mm),
    )


def suction_detail(
    speed: Any, temperature: Any, displacement: Any, ratio: Any, v40: Any, v100: Any, density: Any, bore: Any, length: Any,
    bends: Any, mouth: Any, screen_area: Any, screen_open: Any, screen_wire: Any, hang: Any, inlet: Any,
) -> dict[str, Any]:  # fmt: skip
    """The parts of the depression, and the curve over crank speed at this temperature."""
    given = (
        displacement, ratio, v40, v100, density, bore, length, bends, mouth, screen_area, screen_open, screen_wire,
        hang - inlet,
    )  # fmt: skip
    losses = suction_losses(speed, temperature, *given)
    parts = {name: float(getattr(losses, name)) for name in ("screen", "mouth", "tube", "bends", "motion", "lift")}
    return {
        "parts": parts,
        "curve": suction_curve(max(float(speed), 6000 / 60), temperature, *given),
        "total": float(losses.total),
        "reynolds": float(losses.reynolds),
    }
