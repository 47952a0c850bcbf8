"""What the suction side of an oil pump costs: from the sump through screen, mouth, tube and bends to the inlet."""

from __future__ import annotations

from typing import Any, NamedTuple

from kb.maths import constant
from kb.standards.hydraulics import (
    bend_loss,
    entrance_loss,
    head_pressure,
    local_drop,
    reynolds,
    screen_drop,
    tube_drop,
    velocity,
)
from kb.standards.oil import density_at, dynamic_viscosity, viscosity_at

T40, T100 = 313.15, 373.15  # the two temperatures of every oil data sheet, K
ROUGHNESS = 1.5e-6  # drawn tube, m (handbooks on pipe flow; from memory)
_MOUTH = {"square": "square-edged", "reentrant": "re-entrant", "rounded": "well-rounded"}


class Losses(NamedTuple):
    """Where the depression at the inlet comes from, Pa; `reynolds` is that of the tube.

    motion: what sets the oil moving, one velocity head (Bernoulli); a gauge at the inlet reads it too.
    """

    screen: Any
    mouth: Any
    tube: Any
    bends: Any
    motion: Any
    lift: Any
    reynolds: Any

    @property
    def total(self) -> Any:
        return self.screen + self.mouth + self.tube + self.bends + self.motion + self.lift


def suction_losses(
    speed: Any, temperature: Any, displacement: Any, ratio: Any, v40: Any, v100: Any, density_15: Any, bore: Any,
    length: Any, bends: Any, mouth: str, screen_area: Any, screen_open: Any, screen_wire: Any, lift: Any,
) -> Losses:  # fmt: skip
    """Losses of the suction path, Pa.

    speed of the crank (rev/s); oil temperature (K); displacement of the pump (m3 a turn) and its turns for one of the
    crank; kinematic viscosity at 40 and 100 degC (m2/s); density at 15 degC (kg/m3); bore and length of the tube (m);
    number of bends of about 90 degrees; mouth: square, reentrant or rounded; screen area (m2), open share and wire
    (m); lift of the inlet over the oil's surface (m). The pump is taken to fill completely, so the flow is an upper
    figure. Sources: ASTM D341, Colebrook-White, Hooper's two-K method, Armour and Cannon, as in `hydraulics`.
    """
    flow = speed * displacement * ratio
    density = density_at(temperature, density_15)
    t40, t100 = constant(T40, "K", temperature), constant(T100, "K", temperature)
    viscosity = dynamic_viscosity(viscosity_at(temperature, v40, t40, v100, t100), density)
    flowing = velocity(flow, bore)
    number = reynolds(flowing, bore, density, viscosity)
    return Losses(
        screen=screen_drop(flow, screen_area, screen_open, screen_wire, density, viscosity),
        mouth=local_drop(entrance_loss(_MOUTH[mouth], number), density, flowing),
        tube=tube_drop(flow, bore, length, density, viscosity, constant(ROUGHNESS, "m", bore)),
        bends=bends * local_drop(bend_loss("90 long radius", number, bore), density, flowing),
        motion=local_drop(1.0, density, flowing),
        lift=head_pressure(density, lift),
        reynolds=number,
    )


def suction_curve(top_speed: float, temperature: float, *given: Any, points: int = 25) -> list[tuple[float, float]]:
    """(crank speed in rev/s, depression in Pa) from a standstill to `top_speed`; `given` as in `suction_losses`."""
    speeds = [top_speed * step / (points - 1) for step in range(points)]
    return [(speed, float(suction_losses(speed, temperature, *given).total)) for speed in speeds]
