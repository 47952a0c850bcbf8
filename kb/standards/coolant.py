"""Water and water-glycol: density, specific heat, and the flow that carries a given heat.

Water: Kell's density formula (J. Chem. Eng. Data 20, 1975) and the specific heats of the steam tables, both from memory
and tested against IAPWS-95 figures. Glycol: half-and-half by volume, usual data-sheet figures, from memory.
"""

from __future__ import annotations

from typing import Any

from kb.maths import constant

_CELSIUS = 273.15
# Specific heat of water at saturation, J/(kg K), as a polynomial in degC/100 through the rows of the steam tables from
# 0 to 120 degC (4217, 4193, 4182, 4178, 4179, 4181, 4185, 4190, 4197, 4205, 4216, 4229, 4245; from memory): within 0.5.
_CP = (4216.9186, -319.8716, 947.603, -1286.4519, 882.9528, -225.3017)
_HALF_DENSITY, _HALF_CP = 1.067, 0.845  # half-and-half over plain water near 90 degC, from memory


def water_density(temperature: Any) -> Any:
    """Density of water, kg/m3, at `temperature` (K), 0 to 120 degC, at the pressures of a cooling system."""
    t = (temperature - constant(_CELSIUS, "K", temperature)) / constant(1.0, "K", temperature)
    top = 999.83952 + t * (
        16.945176 + t * (-7.9870401e-3 + t * (-46.170461e-6 + t * (105.56302e-9 - t * 280.54253e-12)))
    )
    return top / (1 + 16.879850e-3 * t) * constant(1.0, "kg/m**3", temperature)


def water_heat(temperature: Any) -> Any:
    """Specific heat of water, J/(kg K), at `temperature` (K), 0 to 120 degC."""
    t = (temperature - constant(_CELSIUS, "K", temperature)) / constant(100.0, "K", temperature)
    found: Any = 0.0 * t
    for factor in reversed(_CP):
        found = found * t + factor
    return found * constant(1.0, "J/kg/K", temperature)


def heat_capacity(temperature: Any, glycol: Any = 0.0) -> Any:
    """Heat that a cubic metre takes up per kelvin, J/(m3 K), with a volume share `glycol` of 0 to 0.5 of antifreeze."""
    share = glycol / 0.5
    density = water_density(temperature) * (1 + share * (_HALF_DENSITY - 1))
    return density * water_heat(temperature) * (1 + share * (_HALF_CP - 1))


def heat_carried(flow_mass: Any, specific_heat: Any, rise: Any) -> Any:
    """Heat, W, that a mass flow (kg/s) takes up over a rise (K): m cp dT."""
    return flow_mass * specific_heat * rise


def flow_for_heat(heat: Any, rise: Any, temperature: Any, glycol: Any = 0.0) -> Any:
    """Volume flow, m3/s, that carries `heat` (W) with a rise (K) at the mean `temperature` (K)."""
    return heat / (heat_capacity(temperature, glycol) * rise)


def rise_for_flow(heat: Any, flow: Any, temperature: Any, glycol: Any = 0.0) -> Any:
    """Temperature rise, K, of a flow (m3/s) that carries `heat` (W)."""
    return heat / (heat_capacity(temperature, glycol) * flow)


# Saturation line of water, region 4 of IAPWS-IF97; the coefficients from memory, tested against the figures that the
# release prints for checking.
_LINE = (
    0.11670521452767e4, -0.72421316703206e6, -0.17073846940092e2, 0.12020824702470e5, -0.32325550322333e7,
    0.14915108613530e2, -0.48232657361591e4, 0.40511340542057e6, -0.23855557567849, 0.65017534844798e3,
)  # fmt: skip
_RAISED = (
    15.0  # K that antifreeze raises the boiling point, for each volume share of 1: data sheets to 0.5, from memory
)


def boiling_water(pressure: Any) -> Any:
    """Temperature, K, at which water boils under an absolute `pressure` (Pa), 0.6 kPa to 22 MPa. IAPWS-IF97."""
    n1, n2, n3, n4, n5, n6, n7, n8, n9, n10 = _LINE
    root = (pressure / constant(1e6, "Pa", pressure)) ** 0.25
    e = root**2 + n3 * root + n6
    f = n1 * root**2 + n4 * root + n7
    g = n2 * root**2 + n5 * root + n8
    d = 2 * g / (-f - (f**2 - 4 * e * g) ** 0.5)
    return (n10 + d - ((n10 + d) ** 2 - 4 * (n9 + n10 * d)) ** 0.5) / 2 * constant(1.0, "K", pressure)


def boiling_point(gauge: Any, glycol: Any = 0.0, air: float = 101325.0) -> Any:
    """Temperature, K, at which coolant boils under a cap that holds `gauge` (Pa) over `air` (Pa, absolute).

    `glycol` is the volume share of antifreeze, 0 to 0.5; what it adds is a data-sheet figure from memory.
    """
    return boiling_water(gauge + constant(air, "Pa", gauge)) + _RAISED * glycol * constant(1.0, "K", gauge)
