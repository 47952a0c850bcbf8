"""The float's force is fixed: more pressure than it can hold lifts the needle and floods the engine, less lets the bowl
run dry. Without a regulator the pump's own dead head stands on the needle."""

from kb.maths import least
from kb.roles import carburettor, fuel_pump, fuel_regulator
from kb.rules._rule import Case, Limit, kpa, optional, rule
from kb.rules.fuel._flow import CAUTION

PSI = 6894.757293168
NO_REGULATOR = 1e6  # Pa, above any pump for a carburettor: the dead head counts then
_BAND = {"carb_least": 28 * kpa, "carb_most": 48 * kpa}


@rule(
    "carb-pressure-band",
    "fuel",
    "pressure",
    "rough",
    asks="Is the pressure at the carburettor's inlet, engine idling, inside what its float can hold?",
    limits=(
        Limit.at_most(
            carburettor.inlet_pressure_most,
            why="the needle is lifted off its seat: flooding, washed bores, thinned oil, fire",
            harm="fire",
            milestone="fire",
            fix="a regulator with a return of its own, a smaller pump, or a smaller needle seat",
            source="practice",
            name="carb_most",
        ),
        Limit.at_most(
            8 * PSI,
            why="a pump rated over about 8 psi needs a regulator, whatever the carburettor",
            harm="fire",
            milestone="fire",
            fix="a regulator with a return of its own",
            source="trade-page",
            name="tolerated",
        ),
        Limit.at_least(
            carburettor.inlet_pressure_least,
            why="the bowl cannot fill as fast as it empties",
            harm="no_start",
            milestone="fire",
            fix="a higher setting, or the pump that this carburettor wants",
            source="practice",
            name="carb_least",
        ),
    ),
    cases=(
        Case({"setting": 41 * kpa, "dead": 100 * kpa, **_BAND}, 41 * kpa, True, "from the definition"),
        Case({"setting": 48 * kpa, "dead": 100 * kpa, **_BAND}, 48 * kpa, True, "on the limit"),
        Case({"setting": NO_REGULATOR, "dead": 100 * kpa, **_BAND}, 100 * kpa, False, "no regulator"),
        Case({"setting": 41 * kpa, "dead": 20 * kpa, **_BAND}, 20 * kpa, False, "the pump never gets there"),
        Case({"setting": 300 * kpa, "dead": 600 * kpa, **_BAND}, 300 * kpa, False, "an injection setting"),
    ),
    advice="Pages name 4 to 7 psi, or 5 to 8; some old carburettors take no more than 3.",
    caution=CAUTION + " A flooding carburettor is a fire: shut the pump off first.",
)
def carb_pressure_band(
    setting=optional(fuel_regulator.set_pressure, absent=NO_REGULATOR),
    dead=fuel_pump.dead_head,
):
    """pressure = the lesser of the regulator's setting and the pump's dead head"""
    return least(setting, dead)
