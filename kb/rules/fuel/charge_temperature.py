"""Squeezed air is hot air: without an intercooler boost brings heat to the mixture faster than it brings air."""

from kb.roles import compressor, duty
from kb.rules._rule import Case, Limit, rule
from kb.rules.fuel._flow import MELTS
from kb.standards.air import STANDARD_PRESSURE, charge

# air-04 of the check values: 25 degC, pressure ratio 1.8, efficiency 0.70 give 102.887 degC.
_GIVEN = {"intake": 298.15, "boost": 0.8 * STANDARD_PRESSURE, "efficiency": 0.70, "cooling": 0.0}
_HOT = 102.887 + 273.15


@rule(
    "charge-temperature",
    "fuel",
    "temperature",
    "smooth",
    asks="Is the air in the manifold cool enough at full boost?",
    limits=(
        Limit.at_most(
            333.15,
            why="hot charge knocks: less ignition, less boost, or more fuel than the air is worth",
            harm="destroys",
            milestone="drive",
            fix="an intercooler, less boost, or a compressor nearer its best point",
            source="memory",
        ),
    ),
    cases=(
        Case(_GIVEN, _HOT, None, "air-04 of the check values; outside the usual range", 0.3),
        Case({**_GIVEN, "boost": 0.0}, 298.15, True, "air-08 of the check values: no boost, no heat", 1e-6),
        Case({**_GIVEN, "cooling": 0.7}, 298.15 + 0.3 * (_HOT - 298.15), True, "a cooler that takes out 70 %", 0.1),
        Case({**_GIVEN, "cooling": 1 - 35 / 77.887219}, 333.15, True, "on the limit", 1e-5),
    ),
    caution=MELTS,
)
def charge_temperature(
    intake=duty.intake_air,
    boost=compressor.boost,
    efficiency=compressor.efficiency,
    cooling=compressor.intercooling,
):
    """temperature = T1 + (1 - intercooling) x T1 x (PR^0.2857 - 1) / efficiency, PR = (101.3 kPa + boost) / 101.3 kPa"""
    return charge(intake, boost, efficiency, cooling).temperature
