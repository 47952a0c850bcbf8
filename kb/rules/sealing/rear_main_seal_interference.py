"""A seal lip must grip the crank: on a worn track or with the seal of the sister engine it only looks as if it did."""

from kb.roles import crank, rear_main_seal
from kb.rules._rule import Case, Limit, mm, rule


@rule(
    "rear-main-seal-interference",
    "sealing",
    "length",
    "linear",
    asks="Does the rear seal's lip grip the crank as it should?",
    limits=(
        Limit.at_least(
            0.0,
            why="the lip does not touch the crank",
            harm="leaks",
            milestone="fire",
            fix="the seal for this crank, or a thin sleeve over the track, fitted the right way round",
            source="definition",
        ),
        Limit.at_least(
            0.5 * mm,
            why="a lip that grips less lets oil past as soon as the crank runs out",
            harm="leaks",
            milestone="drive",
            fix="a thin sleeve over the worn track",
            source="memory",
        ),
        Limit.at_most(
            1.5 * mm,
            why="a lip that grips more runs hot and hardens",
            harm="wears",
            milestone="drive",
            fix="the seal for this diameter",
            source="memory",
        ),
    ),
    cases=(
        Case({"track": 85 * mm, "lip": 84 * mm}, 1.0 * mm, True, "hand sum"),
        Case({"track": 85 * mm, "lip": 84.5 * mm}, 0.5 * mm, True, "on the limit"),
        Case({"track": 83.8 * mm, "lip": 84 * mm}, -0.2 * mm, False, "a track polished down"),
    ),
)
def rear_main_seal_interference(track=crank.rear_track_diameter, lip=rear_main_seal.lip_diameter):
    """interference = diameter of the track - free diameter of the lip"""
    return track - lip
