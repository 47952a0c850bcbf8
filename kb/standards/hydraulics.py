"""Flow of oil, fuel and coolant in tubes: friction, local losses, orifices, drains.

SI throughout: flow in m3/s, lengths in m, density in kg/m3, dynamic viscosity in Pa s, pressure in Pa. Values may be
floats, numpy arrays or Pint quantities; flows and pressure drops are zero or positive. Friction factors are
Darcy's (four times Fanning's). A loss coefficient K counts velocity heads: drop = K rho V^2 / 2.

Cold oil is laminar (Reynolds number about 7 in a suction tube): every local loss here has a term in 1/Re, because the
constant K of handbooks holds for turbulent flow only.
"""

from __future__ import annotations

import math
from typing import Any, NamedTuple

from kb.errors import unknown
from kb.maths import constant, least, log, most

GRAVITY = 9.80665
"""Standard gravity, m/s2."""

LAMINAR_TOP = 2000.0
TURBULENT_FOOT = 4000.0
_STILL = 1e-12
_NEWTON_STEPS = 4
_LOG10 = math.log(10)

DRAWN_TUBE_ROUGHNESS = 1.5e-6
"""Roughness of drawn tube, m. Source: Moody chart, from memory."""
STEEL_PIPE_ROUGHNESS = 4.5e-5
"""Roughness of commercial steel pipe, m. Source: Moody chart, from memory."""


def tube_area(diameter: Any) -> Any:
    """Cross-section, m2, of a round bore of `diameter`, m."""
    return math.pi / 4 * diameter**2


def velocity(flow: Any, diameter: Any) -> Any:
    """Mean velocity, m/s, of `flow`, m3/s, in a round bore of `diameter`, m."""
    return flow / tube_area(diameter)


def reynolds(speed: Any, diameter: Any, density: Any, viscosity: Any) -> Any:
    """Reynolds number rho V D / mu. Follows from the definition."""
    return density * speed * diameter / viscosity


def colebrook(reynolds_number: Any, relative_roughness: Any) -> Any:
    """Darcy friction factor of turbulent flow: 1/sqrt f = -2 log10(e/3.7 + 2.51/(Re sqrt f)).

    Solved from Haaland's start by a fixed number of Newton steps, to rounding error. `relative_roughness` is
    roughness over bore, 0 to 0.05. Valid from Re 4000; it says nothing about laminar flow. Source: Colebrook-White.
    """
    rough = relative_roughness / 3.7
    smooth = 2.51 / reynolds_number
    x = -1.8 / _LOG10 * log(rough**1.11 + 6.9 / reynolds_number)
    for _ in range(_NEWTON_STEPS):
        inner = rough + smooth * x
        x = x - (x + 2 / _LOG10 * log(inner)) / (1 + 2 / _LOG10 * smooth / inner)
    return x**-2


def friction_factor(reynolds_number: Any, relative_roughness: Any) -> Any:
    """Darcy friction factor from rest to fully turbulent flow.

    64/Re up to Re 2000, Colebrook-White from Re 4000. Between, where no formula is right, the two are blended with
    the weight s^2 (3 - 2 s), s = (Re - 2000) / 2000, so that value and slope are continuous; the blend is a
    choice of ours without a source. Roughness has no effect in laminar flow.
    """
    re = most(reynolds_number, _STILL)
    ramp = least(most((re - LAMINAR_TOP) / (TURBULENT_FOOT - LAMINAR_TOP), 0.0), 1.0)
    weight = ramp**2 * (3 - 2 * ramp)
    return (1 - weight) * (64 / re) + weight * colebrook(most(re, LAMINAR_TOP), relative_roughness)


def tube_drop(flow: Any, diameter: Any, length: Any, density: Any, viscosity: Any, roughness: Any) -> Any:
    """Pressure drop, Pa, of a straight round tube: f (L/D) rho V^2 / 2 (Darcy-Weisbach).

    `roughness` of the wall in m. Laminar, turbulent and between by `friction_factor`. Flow taken as developed.
    """
    speed = velocity(flow, diameter)
    factor = friction_factor(reynolds(speed, diameter, density, viscosity), roughness / diameter)
    return factor * length / diameter * density * speed**2 / 2


