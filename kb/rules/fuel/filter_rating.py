"""A filter behind the pump sees all that the pump can make with the outlet shut, not what the regulator is set to."""

from kb.roles import fuel_filter, fuel_pump
from kb.rules._rule import Case, Limit, kpa, rule
from kb.rules.fuel._flow import CAUTION


@rule(
    "filter-rating",
    "fuel",
    "pressure",
    "linear",
    asks="Is the filter behind the pump made for all the pressure that the pump can make?",
    limits=(
        Limit.at_least(
            0.0,
            why="a filter that bursts, or weeps at its seam, sprays fuel",
            harm="fire",
            milestone="fire",
            fix="a filter rated for the pump's dead head",
            source="practice",
        ),
    ),
    cases=(
        Case({"rating": 700 * kpa, "dead": 100 * kpa}, 600 * kpa, True, "hand sum"),
        Case({"rating": 100 * kpa, "dead": 100 * kpa}, 0.0, True, "on the limit"),
        Case({"rating": 35 * kpa, "dead": 100 * kpa}, -65 * kpa, False, "hand sum"),
    ),
    when={fuel_filter.serves: ("supply",)},
    caution=CAUTION,
)
def filter_rating(rating=fuel_filter.rating, dead=fuel_pump.dead_head):
    """to spare = rating of the filter - dead head of the pump"""
    return rating - dead
