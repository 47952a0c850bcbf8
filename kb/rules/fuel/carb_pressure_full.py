"""The setting is made at idle; at full flow the regulator droops, and the bowl fills by what is left."""

from kb.roles import carburettor, fuel_regulator
from kb.rules._rule import Case, Limit, kpa, rule
from kb.rules.fuel._flow import MELTS


@rule(
    "carb-pressure-full",
    "fuel",
    "pressure",
    "linear",
    asks="Is there still enough pressure at the carburettor at full flow?",
    limits=(
        Limit.at_least(
            carburettor.inlet_pressure_least,
            why="the bowl empties in top gear and the engine runs lean",
            harm="destroys",
            milestone="drive",
            fix="a larger regulator, a higher setting inside the carburettor's band, a larger line",
            source="practice",
            name="carb_least",
        ),
    ),
    cases=(
        Case({"setting": 41 * kpa, "droop": 5 * kpa, "carb_least": 28 * kpa}, 36 * kpa, True, "hand sum"),
        Case({"setting": 41 * kpa, "droop": 13 * kpa, "carb_least": 28 * kpa}, 28 * kpa, True, "on the limit"),
        Case({"setting": 41 * kpa, "droop": 20 * kpa, "carb_least": 28 * kpa}, 21 * kpa, False, "hand sum"),
    ),
    caution=MELTS,
)
def carb_pressure_full(setting=fuel_regulator.set_pressure, droop=fuel_regulator.droop):
    """pressure = setting at idle - droop from idle to full flow"""
    return setting - droop
