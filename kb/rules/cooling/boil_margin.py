"""The cap and the antifreeze decide when the coolant boils; the gauge reads normal until it does."""

from kb.roles import coolant_circuit, duty, radiator
from kb.rules._rule import Case, Limit, kpa, rule
from kb.rules.cooling._caution import COLD
from kb.standards.coolant import boiling_point, boiling_water


@rule(
    "boil-margin",
    "cooling",
    "temperature_difference",
    "smooth",
    asks="Does the coolant stay liquid at the hottest that you accept?",
    limits=(
        Limit.at_least(
            0.0,
            why="the coolant boils at the outlet, steam leaves no coolant on the metal",
            harm="destroys",
            milestone="drive",
            fix="a cap that holds more if the core stands it, antifreeze in the water, or a lower temperature",
            source="definition",
        ),
        Limit.at_least(
            8.0,
            why="metal between the plugs is hotter than the outlet: with less in hand than this it boils there first, and again "
            "after the engine is shut off",
            harm="destroys",
            milestone="drive",
            fix="a cap that holds more if the core stands it, antifreeze in the water, or a lower temperature",
            source="memory",
        ),
    ),
    cases=(
        Case(
            {"cap": 1e6 - 101325.0, "glycol": 0.0, "hot": 373.15},
            453.035632 - 373.15,
            True,
            "IAPWS-IF97, table 36: water boils at 453.035632 K under 1 MPa",
            1e-5,
        ),
        Case({"cap": 0.0, "glycol": 0.0, "hot": boiling_water(101325.0) - 8.0}, 8.0, True, "on the usual limit"),
        Case(
            {"cap": 0.0, "glycol": 0.0, "hot": 378.15},
            99.974 - 105.0,
            False,
            "water boils at 99.974 degC at sea level (steam tables, from memory)",
            0.002,
        ),
        Case({"cap": 90 * kpa, "glycol": 0.5, "hot": boiling_water(191325.0) + 7.5}, 0.0, None, "on the hard limit"),
    ),
    advice="At sea level. Each 1000 m of height takes some 3 K off without a cap, less with one (steam tables, from memory).",
    caution=COLD,
)
def boil_margin(cap=radiator.cap_pressure, glycol=coolant_circuit.glycol, hot=duty.hot_coolant):
    """in hand = boiling point under the cap's pressure, raised by the antifreeze - hottest coolant"""
    return boiling_point(cap, glycol) - hot
