"""Both ends of the crank: gears and their centres, bolt circles, imbalance as a force, runout, clamp of a bolt.

Lengths in m, forces in N, speeds in turns a second, imbalances in kg.m; floats, arrays or Pint quantities.
"""

from __future__ import annotations

import math
from typing import Any

from kb.maths import constant, least, sin

TIP_CLEARANCE = 0.25
"""Room between tip and root of two gears at the due centre distance, in modules. Source: ISO 53, profile A."""

STEEL = 205e9
"""Young's modulus of bolt steel, Pa: handbook figure."""

BOLT_SHARE = 0.8
"""Share of a bolt's turn that stretches it; the rest squeezes what is clamped. From memory."""


def module_of(diametral_pitch: Any) -> Any:
    """Module, m: pitch diameter over teeth. `diametral_pitch` in 1/m (12 per inch is 2.117 mm). By definition."""
    return 1 / diametral_pitch


def gear_centres(teeth: Any, others: Any, module: Any) -> Any:
    """Centre distance, m, at which two outside gears of one module run: (z1 + z2) m / 2. By definition."""
    return (teeth + others) * module / 2


def mesh_gap(centres: Any, teeth: Any, others: Any, module: Any) -> Any:
    """Tip-to-root room, m, of two gears of standard depth at `centres`: 0.25 m + centres - due centres. ISO 53."""
    return TIP_CLEARANCE * module + centres - gear_centres(teeth, others, module)


def bolt_circle(spacing: Any, holes: Any) -> Any:
    """Diameter, m, of the circle of `holes` equal holes whose neighbours lie `spacing` apart, m. By definition."""
    return spacing / sin(math.pi / holes)


def imbalance_force(imbalance: Any, speed: Any) -> Any:
    """Rotating force, N, of an imbalance, kg.m, at `speed`, turns a second: u (2 pi n)^2. By definition."""
    return imbalance * (2 * math.pi * speed) ** 2


def offset_of(runout: Any) -> Any:
    """How far two axes lie apart, m, from the total indicator reading over a turn: half of it. By definition."""
    return runout / 2


def clamp_of_bolt(
    torque: Any, nut_factor: Any, angle: Any, grip: Any, proof: Any, diameter: float, pitch: float, area: float
) -> Any:
    """Clamp, N, of a bolt turned to `torque`, N.m, and then by `angle`, rad.

    T / (K d), plus the turn's stretch over `grip`, m, of which BOLT_SHARE is the bolt's own; never above `proof`, Pa,
    times the stress area, where the bolt begins to yield. `diameter`, `pitch` in m and `area` in m2 are the thread's.
    """
    length, square = constant(diameter, "m", grip), constant(area, "m**2", grip)
    stretch = constant(pitch, "m", grip) * angle / (2 * math.pi)
    turned = BOLT_SHARE * constant(STEEL, "Pa", grip) * square * stretch / grip
    return least(torque / (nut_factor * length) + turned, proof * square)
