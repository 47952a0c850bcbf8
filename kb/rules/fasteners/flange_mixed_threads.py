"""Inch and metric on one flange: someone will put the screw in the wrong hole, for it starts there too."""

from kb.roles import screw_set
from kb.rules._rule import Case, Limit, rule
from kb.rules.fasteners._words import Place, mixed


@rule(
    "flange-mixed-threads",
    "fasteners",
    "number",
    "count",
    asks="Is there no screw of the flange that starts in the wrong hole of it?",
    limits=(
        Limit.at_most(
            0,
            why="two threads on one flange start in each other's holes: sooner or later one is stripped",
            harm="wears",
            milestone="drive",
            fix="one thread for the whole flange by inserts, or paint head and hole",
            source="trade-page",
            usual=True,
        ),
    ),
    cases=(
        Case({"places": [Place("A1"), Place("A2")]}, 0, True, "on the limit, from the definition"),
        Case({"places": [Place("A1"), Place("A2", "M6x1", "M6x1")]}, 0, True, "M6 drops into M8 and shows itself"),
        Case({"places": [Place("A1"), Place("A2", "5/16-18", "5/16-18")]}, 2, None,
             "5/16-18 runs about two turns in M8, M8 up to 1.4 turns in 5/16-18"),
    ),
    detail=lambda places: {"notes": mixed(places)},
)  # fmt: skip
def flange_mixed_threads(places=screw_set.places.of("hole_thread", "screw_thread")):
    """confusable = pairs of a screw and a hole of another thread in which it starts"""
    return len(mixed(places))
