"""Fuels and their blends: air needed, density, heat, and how much of one does the work of another.

SI inside: density in kg/m3, heating value in J/kg, ratios by mass, power in W, consumption in kg/J. Blends are given by
volume, as pumps state them, and weighted by mass: air and heat follow the mass. Volumes are taken to add up.
"""

from __future__ import annotations

import math
from typing import Any, NamedTuple

from kb.errors import Fault, unknown
from kb.maths import constant, exp, log

ATOMIC_MASS: dict[str, float] = {"C": 12.011, "H": 1.008, "O": 15.999, "N": 14.007, "S": 32.06}
"""g/mol. Source: IUPAC standard atomic weights, abridged."""

AIR_MOLAR_MASS = 28.9647
"""Dry air, g/mol. Source: ISO 2533, as remembered."""
OXYGEN_SHARE = 0.2095
"""Oxygen in dry air by volume; 23.14 % by mass. Source: ISO 2533, as remembered."""

_AIR_PER_OXYGEN = AIR_MOLAR_MASS / OXYGEN_SHARE
_CO2_FORMATION, _STEAM_FORMATION = -393.51e3, -241.826e3  # J/mol at 298.15 K. CODATA key values

PUMP_E85 = (0.51, 0.83)
"""Ethanol by volume in what a pump may sell as E85, least and most. Source: ASTM D5798."""

BEST_CONSUMPTION = (250e-3 / 3.6e6, 300e-3 / 3.6e6)
"""Fuel per work of a spark-ignition engine at its best point, kg/J: 250 to 300 g/kWh. Source: Heywood, from memory."""
FULL_LOAD_CONSUMPTION = (300e-3 / 3.6e6, 340e-3 / 3.6e6)
"""The same at full load and rich mixture: 300 to 340 g/kWh. From memory; use a range, never one number."""


class Fuel(NamedTuple):
    """A fuel. ratio: mass of air that burns one of fuel just completely. density: kg/m3 at about 20 degC.

    heating_value: lower, of the liquid, J/kg. viscosity: kinematic at about 20 degC, m2/s. ethanol: share by volume.
    """

    name: str
    ratio: Any
    density: Any
    heating_value: Any
    viscosity: Any
    ethanol: Any = 0.0


def molar_mass(carbon: float, hydrogen: float, oxygen: float = 0, nitrogen: float = 0, sulphur: float = 0) -> float:
    """g/mol of C, H, O, N and S in these numbers."""
    counts = zip("CHONS", (carbon, hydrogen, oxygen, nitrogen, sulphur), strict=True)
    return math.fsum(count * ATOMIC_MASS[element] for element, count in counts)


def stoichiometric_ratio(
    carbon: float, hydrogen: float, oxygen: float = 0, nitrogen: float = 0, sulphur: float = 0
) -> float:
    """Air over fuel by mass at which all of a fuel with these atoms just burns, to CO2, H2O, N2 and SO2.

    Elemental balance with dry air: C + H/4 - O/2 + S molecules of oxygen. Follows from the definition. Fault for a
    formula without mass.
    """
    mass = molar_mass(carbon, hydrogen, oxygen, nitrogen, sulphur)
    if mass <= 0:
        raise Fault("a fuel needs atoms", step="give the number of carbon and hydrogen atoms")
    return (carbon + hydrogen / 4 - oxygen / 2 + sulphur) * _AIR_PER_OXYGEN / mass


def stoichiometric_ratio_by_mass(carbon: float, hydrogen: float, oxygen: float = 0, sulphur: float = 0) -> float:
    """The same from shares by mass, in any one unit (0.522 or 52.2); what they lack to their sum counts as inert.

    Shares that add up to more than 1.5 are taken to be percentages.
    """
    whole = 100.0 if carbon + hydrogen + oxygen + sulphur > 1.5 else 1.0
    shares = {"C": carbon / whole, "H": hydrogen / whole, "O": oxygen / whole, "S": sulphur / whole}
    moles = {element: share / ATOMIC_MASS[element] for element, share in shares.items()}
    return (moles["C"] + moles["H"] / 4 - moles["O"] / 2 + moles["S"]) * _AIR_PER_OXYGEN


def lower_heating_value(carbon: float, hydrogen: float, oxygen: float, formation: float) -> float:
    """J/kg of heat when the liquid burns to CO2 and steam at 298 K.

    `formation` is the heat of formation of the liquid, J/mol. Heats of CO2 and steam: CODATA key values.
    """
    heat = formation - carbon * _CO2_FORMATION - hydrogen / 2 * _STEAM_FORMATION
    return heat / (molar_mass(carbon, hydrogen, oxygen) / 1e3)


