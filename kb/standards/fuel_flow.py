"""What a fuel system passes: pumps, lines with their fittings, regulators, filters, vents, float needles, injectors.

SI: flow in m3/s, pressure in Pa (gauge), lengths in m, density in kg/m3, viscosity (kinematic) in m2/s. Friction and
local losses as in `hydraulics`.
"""

from __future__ import annotations

from typing import Any, NamedTuple

from kb.maths import constant, least, most, where
from kb.standards.hydraulics import (
    DRAWN_TUBE_ROUGHNESS,
    bend_loss,
    contraction_loss,
    expansion_loss,
    head_pressure,
    local_drop,
    orifice_drop,
    orifice_flow,
    reynolds,
    tube_area,
    tube_drop,
    velocity,
)

NEEDLE_COEFFICIENT = 0.7
"""Discharge coefficient of a float needle wide open. Trade page: 0.110 in passes 43 gal/h at 6 psi."""
VENT_COEFFICIENT = 0.6
"""Discharge coefficient of a vent hole: near that of a sharp edge, 0.62."""


def pump_flow(
    pressure: Any, free_flow: Any, rated_flow: Any, rated_pressure: Any, dead_head: Any, volts: Any, rated_volts: Any
) -> Any:
    """Flow, m3/s, of a pump against `pressure`, Pa, at `volts` on its plug.

    Straight lines from the free flow at no pressure through the rated flow to nothing at the dead head, all at the
    rated voltage. The slip depends on the pressure alone, and the speed of a permanent-magnet motor at one torque
    falls by the missing volts, so the flow falls by free flow x (1 - volts / rated volts): derived, holds for pumps
    that displace; turbine pumps lose more. Never below zero.
    """
    before = free_flow + (rated_flow - free_flow) * (pressure / rated_pressure)
    beyond = rated_flow * ((dead_head - pressure) / (dead_head - rated_pressure))
    flow = where(pressure <= rated_pressure, before, beyond) - free_flow * (1 - volts / rated_volts)
    return most(flow, 0 * free_flow)


class LineLoss(NamedTuple):
    """Where the pressure goes in one line, Pa; `reynolds` is that of the tube."""

    tube: Any
    bends: Any
    fittings: Any
    filter: Any
    rise: Any
    reynolds: Any

    @property
    def total(self) -> Any:
        return self.tube + self.bends + self.fittings + self.filter + self.rise


def line_loss(
    flow: Any,
    bore: Any,
    length: Any,
    density: Any,
    viscosity: Any,
    bends: Any = 0,
    elbows: Any = 0,
    fittings: Any = 0,
    fitting_bore: Any = None,
    rise: Any = None,
    filter_drop: Any = None,
) -> LineLoss:
    """Pressure that a fuel line takes at `flow`.

    bends: sweeps of about 90 degrees; elbows: tight 90-degree fittings; fittings: straight unions, ends and adapters,
    each narrowing to `fitting_bore` and widening again (no loss where that is the bore or more); rise: outlet over
    inlet, m; filter_drop: what the filter takes at this flow, Pa. Darcy-Weisbach with Colebrook-White, Hooper's bends,
    Borda-Carnot widening. The wall is taken as drawn tube or smooth hose.
    """
    speed = velocity(flow, bore)
    number = reynolds(speed, bore, density, viscosity * density)
    narrow = bore if fitting_bore is None else least(fitting_bore, bore)
    share = (narrow / bore) ** 2
    step = contraction_loss(share) + expansion_loss(share)
    tight = bend_loss("90 threaded", number, bore)
    none = 0 * density * speed**2
    return LineLoss(
        tube=tube_drop(flow, bore, length, density, viscosity * density, constant(DRAWN_TUBE_ROUGHNESS, "m", bore)),
        bends=bends * local_drop(bend_loss("90 long radius", number, bore), density, speed)
        + elbows * local_drop(tight, density, velocity(flow, narrow)),
        fittings=(fittings + elbows) * local_drop(step, density, velocity(flow, narrow)),
        filter=none if filter_drop is None else filter_drop,
        rise=none if rise is None else head_pressure(density, rise),
        reynolds=number,
    )


def square_law(drop: Any, at_flow: Any, flow: Any) -> Any:
    """A pressure drop, Pa, known at one flow, restated at another: dp (Q / Q0)^2. For valves and open regulators."""
    return drop * (flow / at_flow) ** 2


def vent_drop(fuel_flow: Any, bore: Any, air_density: Any, opening: Any = None) -> Any:
    """Depression, Pa, in a tank from which `fuel_flow` leaves while as much air comes in through a vent of `bore`.

    `opening` is the pressure that a valve in the vent needs to open.
    """
    hole = orifice_drop(VENT_COEFFICIENT, tube_area(bore), fuel_flow, air_density)
    return hole if opening is None else hole + opening


def needle_flow(bore: Any, pressure: Any, density: Any, coefficient: float = NEEDLE_COEFFICIENT) -> Any:
    """Flow, m3/s, of one float needle's seat wide open: Cd A sqrt(2 dp / rho)."""
    return orifice_flow(coefficient, tube_area(bore), pressure, density)


def needle_bore(flow: Any, pressure: Any, density: Any, coefficient: float = NEEDLE_COEFFICIENT) -> Any:
    """Bore, m, of the seat that passes `flow`: `needle_flow` turned round."""
    return (flow / needle_flow(1.0, pressure, density, coefficient)) ** 0.5


def needle_force(bore: Any, pressure: Any) -> Any:
    """Force, N, with which fuel lifts a float needle off its seat: pressure times the seat's area."""
    return pressure * tube_area(bore)


def injector_flow(rated_flow: Any, rated_pressure: Any, rated_density: Any, pressure: Any, density: Any) -> Any:
    """Flow, m3/s, of an injector held open: Q0 sqrt(dp rho0 / (dp0 rho)). `pressure` is across it, rail to manifold."""
    return rated_flow * (pressure / rated_pressure * (rated_density / density)) ** 0.5


def injector_mass_each(power: Any, consumption: Any, count: Any, duty: Any) -> Any:
    """kg/s that each of `count` injectors must pass, wide open, for a power at a duty: P b / (n duty)."""
    return power * consumption / (count * duty)


def touch(reach_at_rest: Any, spacer: Any, pad_to_lobe_low: Any) -> Any:
    """How far a mechanical pump's arm is pressed at the low point of the lobe, m; negative where it hangs in the air.

    reach_at_rest: pump flange to the arm's tip, free; pad_to_lobe_low: block pad to the eccentric or pushrod at its
    lowest. The spacer moves the flange away from the lobe.
    """
    return reach_at_rest - spacer - pad_to_lobe_low


def room_at_lift(reach_pressed: Any, spacer: Any, pad_to_lobe_high: Any) -> Any:
    """Travel, m, that the arm has left at full lift; negative where it bottoms. `reach_pressed`: arm fully pressed."""
    return pad_to_lobe_high + spacer - reach_pressed
