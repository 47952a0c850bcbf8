"""Bolted gasket joints: bolt spacing, torque, and a flange as a beam on its gasket.

SI throughout. Values may be floats, numpy arrays or Pint quantities. In the beam formulas the flange is
a beam on one elastic foundation (the gasket) against a rigid face: E is its modulus, Pa, `inertia` its
second moment of area, m4, `foundation` the modulus of the gasket per metre of length, N/m2.
"""

from __future__ import annotations

from typing import Any

from kb.maths import cos, exp, most, sin

NUT_FACTOR = 0.2
"""K of T = K F d for a dry, as-received bolt. Source: Shigley."""

TORQUE_SCATTER = 0.30
"""Spread of the preload, as a fraction either way, when tightened by torque wrench. From memory."""


def max_bolt_spacing(bolt_diameter: Any, flange_thickness: Any, gasket_factor: Any) -> Any:
    """Largest bolt spacing that keeps a gasket tight, m: 2 a + 6 t / (m + 0.5).

    `bolt_diameter` a is the nominal diameter, m; `flange_thickness` t, m (of the flange, not of the
    gasket); `gasket_factor` m, pure. Meant for flat-faced flanges of one thickness.
    Source: ASME VIII-1 Appendix 2 and TEMA.
    """
    return 2 * bolt_diameter + 6 * flange_thickness / (gasket_factor + 0.5)


def moment_multiplier(bolt_spacing: Any, bolt_diameter: Any, flange_thickness: Any) -> Any:
    """Factor on the flange moment for wide bolt spacing: max(1, sqrt(Bs / (2 a + t))). Lengths in m.

    Source: ASME VIII-1 Appendix 2, equation 7.
    """
    ratio = bolt_spacing / (2 * bolt_diameter + flange_thickness)
    return most(ratio**0.5, 1.0)


def tightening_torque(preload: Any, diameter: Any, nut_factor: Any = NUT_FACTOR) -> Any:
    """Torque, N m, for a `preload`, N, in a bolt of nominal `diameter`, m: T = K F d. Source: Shigley."""
    return nut_factor * preload * diameter


def preload_from_torque(torque: Any, diameter: Any, nut_factor: Any = NUT_FACTOR) -> Any:
    """Preload, N, that a `torque`, N m, gives: F = T / (K d). Source: Shigley.

    A torque wrench leaves about 30 % either way (from memory).
    """
    return torque / (nut_factor * diameter)


def gasket_squeeze(free_thickness: Any, installed_thickness: Any) -> Any:
    """Share of the free thickness that is pressed out: (free - installed) / free; negative is a gap.

    Both in m. Follows from the definition.
    """
    return (free_thickness - installed_thickness) / free_thickness


def rectangle_inertia(width: Any, thickness: Any) -> Any:
    """Second moment of area, m4, of a rectangular rail bent across its `thickness`: w t^3 / 12."""
    return width * thickness**3 / 12


def foundation_modulus(gasket_modulus: Any, width: Any, thickness: Any) -> Any:
    """Foundation modulus of a gasket strip, N/m2: E_g w / t, its stiffness per metre of length.

    `gasket_modulus` in compression, Pa; `width` and `thickness` of the strip, m.
    """
    return gasket_modulus * width / thickness


def beam_parameter(modulus: Any, inertia: Any, foundation: Any) -> Any:
    """beta = (k / 4 E I)^(1/4), 1/m: how fast a load's effect dies out along the rail. Source: Hetenyi."""
    return (foundation / (4 * modulus * inertia)) ** 0.25


def single_load_deflection(load: Any, modulus: Any, inertia: Any, foundation: Any, distance: Any = None) -> Any:
    """Compression, m, of the foundation at `distance`, m, from one load P, N, on an infinite beam.

    y = P beta / (2 k) e^(-b x) (cos b x + sin b x); without `distance`, under the load. Source: Hetenyi, Roark.
    """
    beta = beam_parameter(modulus, inertia, foundation)
    peak = load * beta / (2 * foundation)
    if distance is None:
        return peak
    reach = beta * distance
    return peak * exp(-reach) * (cos(reach) + sin(reach))


