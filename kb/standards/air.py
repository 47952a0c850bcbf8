"""Air for an engine: how much it swallows, what boost makes of it, and what a carburettor or throttle passes.

SI: pressure in Pa absolute unless said otherwise, temperature in K, speed in turns a second, flow in m3/s or kg/s.
"""

from __future__ import annotations

import math
from typing import Any, NamedTuple

from kb.maths import constant

GAS_CONSTANT = 287.05287
"""Dry air, J/(kg K). Source: ISO 2533."""
STANDARD_PRESSURE = 101325.0
"""Pa at sea level. Source: ISO 2533."""
STANDARD_TEMPERATURE = 288.15
"""K at sea level. Source: ISO 2533."""
LAPSE = 0.0065
"""K lost for each metre of height. Source: ISO 2533."""
KAPPA = 1.4
"""Ratio of specific heats of air, for warm air a little less. Textbooks on gas dynamics."""

RATING_FOUR_BARREL = 1.5 * 3386.389
"""Pa at which the flow of a four-barrel carburettor is usually stated: 1.5 inHg. Common practice, no source."""
RATING_TWO_BARREL = 3.0 * 3386.389
"""Pa at which the flow of a one- or two-barrel carburettor is usually stated: 3 inHg. Common practice, no source."""
BENCH_DENSITY = 1.204
"""kg/m3 of air at 20 degC and standard pressure, as on a flow bench."""


def air_density(temperature: Any, pressure: Any = None) -> Any:
    """Density of dry air, kg/m3: p / (R T). `pressure` is that of sea level if not given. Ideal gas."""
    at = constant(STANDARD_PRESSURE, "Pa", temperature) if pressure is None else pressure
    return at / (constant(GAS_CONSTANT, "J/kg/K", temperature) * temperature)


def pressure_at_height(height: Any) -> Any:
    """Pa at a height above the sea, m: p0 (1 - L h / T0)^5.2559. Source: ISO 2533, valid to 11 000 m."""
    lapse = constant(LAPSE / STANDARD_TEMPERATURE, "1/m", height)
    return constant(STANDARD_PRESSURE, "Pa", height) * (1 - lapse * height) ** 5.25588


def swallowed(displacement: Any, speed: Any, efficiency: Any = 1.0, strokes: int = 4) -> Any:
    """Volume of air, m3/s at the state in the manifold: V N / 2 times the volumetric efficiency for four strokes.

    Follows from the definition; "cfm" in this sense is actual volume, not standard.
    """
    return displacement * speed * efficiency / (strokes / 2)


def pressure_ratio(boost: Any, ambient: Any = None) -> Any:
    """Absolute over absolute pressure for a gauge pressure `boost`, Pa."""
    around = constant(STANDARD_PRESSURE, "Pa", boost) if ambient is None else ambient
    return (around + boost) / around


def compressor_outlet(temperature: Any, ratio: Any, efficiency: Any, kappa: float = KAPPA) -> Any:
    """Temperature, K, of air behind a compressor: T1 (1 + (PR^((k-1)/k) - 1) / efficiency).

    `ratio` PR is absolute over absolute; `efficiency` is isentropic, 0 to 1. Textbooks on gas dynamics.
    """
    return temperature * (1 + (ratio ** ((kappa - 1) / kappa) - 1) / efficiency)


def intercooled(hot: Any, ambient: Any, effectiveness: Any) -> Any:
    """Temperature, K, behind an intercooler: hot - effectiveness (hot - ambient). Follows from the definition."""
    return hot - effectiveness * (hot - ambient)


def density_ratio(first_temperature: Any, second_temperature: Any, ratio: Any) -> Any:
    """Density of air after over before a change of state: PR T1 / T2. Ideal gas."""
    return ratio * first_temperature / second_temperature


class Charge(NamedTuple):
    """Air in the manifold. temperature: K. density: kg/m3. gain: density over that of the air outside."""

    temperature: Any
    density: Any
    gain: Any


def charge(intake: Any, boost: Any, efficiency: Any, effectiveness: Any) -> Charge:
    """State of the air in the manifold at sea level.

    intake: temperature before the compressor, K; boost: gauge, Pa, 0 for none; efficiency of the compressor,
    isentropic; effectiveness of the intercooler, 0 for none (its pressure drop is left out).
    """
    ratio = pressure_ratio(boost)
    temperature = intercooled(compressor_outlet(intake, ratio, efficiency), intake, effectiveness)
    gain = density_ratio(intake, temperature, ratio)
    return Charge(temperature, air_density(intake) * gain, gain)


def rated_depression(flow: Any, rated_flow: Any, rated_drop: Any, density: Any) -> Any:
    """Depression, Pa, that a carburettor needs for a `flow`, m3/s, of air of `density`, kg/m3, wide open.

    Square law from its rated flow at its rated drop, bench air being 1.204 kg/m3.
    """
    return rated_drop * (flow / rated_flow) ** 2 * density / constant(BENCH_DENSITY, "kg/m**3", density)


def flow_at_other_rating(flow: Any, rated_drop: Any, wanted_drop: Any) -> Any:
    """A rated flow restated at another drop: Q sqrt(dp2 / dp1); 1.5 inHg against 3 inHg is a factor of 1.41."""
    return flow * (wanted_drop / rated_drop) ** 0.5


THROTTLE_COEFFICIENT = 0.85
"""Discharge coefficient of a wide-open throttle on its free area. Common practice, no published source."""


def throttle_area(bore: Any, shaft: Any, count: Any = 1) -> Any:
    """Free area, m2, of wide-open throttles: bore less the shadow of the shaft, each."""
    return count * (math.pi / 4 * bore**2 - bore * shaft)


def air_for_fuel(fuel_flow: Any, ratio: Any, lam: Any = 1.0) -> Any:
    """kg/s of air for a mass flow of fuel, kg/s, of stoichiometric `ratio`, at lambda."""
    return fuel_flow * ratio * lam
