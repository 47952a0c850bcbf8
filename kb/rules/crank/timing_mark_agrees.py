"""Bonded rings creep and covers differ: a piston stop tells where top dead centre is, midway between where the piston stops both
ways."""

from math import pi

from kb.roles import timing_pointer
from kb.rules._rule import Case, Limit, rule

_DEG = pi / 180


@rule(
    "timing-mark-agrees",
    "crank",
    "angle",
    "linear",
    asks="Does the timing mark stand at the pointer when piston 1 is at the top?",
    limits=(
        Limit.at_least(
            -4 * _DEG,
            name="late",
            why="the engine is timed several degrees wrong: heat",
            harm="destroys",
            milestone="fire",
            fix="stamp a new mark, the pointer of this cover, or a damper whose ring has not crept",
            source="practice",
        ),
        Limit.at_most(
            4 * _DEG,
            name="early",
            why="the engine is timed several degrees wrong: knock",
            harm="destroys",
            milestone="fire",
            fix="stamp a new mark, the pointer of this cover, or a damper whose ring has not crept",
            source="practice",
        ),
        Limit.at_least(
            -1 * _DEG,
            why="a mark this far off misleads a careful setting",
            harm="wears",
            milestone="fire",
            fix="stamp a new mark",
            source="memory",
        ),
        Limit.at_most(
            1 * _DEG,
            why="a mark this far off misleads a careful setting",
            harm="wears",
            milestone="fire",
            fix="stamp a new mark",
            source="memory",
        ),
    ),
    cases=(
        Case({"forwards": -30 * _DEG, "backwards": 31 * _DEG}, 0.5 * _DEG, True, "midway, from the definition"),
        Case({"forwards": -30 * _DEG, "backwards": 32 * _DEG}, 1 * _DEG, True, "on the limit"),
        Case({"forwards": -18 * _DEG, "backwards": 42 * _DEG}, 12 * _DEG, False, "a crept ring"),
    ),
    caution="Turn by hand only, battery disconnected, and take the stop out again.",
)
def timing_mark_agrees(forwards=timing_pointer.stop_before, backwards=timing_pointer.stop_after):
    """error = (reading at the stop forwards + reading at the stop backwards) / 2"""
    return (forwards + backwards) / 2
