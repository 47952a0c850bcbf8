"""A cap that holds more than the old core was soldered for makes the core the relief valve."""

from kb.roles import radiator
from kb.rules._rule import Case, Limit, kpa, rule
from kb.rules.cooling._caution import COLD


@rule(
    "cap-rating",
    "cooling",
    "pressure",
    "linear",
    asks="Does the cap open before the weakest of radiator, tank and heater gives way?",
    limits=(
        Limit.at_least(
            0.0,
            why="the cap holds more than the core, which splits instead",
            harm="leaks",
            milestone="drive",
            fix="the cap that the weakest part is made for, or a stronger core",
            source="definition",
        ),
    ),
    cases=(
        Case({"stands": 110 * kpa, "opens": 90 * kpa}, 20 * kpa, True, "hand sum"),
        Case({"stands": 90 * kpa, "opens": 90 * kpa}, 0.0, True, "on the limit"),
        Case({"stands": 50 * kpa, "opens": 110 * kpa}, -60 * kpa, False, "hand sum"),
    ),
    caution=COLD,
)
def cap_rating(stands=radiator.rated_pressure, opens=radiator.cap_pressure):
    """reserve = pressure that the weakest part stands - pressure at which the cap opens"""
    return stands - opens
