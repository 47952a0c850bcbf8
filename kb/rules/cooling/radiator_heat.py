"""An engine with more power than the car was made for makes more heat than its radiator was made for, and on a hot day the
radiator loses less."""

from kb.roles import duty, radiator
from kb.rules._rule import Case, Limit, rule
from kb.rules.cooling._caution import COLD


@rule(
    "radiator-heat",
    "cooling",
    "power",
    "smooth",
    asks="Does the radiator lose as much heat as the engine gives it on a long pull, on the hottest day?",
    limits=(
        Limit.at_least(
            0.0,
            why="the coolant gains heat faster than the radiator loses it",
            harm="destroys",
            milestone="drive",
            fix="a larger radiator, a shroud, a freer way for the air; or less power held for less time",
            source="definition",
        ),
    ),
    cases=(
        Case(
            {"rated": 100e3, "difference": 60.0, "hot": 370.0, "air": 310.0, "power": 120e3, "share": 0.7},
            16e3,
            True,
            "hand sum: 100 kW at its rated difference, 84 kW to lose",
        ),
        Case(
            {"rated": 84e3, "difference": 60.0, "hot": 370.0, "air": 310.0, "power": 120e3, "share": 0.7},
            0.0,
            True,
            "on the limit",
        ),
        Case(
            {"rated": 100e3, "difference": 60.0, "hot": 365.0, "air": 320.0, "power": 120e3, "share": 0.7},
            -9e3,
            False,
            "hand sum: at 45 K it loses 75 kW",
        ),
    ),
    advice="Heat to the coolant is 0.6 to 1.0 of the brake power at full load (energy balance of engines, from memory), more "
    "at part load. With its air and its coolant flowing as before, a radiator's heat goes with coolant in less air in.",
    caution=COLD,
)
def radiator_heat(
    rated=radiator.heat,
    difference=radiator.rated_difference,
    hot=duty.hot_coolant,
    air=duty.hot_air,
    power=duty.held_power,
    share=duty.coolant_share,
):
    """spare = rated heat x (hottest coolant - hottest air) / rated difference - power held x heat to the coolant per power"""
    return rated * (hot - air) / difference - power * share
