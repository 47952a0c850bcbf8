"""A hole that is open to the water jacket or the crankcase leaks along the thread, where no gasket helps."""

from kb.roles import fastener, hole
from kb.rules._rule import Case, Limit, rule


@rule(
    "wet-hole-sealed",
    "fasteners",
    "number",
    "count",
    asks="Is the screw sealed, where its hole is open to coolant or oil?",
    limits=(
        Limit.at_most(
            0,
            why="coolant or oil creeps along the thread and out under the head",
            harm="leaks",
            milestone="fire",
            fix="thread sealant on a clean dry thread, or a sealing washer",
            source="trade-page",
        ),
    ),
    when={hole.end: ("coolant", "oil")},
    cases=(
        Case({"sealed": True}, 0, True, "on the limit, from the definition"),
        Case({"sealed": False}, 1, False, "from the definition"),
    ),
)
def wet_hole_sealed(sealed=fastener.sealed):
    """unsealed = 0 if the screw in a wet hole has sealant or a sealing washer, else 1"""
    return 1 - sealed * 1
