"""Blow-by that finds no way out pushes oil past the next seal, and the next: one filtered way in, one metered way out, with
a baffle before it."""

from kb.roles import crankcase_vent
from kb.rules._rule import Case, Limit, rule


@rule(
    "crankcase-vent-path",
    "sealing",
    "number",
    "count",
    asks="Is there one filtered way into the crankcase and one metered way out, with a baffle?",
    limits=(
        Limit.at_most(
            0,
            why="pressure in the crankcase moves the leak from seal to seal, or the way out drinks oil",
            harm="leaks",
            milestone="fire",
            fix="the valve in one cover, a filtered breather in the other, a baffle under the way out",
            source="practice",
        ),
    ),
    cases=(
        Case({"way_in": "filtered", "way_out": "valve", "baffled": True}, 0, True, "on the limit, common practice"),
        Case(
            {"way_in": "none", "way_out": "valve", "baffled": True}, 1, False, "capped: the valve draws past the seals"
        ),
        Case({"way_in": "open", "way_out": "none", "baffled": False}, 3, False, "covers of two engines mixed up"),
    ),
)
def crankcase_vent_path(way_in=crankcase_vent.way_in, way_out=crankcase_vent.way_out, baffled=crankcase_vent.baffled):
    """lacks = (no filtered way in) + (no metered way out) + (no baffle)"""
    metered = (way_out == "valve") + (way_out == "orifice")
    return (way_in != "filtered") + (1 - metered) + (1 - baffled * 1)
