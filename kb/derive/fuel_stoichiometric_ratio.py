"""Air that a pump fuel needs, from its ethanol."""

from kb.roles import fuel, second_fuel
from kb.rules._rule import derive
from kb.standards.fuels import ethanol_blend

_BECAUSE = "petrol (14.6 to 1) and ethanol (9.0 to 1) weighted by mass"


@derive(fuel.stoichiometric_ratio, because=_BECAUSE)
def fuel_stoichiometric_ratio(ethanol=fuel.ethanol):
    """ratio = mean of petrol's and ethanol's, weighted by mass"""
    return ethanol_blend(ethanol).ratio


@derive(second_fuel.stoichiometric_ratio, because=_BECAUSE)
def second_fuel_stoichiometric_ratio(ethanol=second_fuel.ethanol):
    """ratio = mean of petrol's and ethanol's, weighted by mass"""
    return ethanol_blend(ethanol).ratio
