"""A taper plug in a flat seat, or a ring plug in a taper, seals on a line that soon leaks and never sheds its heat."""

from kb.roles import cylinder_head, spark_plug
from kb.rules._rule import Case, Limit, rule


@rule(
    "plug-seat",
    "ignition",
    "number",
    "count",
    asks="Does the plug seal in the way that the head's seat is cut for?",
    limits=(
        Limit.at_least(
            1,
            why="it leaks, and the plug runs hot because its seat carries the heat away",
            harm="destroys",
            milestone="fire",
            fix="the plug with the head's kind of seat",
            source="definition",
        ),
    ),
    cases=(
        Case({"plug": "taper", "head": "taper"}, 1, True, "on the limit, from the definition"),
        Case({"plug": "gasket", "head": "taper"}, 0, False, "from the definition"),
    ),
)
def plug_seat(plug=spark_plug.seat, head=cylinder_head.plug_seat):
    """equal = 1 if plug and head have the same kind of seat, else 0"""
    return (plug == head) + 0
