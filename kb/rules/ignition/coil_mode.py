"""A coil with two towers fires both its plugs every turn: it cannot fire one cylinder by itself, nor feed a rotor."""

from kb.roles import coil, controller
from kb.rules._rule import Case, Limit, rule


def _fits(towers: int, mode: str) -> int:
    return int(towers == 1 or (towers == 2 and mode == "wasted"))


@rule(
    "coil-mode",
    "ignition",
    "number",
    "count",
    asks="Can this sort of coil be fired in the way that the controller fires?",
    limits=(
        Limit.at_least(
            1,
            why="the second tower sparks into a cylinder that is not due",
            harm="no_start",
            milestone="fire",
            fix="wasted spark for coils with two towers, or one coil a cylinder",
            source="definition",
        ),
    ),
    cases=(
        Case({"towers": 2, "mode": "wasted"}, 1, True, "on the limit, from the definition"),
        Case({"towers": 1, "mode": "sequential"}, 1, True, "from the definition"),
        Case({"towers": 2, "mode": "sequential"}, 0, False, "from the definition"),
        Case({"towers": 2, "mode": "distributor"}, 0, False, "from the definition"),
    ),
    detail=lambda towers, mode: {
        "notes": [] if _fits(towers, mode) else [f"{towers} towers a coil, fired {mode.replace('wasted', 'in pairs')}"]
    },
)
def coil_mode(towers=coil.towers, mode=controller.spark_mode):
    """right = 1 for one tower, or two with wasted spark, else 0"""
    return _fits(towers, mode)
