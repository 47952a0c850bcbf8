"""A ballast that stays in circuit while the starter turns leaves the coil half of what the battery can spare."""

from kb.roles import battery_circuit, coil, coil_feed
from kb.rules._rule import Case, Limit, rule
from kb.standards.electric import series_share


@rule(
    "coil-feed-cranking",
    "ignition",
    "voltage",
    "smooth",
    asks="While the starter turns, does the coil get enough voltage to spark?",
    limits=(
        Limit.at_least(
            coil.feed_least,
            why="the engine fires only as the key is let go, if at all",
            harm="no_start",
            milestone="fire",
            fix="a bypass wire from the starter's solenoid to the coil, thicker cable, or a coil without ballast",
            source="service-manual",
            name="sparks_from",
        ),
    ),
    cases=(
        Case({"voltage": 9.0, "resistance": 1.5, "ballast": 1.5, "bypass": True, "sparks_from": 5.0}, 9.0, True, "all of it"),
        Case({"voltage": 10.0, "resistance": 1.5, "ballast": 1.5, "bypass": False, "sparks_from": 5.0}, 5.0, True, "on the limit"),
        Case({"voltage": 9.0, "resistance": 1.5, "ballast": 1.5, "bypass": False, "sparks_from": 5.0}, 4.5, False, "half across each"),
    ),
    advice="Runs in start and dies on release: the ballast is open. Fires on release only: the bypass is missing.",
)  # fmt: skip
def coil_feed_cranking(
    voltage=battery_circuit.cranking_volts,
    resistance=coil.resistance,
    ballast=coil_feed.ballast,
    bypass=coil_feed.bypass,
):
    """voltage at the coil = feed x R / (R + ballast unless bypassed), current flowing"""
    return voltage * series_share(resistance, ballast * (1 - bypass))
