"""Density of a pump fuel from its ethanol."""

from kb.roles import fuel, second_fuel
from kb.rules._rule import derive
from kb.standards.fuels import ethanol_blend

_BECAUSE = "volumes of petrol of 745 kg/m3 and of ethanol of 789 kg/m3 added up"


@derive(fuel.density, because=_BECAUSE)
def fuel_density(ethanol=fuel.ethanol):
    """density = share of ethanol x 789 kg/m3 + the rest x 745 kg/m3"""
    return ethanol_blend(ethanol).density


@derive(second_fuel.density, because=_BECAUSE)
def second_fuel_density(ethanol=second_fuel.ethanol):
    """density = share of ethanol x 789 kg/m3 + the rest x 745 kg/m3"""
    return ethanol_blend(ethanol).density
