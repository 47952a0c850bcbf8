"""A long cover screw in a short hole locks the gear behind it or splits the boss: list a length for every hole, not one
for the part."""

from kb.roles import screw_set
from kb.rules._rule import Case, Limit, mm, rule
from kb.rules.fasteners._words import Place
from kb.standards.threads import thread

_OPEN = 99.0  # turns in hand where the hole has no bottom


@rule(
    "flange-screw-lengths",
    "fasteners",
    "number",
    "stations",
    asks="Does every screw of the flange stop on its head before it meets the bottom of its hole?",
    limits=(
        Limit.at_least(
            0.0,
            why="the screw bottoms: it feels tight, clamps nothing, and splits the boss",
            harm="destroys",
            milestone="prime",
            fix="the right length in each hole; mark them on a sketch",
            source="definition",
        ),
        Limit.at_least(
            1.0,
            why="less than one turn is left for a thinner gasket or dirt in the hole",
            harm="destroys",
            milestone="prime",
            fix="a shorter screw or a washer, and blow the hole out",
            source="practice",
            name="in_hand",
        ),
    ),
    cases=(
        Case(
            {"places": [Place("A1"), Place("A2", through=True, screw_length=90 * mm)]}, 4.0, True, "hand sum: 5 / 1.25"
        ),
        Case({"places": [Place("A1", screw_length=33.75 * mm)]}, 1.0, True, "on the limit: 1.25 / 1.25"),
        Case({"places": [Place("A1"), Place("A2", screw_length=40 * mm)]}, -4.0, False, "hand sum: -5 / 1.25"),
    ),
)
def flange_screw_lengths(
    places=screw_set.places.of("screw_thread", "screw_length", "stack", "thread_depth", "through"),
):
    """turns in hand = (thread depth - (length - stack)) / pitch, at each hole"""
    return [
        (
            each.id,
            _OPEN
            if each.through
            else (each.thread_depth - (each.screw_length - each.stack)) / thread(each.screw_thread).pitch,
        )
        for each in places
    ]