def _pure(
    name: str, c: float, h: float, o: float, formation: float, density: float, cst: float, ethanol: float = 0
) -> Fuel:
    heat = lower_heating_value(c, h, o, formation * 1e3)
    return Fuel(name, stoichiometric_ratio(c, h, o), density, heat, cst * 1e-6, ethanol)


PETROL = Fuel("petrol", stoichiometric_ratio(1, 1.87), 745.0, 18676 * 2326.0, 0.6e-6)
"""Petrol without ethanol: CH1.87, 745 kg/m3 (EN 228 allows 720 to 775), 18 676 Btu/lb (US DOE fuel table).

The hydrogen, the density and the viscosity are common figures, no published source reached; 14.6 to 1 follows.
"""
ETHANOL = _pure("ethanol", 2, 6, 1, -277.0, 789.42, 1.52, 1.0)

FUELS: dict[str, Fuel] = {
    fuel.name: fuel
    for fuel in (
        PETROL,
        ETHANOL,
        _pure("methanol", 1, 4, 1, -238.9, 791.3, 0.74),
        _pure("isooctane", 8, 18, 0, -259.3, 691.9, 0.73),
        _pure("heptane", 7, 16, 0, -224.4, 683.8, 0.60),
        _pure("toluene", 7, 8, 0, 12.0, 866.9, 0.68),
    )
}
"""Fuels by name, at 20 degC. Heats of formation of the liquids, densities and viscosities are from memory."""


def fuel_named(name: str) -> Fuel:
    """A fuel of the table; UnknownName for another."""
    if name not in FUELS:
        raise unknown("fuel", name, FUELS)
    return FUELS[name]


def blend(*parts: tuple[Fuel, Any], name: str = "blend") -> Fuel:
    """What comes of pouring fuels together, `parts` being (fuel, share by volume); the shares need not add up to one.

    Density by volume, air and heat by mass, viscosity by the logarithm and mass (a common approximation, no source).
    """
    volume = sum(share for _, share in parts)
    mass = sum(share * fuel.density for fuel, share in parts)
    weights = [share * fuel.density / mass for fuel, share in parts]
    return Fuel(
        name,
        sum(weight * fuel.ratio for weight, (fuel, _) in zip(weights, parts, strict=True)),
        mass / volume,
        sum(weight * fuel.heating_value for weight, (fuel, _) in zip(weights, parts, strict=True)),
        _log_mean(weights, [fuel.viscosity for fuel, _ in parts]),
        sum(share * fuel.ethanol for fuel, share in parts) / volume,
    )


def _log_mean(weights: list[Any], values: list[Any]) -> Any:
    unit = constant(1.0, "m**2/s", values[0])
    return exp(sum(weight * log(value / unit) for weight, value in zip(weights, values, strict=True))) * unit


def ethanol_blend(share: Any, petrol: Fuel = PETROL, ethanol: Fuel = ETHANOL, name: str = "") -> Fuel:
    """Petrol with a `share` of ethanol by volume, 0 to 1."""
    return blend((ethanol, share), (petrol, 1 - share), name=name or "ethanol blend")


def fuel_mass_flow(power: Any, consumption: Any) -> Any:
    """kg/s at a power, W, and a fuel consumption per work, kg/J. Follows from the definition."""
    return power * consumption


def fuel_volume_flow(power: Any, consumption: Any, density: Any) -> Any:
    """m3/s at a power, W, a consumption per work, kg/J, and a density, kg/m3. Follows from the definition."""
    return power * consumption / density


def mass_ratio(first_ratio: Any, second_ratio: Any) -> Any:
    """Mass of the second fuel over that of the first for the same air at the same lambda: r1 / r2."""
    return first_ratio / second_ratio


def volume_ratio(first_ratio: Any, first_density: Any, second_ratio: Any, second_density: Any) -> Any:
    """Volume of the second fuel over that of the first for the same air at the same lambda: r1 d1 / (r2 d2)."""
    return first_ratio * first_density / (second_ratio * second_density)


def jet_area_ratio(first_ratio: Any, first_density: Any, second_ratio: Any, second_density: Any) -> Any:
    """Area of a jet for the second fuel over that for the first, at equal lambda, air, depression and coefficient.

    (r1 / r2) sqrt(d1 / d2): a jet passes mass as its area times the root of the density. Follows from the definition.
    """
    return first_ratio / second_ratio * (first_density / second_density) ** 0.5


def energy_ratio(first: Fuel, second: Fuel) -> Any:
    """Volume of the second fuel over that of the first for the same heat."""
    return first.heating_value * first.density / (second.heating_value * second.density)