def single_load_moment(load: Any, modulus: Any, inertia: Any, foundation: Any, distance: Any = None) -> Any:
    """Bending moment, N m, at `distance`, m, from one load P, N, on an infinite beam.

    M = P / (4 beta) e^(-b x) (cos b x - sin b x); without `distance`, under the load. Source: Hetenyi, Roark.
    """
    beta = beam_parameter(modulus, inertia, foundation)
    peak = load / (4 * beta)
    if distance is None:
        return peak
    reach = beta * distance
    return peak * exp(-reach) * (cos(reach) - sin(reach))


def bolt_row_deflection(load: Any, pitch: Any, modulus: Any, inertia: Any, foundation: Any) -> Any:
    """Compression, m, under each bolt of an endless row of equal loads P, N, at `pitch` L, m.

    y0 = P b / (2 k) (sinh u + sin u) / (cosh u - cos u), u = beta L; written with e^-u so that a wide
    pitch does not overflow. Source: Hetenyi, Roark.
    """
    beta = beam_parameter(modulus, inertia, foundation)
    span = beta * pitch
    fade = exp(-span)
    shape = (1 - fade**2 + 2 * fade * sin(span)) / (1 + fade**2 - 2 * fade * cos(span))
    return load * beta / (2 * foundation) * shape


def bolt_row_midspan(load: Any, pitch: Any, modulus: Any, inertia: Any, foundation: Any) -> Any:
    """Compression, m, midway between the bolts of an endless row; negative means that the rail lifts.

    ym = P b / k (sinh h cos h + cosh h sin h) / (cosh 2h - cos 2h), h = beta L / 2. A gasket cannot pull, so
    a negative value says that the span is open, not by how much. Source: Hetenyi, Roark.
    """
    beta = beam_parameter(modulus, inertia, foundation)
    half = beta * pitch / 2
    fade = exp(-half)
    over = fade * (cos(half) + sin(half)) + fade**3 * (sin(half) - cos(half))
    under = 1 + fade**4 - 2 * fade**2 * cos(2 * half)
    return load * beta / foundation * over / under


def bolt_row_ratio(pitch: Any, modulus: Any, inertia: Any, foundation: Any) -> Any:
    """Mid-span over bolt compression in an endless row of equal loads: 1 is a rigid rail. Source: Hetenyi."""
    half = beam_parameter(modulus, inertia, foundation) * pitch / 2
    fade = exp(-half)
    over = fade * (cos(half) + sin(half)) + fade**3 * (sin(half) - cos(half))
    under = 1 - fade**4 + 2 * fade**2 * sin(2 * half)
    return 2 * over / under


def bolt_row_moment(load: Any, pitch: Any, modulus: Any, inertia: Any, foundation: Any) -> Any:
    """Bending moment, N m, of the rail under each bolt of an endless row of equal loads.

    M0 = P / (4 beta) (sinh u - sin u) / (cosh u - cos u), u = beta L; it tends to P L / 12 for a stiff rail.
    Source: Hetenyi, by superposition of single loads.
    """
    beta = beam_parameter(modulus, inertia, foundation)
    span = beta * pitch
    fade = exp(-span)
    shape = (1 - fade**2 - 2 * fade * sin(span)) / (1 + fade**2 - 2 * fade * cos(span))
    return load / (4 * beta) * shape


def stress_from_moment(moment: Any, width: Any, thickness: Any) -> Any:
    """Bending stress, Pa, at the face of a rectangular rail: 6 M / (w t^2)."""
    return 6 * moment / (width * thickness**2)


def mean_compression(load: Any, pitch: Any, foundation: Any) -> Any:
    """Compression, m, if the rail were rigid: P / (k L)."""
    return load / (foundation * pitch)
