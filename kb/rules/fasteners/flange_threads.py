"""A cover with screws from three engines: each hole must get the screw of its own thread."""

from kb.roles import screw_set
from kb.rules._rule import Case, Limit, rule
from kb.rules.fasteners._words import Place, wrong


@rule(
    "flange-threads",
    "fasteners",
    "number",
    "count",
    asks="Has every hole of the flange a screw of its own thread?",
    limits=(
        Limit.at_most(
            0,
            why="a screw of another thread starts and then locks or strips the hole",
            harm="destroys",
            milestone="prime",
            fix="sort the screws hole by hole; a stripped hole takes a thread insert",
            source="definition",
        ),
    ),
    cases=(
        Case({"places": [Place("A1"), Place("A2")]}, 0, True, "on the limit, from the definition"),
        Case({"places": [Place("A1"), Place("A2", screw_thread="5/16-18")]}, 1, False, "from the definition"),
    ),
    detail=lambda places: {"notes": wrong(places)},
)
def flange_threads(places=screw_set.places.of("hole_thread", "screw_thread")):
    """mismatches = holes whose screw is of another thread"""
    return len(wrong(places))
