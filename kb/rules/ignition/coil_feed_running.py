"""A coil made for a ballast cooks on the full battery; a coil made for the full battery starves behind a ballast."""

from kb.roles import battery_circuit, coil, coil_feed
from kb.rules._rule import Case, Limit, rule
from kb.standards.electric import series_share


@rule(
    "coil-feed-running",
    "ignition",
    "voltage",
    "smooth",
    asks="With the engine running, does the coil get the voltage that it is made for?",
    limits=(
        Limit.at_most(
            coil.feed_most,
            why="the coil draws more than it can shed, and cooks",
            harm="no_start",
            milestone="drive",
            fix="the ballast that belongs to this coil, or a coil made for the full battery",
            source="service-manual",
            name="made_for",
        ),
        Limit.at_least(
            coil.feed_least,
            why="the spark is too weak to run on",
            harm="no_start",
            milestone="fire",
            fix="take the ballast out of the feed, or fit the coil that belongs to it",
            source="service-manual",
            name="sparks_from",
        ),
    ),
    cases=(
        Case({"voltage": 14.0, "resistance": 1.5, "ballast": 1.5, "made_for": 8.5, "sparks_from": 5.0}, 7.0, True, "half across each"),
        Case({"voltage": 14.0, "resistance": 0.7, "ballast": 0.0, "made_for": 14.0, "sparks_from": 6.0}, 14.0, True, "on the limit"),
        Case({"voltage": 14.0, "resistance": 1.5, "ballast": 0.0, "made_for": 8.5, "sparks_from": 5.0}, 14.0, False,
             "trade page: a ballast coil is made for about 8 V"),
        Case({"voltage": 14.0, "resistance": 0.5, "ballast": 1.5, "made_for": 16.0, "sparks_from": 6.0}, 3.5, False, "a quarter is left"),
    ),
    advice="Metal that is touched after a minute with the key on: the coil is warm, not hot.",
)  # fmt: skip
def coil_feed_running(voltage=battery_circuit.running_volts, resistance=coil.resistance, ballast=coil_feed.ballast):
    """voltage at the coil = feed x R / (R + ballast), current flowing"""
    return voltage * series_share(resistance, ballast)
