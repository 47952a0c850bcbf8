"""A bare coil on a logic output does nothing; a coil with its own igniter on a power output burns something."""

from kb.maths import pair_in
from kb.roles import coil, controller
from kb.rules._rule import Case, Limit, rule

PAIRS = frozenset({("none", "power"), ("built_in", "logic")})


@rule(
    "coil-driver",
    "ignition",
    "number",
    "count",
    asks="Is there exactly one igniter between the controller and the coil?",
    limits=(
        Limit.at_least(
            1,
            why="without an igniter there is no spark; with two, one of them or the coil burns",
            harm="no_start",
            milestone="fire",
            fix="an igniter between logic output and bare coil, or the coil that belongs to this output",
            source="trade-page",
        ),
    ),
    cases=(
        Case({"igniter": "none", "output": "power"}, 1, True, "on the limit, from the definition"),
        Case({"igniter": "built_in", "output": "logic"}, 1, True, "from the definition"),
        Case({"igniter": "none", "output": "logic"}, 0, False, "logic output on a bare coil"),
        Case({"igniter": "built_in", "output": "power"}, 0, False, "battery output on a coil with its own igniter"),
    ),
)
def coil_driver(igniter=coil.igniter, output=controller.coil_output):
    """matched = 1 for a bare coil on a power output or a coil with igniter on a logic output, else 0"""
    return pair_in(igniter, output, PAIRS)
