"""Viscosity of a pump fuel from its ethanol."""

from kb.roles import fuel, second_fuel
from kb.rules._rule import derive
from kb.standards.fuels import ethanol_blend

_BECAUSE = "petrol (0.6 cSt) and ethanol (1.5 cSt) by the logarithm, figures from memory"


@derive(fuel.viscosity, because=_BECAUSE)
def fuel_viscosity(ethanol=fuel.ethanol):
    """viscosity = logarithmic mean of petrol's and ethanol's, weighted by mass"""
    return ethanol_blend(ethanol).viscosity


@derive(second_fuel.viscosity, because=_BECAUSE)
def second_fuel_viscosity(ethanol=second_fuel.ethanol):
    """viscosity = logarithmic mean of petrol's and ethanol's, weighted by mass"""
    return ethanol_blend(ethanol).viscosity
