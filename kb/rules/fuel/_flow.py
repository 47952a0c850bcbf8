"""What several fuel rules share: the caution, the flow that each fuel asks for, and what a line takes."""

from __future__ import annotations

from typing import Any, NamedTuple

from kb.standards.fuel_flow import line_loss, pump_flow, square_law
from kb.standards.fuels import fuel_volume_flow, volume_ratio

CAUTION = (
    "Fuel burns: outdoors, extinguisher at hand, no flame, no sparks, engine and exhaust cold, battery disconnected while a "
    "line is open, fuel caught in a bonded metal can."
)
MELTS = CAUTION + " Lean under load melts pistons long before it misses: first runs short, rich and at light load."

FIRST, SECOND = "fuel", "second fuel"
l_h = 1e-3 / 3600
g_kwh = 1e-3 / 3.6e6


class Asked(NamedTuple):
    """What full load asks of one fuel: its name in the build, flow in m3/s, density and viscosity."""

    name: str
    flow: Any
    density: Any
    viscosity: Any = None


def asked(
    power: Any, per_work: Any, density: Any, ratio: Any, density_2: Any, ratio_2: Any, viscosity: Any = None,
    viscosity_2: Any = None,
) -> list[Asked]:  # fmt: skip
    """Flow of each fuel at full load; the second one burns the same air at the same lambda. Without it, `density_2` is 0."""
    first = fuel_volume_flow(power, per_work, density)
    made = [Asked(FIRST, first, density, viscosity)]
    if density_2:
        made.append(Asked(SECOND, first * volume_ratio(ratio, density, ratio_2, density_2), density_2, viscosity_2))
    return made


class Pump(NamedTuple):
    """The figures of a pump as wired in."""

    free_flow: Any
    rated_flow: Any
    rated_pressure: Any
    dead_head: Any
    volts: Any
    rated_volts: Any

    def at(self, pressure: Any) -> Any:
        """Flow, m3/s, against a pressure, Pa."""
        return pump_flow(pressure, *self)


class Run(NamedTuple):
    """One run of line with its filter; `filter_flow` is 0 where there is no filter."""

    bore: Any
    length: Any
    bends: Any
    elbows: Any
    fittings: Any
    fitting_bore: Any
    rise: Any
    filter_drop: Any = 0.0
    filter_flow: Any = 0.0

    def loss(self, flow: Any, density: Any, viscosity: Any) -> Any:
        """Where the pressure goes at a flow, Pa."""
        taken = square_law(self.filter_drop, self.filter_flow, flow) if self.filter_flow else 0.0
        return line_loss(
            flow, self.bore, self.length, density, viscosity, self.bends, self.elbows, self.fittings, self.fitting_bore,
            self.rise, taken,
        )  # fmt: skip


def parts_of(losses: list[tuple[str, Any]]) -> dict[str, Any]:
    """Notes for a finding: where the pressure of each fuel goes."""
    notes = []
    for name, loss in losses:
        shares = ", ".join(
            f"{part} {value / 1e3:.2f} kPa"
            for part, value in zip(loss._fields[:-1], loss[:-1], strict=True)
            if abs(value) >= 5
        )
        notes.append(f"{name}: {shares or 'next to nothing'} (Reynolds number {loss.reynolds:.0f})")
    return {"notes": notes}
