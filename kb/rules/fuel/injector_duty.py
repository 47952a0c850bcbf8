"""An injector that is held open nearly all the time has no time left to close: it loses control, and the top end runs
lean."""

from kb.maths import where
from kb.roles import compressor, duty, fuel, fuel_regulator, injector, second_fuel
from kb.rules._rule import Case, Limit, kpa, optional, percent, rule
from kb.rules.fuel._flow import MELTS, asked, g_kwh
from kb.standards.fuel_flow import injector_flow

LB_H = 0.45359237 / 3600
HP = 745.69987158227022
_DEMAND = 130e3 * 330 * g_kwh / 745
_GIVEN = {
    "power": 130e3, "per_work": 330 * g_kwh, "density": 745.0, "ratio": 14.6, "density_2": 0.0, "ratio_2": 0.0,
    "setting": 300 * kpa, "referenced": True, "boost": 0.0, "pieces": 6, "flow": _DEMAND / 6 / 0.6, "rated": 300 * kpa,
    "test_density": 745.0,
}  # fmt: skip
# 350 hp, eight cylinders, 0.5 lb/hp.h: each must pass 27 lb/h at 80 % duty (RULES: computed there, from the definition).
_EIGHT = {
    **_GIVEN, "power": 350 * HP, "per_work": 0.5 * LB_H / HP, "pieces": 8, "flow": 350 * 0.5 / (8 * 0.81) * LB_H / 745,
}  # fmt: skip


@rule(
    "injector-duty",
    "fuel",
    "percent",
    "stations",
    asks="At full load, are the injectors shut for long enough to keep control, on either fuel?",
    limits=(
        Limit.at_most(
            85 * percent,
            why="past about 85 % an injector does not close between shots: lean at the top end, and it heats",
            harm="destroys",
            milestone="drive",
            fix="larger injectors, or more pressure inside their rating",
            source="practice",
        ),
    ),
    cases=(
        Case(_GIVEN, 0.6, True, "P b / (n Q rho) by hand"),
        Case({**_GIVEN, "flow": _DEMAND / 6 / 0.85}, 0.85, True, "on the limit"),
        Case(_EIGHT, 0.81, True, "27 lb/h each for 350 hp, eight cylinders, 0.5 lb/hp.h"),
        Case({**_GIVEN, "setting": 75 * kpa}, 1.2, False, "a quarter of the pressure, half the flow"),
        Case({**_GIVEN, "referenced": False, "boost": 100 * kpa}, 0.6 * 1.5**0.5, True, "boost takes a third off"),
        Case({**_GIVEN, "density_2": 782.8, "ratio_2": 9.8},
             0.6 * (14.6 * 745 / (9.8 * 782.8)) * (782.8 / 745) ** 0.5, False, "enough for petrol, not for E85"),
    ),
    worst="most",
    caution=MELTS,
    advice="80 % leaves room; a flow tag holds at its own pressure only.",
)  # fmt: skip
def injector_duty(
    power=duty.power,
    per_work=duty.fuel_per_work,
    density=fuel.density,
    ratio=fuel.stoichiometric_ratio,
    density_2=optional(second_fuel.density, absent=0.0),
    ratio_2=optional(second_fuel.stoichiometric_ratio, absent=0.0),
    setting=fuel_regulator.set_pressure,
    referenced=fuel_regulator.boost_reference,
    boost=optional(compressor.boost, absent=0.0),
    pieces=injector.pieces,
    flow=injector.flow,
    rated=injector.rated_pressure,
    test_density=injector.test_density,
):
    """duty = demand / (number x flow x sqrt(pressure / rated pressure x test density / density)), for each fuel"""
    across = where(referenced, setting, setting - boost)
    return [
        (each.name, each.flow / (pieces * injector_flow(flow, rated, test_density, across, each.density)))
        for each in asked(power, per_work, density, ratio, density_2, ratio_2)
    ]
