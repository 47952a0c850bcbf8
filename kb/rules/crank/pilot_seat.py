"""Bearing, bush or sleeve is pressed into the crank: two outside diameters exist, and the loose one turns in its bore."""

from kb.roles import crank, pilot
from kb.rules._rule import Case, Limit, mm, rule


@rule(
    "pilot-seat",
    "crank",
    "length",
    "linear",
    asks="Is the pilot bearing or sleeve a press fit in the crank?",
    limits=(
        Limit.at_least(
            0.0,
            why="it turns in the bore, walks out and centres nothing",
            harm="destroys",
            milestone="drive",
            fix="the bearing or sleeve for this crank's bore",
            source="practice",
        ),
        Limit.at_most(
            0.5 * mm,
            name="does_not_enter",
            why="it does not go in without being ruined",
            harm="no_start",
            milestone="crank",
            fix="the bearing or sleeve for this crank's bore",
            source="practice",
        ),
        Limit.at_most(
            0.08 * mm,
            why="a tighter fit closes the bearing's play",
            harm="wears",
            milestone="crank",
            fix="the bearing for this crank; ream the bush after pressing",
            source="memory",
        ),
    ),
    when={pilot.sort: ("sleeve", "bearing", "bush")},
    cases=(
        Case({"outer": 46.04 * mm, "bore": 46.0 * mm}, 0.04 * mm, True, "hand sum"),
        Case({"outer": 46.0 * mm, "bore": 46.0 * mm}, 0.0, True, "on the limit"),
        Case({"outer": 44.5 * mm, "bore": 46.0 * mm}, -1.5 * mm, False, "hand sum: the bearing of the other crank"),
        Case({"outer": 48.0 * mm, "bore": 46.0 * mm}, 2 * mm, False, "hand sum"),
    ),
)
def pilot_seat(outer=pilot.outer, bore=crank.pilot_bore):
    """interference = outside of the pilot - bore of the crank"""
    return outer - bore