def laminar_drop(flow: Any, diameter: Any, length: Any, viscosity: Any) -> Any:
    """Pressure drop, Pa, of laminar flow in a round tube: 128 mu L Q / (pi D^4). Source: Hagen-Poiseuille.

    Valid below Re 2000.
    """
    return 128 * viscosity * length * flow / (math.pi * diameter**4)


def wall_shear(drop: Any, diameter: Any, length: Any) -> Any:
    """Shear stress, Pa, at the wall of a tube with a pressure `drop`, Pa, over `length`: dp D / (4 L)."""
    return drop * diameter / (4 * length)


def local_drop(loss: Any, density: Any, speed: Any) -> Any:
    """Pressure drop, Pa, of a loss coefficient: K rho V^2 / 2."""
    return loss * density * speed**2 / 2


ENTRANCE_LOSS: dict[str, float] = {"square-edged": 0.5, "re-entrant": 0.8, "well-rounded": 0.03}
"""Turbulent K of a tube's mouth, on the tube's velocity. Source: Potter and Wiggert, table 7.2."""

_ENTRANCE_LAMINAR = 160.0


def entrance_loss(shape: str, reynolds_number: Any = None) -> Any:
    """K of the mouth of a tube, `shape` being square-edged, re-entrant or well-rounded, on the tube's velocity.

    Without `reynolds_number` the turbulent value; with it K1/Re + K, K1 = 160. Sources: Potter and Wiggert
    for K, Hooper's two-K method for K1 (from memory). Raises UnknownName for another shape.
    """
    if shape not in ENTRANCE_LOSS:
        raise unknown("entrance shape", shape, ENTRANCE_LOSS)
    if reynolds_number is None:
        return ENTRANCE_LOSS[shape]
    return _ENTRANCE_LAMINAR / most(reynolds_number, _STILL) + ENTRANCE_LOSS[shape]


class TwoK(NamedTuple):
    """Constants of Hooper's two-K method: K = k1/Re + k_large (1 + 1/D), D in inches."""

    k1: float
    k_large: float


BENDS: dict[str, TwoK] = {
    "90 long radius": TwoK(800, 0.20),
    "90 standard": TwoK(800, 0.25),
    "90 threaded": TwoK(800, 0.40),
    "90 mitred": TwoK(1000, 1.15),
    "45 long radius": TwoK(500, 0.15),
    "45 standard": TwoK(500, 0.20),
    "45 mitred": TwoK(500, 0.25),
    "180 long radius": TwoK(1000, 0.30),
    "180 standard": TwoK(1000, 0.35),
}
"""Bends by angle in degrees; standard has R/D = 1, long radius R/D = 1.5. Source: Hooper, 1981, two-K method."""


def bend_loss(kind: str, reynolds_number: Any, diameter: Any) -> Any:
    """K of one bend of `kind` (a key of BENDS) in a bore of `diameter`, m, at any Reynolds number.

    K = K1/Re + K (1 + 1 inch / D). Source: Hooper, The two-K method predicts head losses in pipe fittings,
    Chemical Engineering, 24 August 1981. Raises UnknownName for another kind.
    """
    if kind not in BENDS:
        raise unknown("bend", kind, BENDS)
    k1, k_large = BENDS[kind]
    return k1 / most(reynolds_number, _STILL) + k_large * (1 + constant(0.0254, "m", diameter) / diameter)


def expansion_loss(area_ratio: Any) -> Any:
    """K of a sudden widening, on the velocity in the narrow part: (1 - r)^2, r = narrow over wide area.

    Source: Borda-Carnot. Turbulent flow.
    """
    return (1 - area_ratio) ** 2


