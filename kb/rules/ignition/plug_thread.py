"""Plug threads of one pitch and another diameter are sold beside each other."""

from kb.roles import cylinder_head, spark_plug
from kb.rules._rule import Case, Limit, rule


@rule(
    "plug-thread",
    "ignition",
    "number",
    "count",
    asks="Has the plug the head's thread?",
    limits=(
        Limit.at_least(
            1,
            why="it does not enter, or drops in and blows out",
            harm="destroys",
            milestone="fire",
            fix="the plug with the head's thread",
            source="definition",
        ),
    ),
    cases=(
        Case({"plug": "M14x1.25", "head": "M14x1.25"}, 1, True, "on the limit, from the definition"),
        Case({"plug": "M12x1.25", "head": "M14x1.25"}, 0, False, "same pitch, 2 mm thinner"),
    ),
)
def plug_thread(plug=spark_plug.thread, head=cylinder_head.plug_thread):
    """equal = 1 if plug and head have the same thread, else 0"""
    return (plug == head) + 0