def contraction_loss(area_ratio: Any, reynolds_number: Any = None) -> Any:
    """K of a sudden, square-edged narrowing, on the velocity in the narrow part: 0.5 (1 - r).

    r = narrow over wide area; r = 0 is a square-edged entrance. With the `reynolds_number` of the narrow part
    the laminar term 160/Re (1 - r) of the entrance is added (common practice: Hooper's entrance scaled
    by the same factor). Source of the turbulent value: handbooks, from memory.
    """
    if reynolds_number is None:
        return 0.5 * (1 - area_ratio)
    return (_ENTRANCE_LAMINAR / most(reynolds_number, _STILL) + 0.5) * (1 - area_ratio)


def screen_loss(open_fraction: Any, wire_reynolds: Any) -> Any:
    """K of a plain square-woven wire screen, on the velocity of approach (flow over whole screen area).

    `open_fraction` is open over whole area, 0.2 to 0.8; `wire_reynolds` is rho u d / mu with u the velocity
    of approach and d the wire diameter. The screen is a bed two wires thick: K = 2 f L / (e^2 D), where
    f = 8.61/N + 0.52 and N = rho u / (mu a^2 D) between 0.1 and 1000, with void fraction e, surface a and pore D
    of the weave. Source: Armour and Cannon, AIChE Journal 14 (1968), constants from memory.
    """
    close = 1 - open_fraction**0.5
    crimp = (1 + close**2) ** 0.5
    pore = (1 - close) / close
    void = 1 - math.pi / 4 * close * crimp
    surface = math.pi * close * crimp
    number = most(wire_reynolds, _STILL) / (surface**2 * pore)
    return 2 * (8.61 / number + 0.52) * 2 / (void**2 * pore)


def screen_drop(
    flow: Any, screen_area: Any, open_fraction: Any, wire_diameter: Any, density: Any, viscosity: Any
) -> Any:
    """Pressure drop, Pa, of `flow`, m3/s, through a woven screen of `screen_area`, m2, by `screen_loss`."""
    speed = flow / screen_area
    loss = screen_loss(open_fraction, reynolds(speed, wire_diameter, density, viscosity))
    return local_drop(loss, density, speed)


def orifice_flow(coefficient: Any, area: Any, drop: Any, density: Any) -> Any:
    """Flow, m3/s, through an orifice of `area`, m2, under a pressure `drop`, Pa: Cd A sqrt(2 dp / rho).

    `coefficient` is about 0.62 for a sharp edge at high Reynolds number. A drop below zero counts as none.
    """
    return coefficient * area * (2 * most(drop, 0 * drop) / density) ** 0.5


def orifice_drop(coefficient: Any, area: Any, flow: Any, density: Any) -> Any:
    """Pressure drop, Pa, of a `flow`, m3/s, through an orifice: rho/2 (Q / (Cd A))^2."""
    return density / 2 * (flow / (coefficient * area)) ** 2


def head_pressure(density: Any, height: Any, gravity: Any = None) -> Any:
    """Pressure, Pa, of a column of `height`, m: rho g h; negative for a lift. Standard gravity if not given."""
    pull = constant(GRAVITY, "m/s**2", density) if gravity is None else gravity
    return density * pull * height


def drain_velocity(
    head: Any, length: Any, diameter: Any, density: Any, viscosity: Any, gravity: Any = None, exit_factor: Any = 1.0
) -> Any:
    """Velocity, m/s, of a liquid that drains under its own weight through a tube, laminar.

    Bernoulli with Hagen-Poiseuille: H = c V^2 / (2 g) + 32 mu L V / (rho g D^2), solved for V. `head` H is from the
    free surface to the outlet, m; `exit_factor` c is 1 for the mean velocity, 2 for a parabolic jet. Valid
    below Re 2000: check with `reynolds`. Entrance loss left out.
    """
    pull = constant(GRAVITY, "m/s**2", density) if gravity is None else gravity
    friction = 32 * viscosity * length / (density * pull * diameter**2)
    inertia = exit_factor / (2 * pull)
    return 2 * head / (friction + (friction**2 + 4 * inertia * head) ** 0.5)
