"""A sheet edge saws through a cable in one season: every hole wants its grommet."""

from typing import Any

from kb.roles import battery_circuit
from kb.rules._rule import Case, Limit, rule


class _Hole:
    def __init__(self, grommet: bool, id: str = "floor") -> None:
        self.id, self.grommet = id, grommet


def _bare(holes: Any) -> list[str]:
    return [each.id for each in holes if not each.grommet]


@rule(
    "battery-cable-grommets",
    "electrical",
    "number",
    "count",
    asks="Has every hole that the battery cable goes through a grommet?",
    limits=(
        Limit.at_most(
            0,
            why="the edge cuts the jacket, and the whole battery meets the body",
            harm="fire",
            milestone="crank",
            fix="a grommet or a bulkhead fitting in each hole named",
            source="trade-page",
        ),
    ),
    cases=(
        Case({"holes": [_Hole(True)]}, 0, True, "on the limit"),
        Case({"holes": []}, 0, True, "no hole"),
        Case({"holes": [_Hole(True), _Hole(False, "bulkhead")]}, 1, False, "from the definition"),
    ),
    detail=lambda holes: {"notes": [f"no grommet: {name}" for name in _bare(holes)]},
)
def battery_cable_grommets(holes=battery_circuit.holes.of("grommet")):
    """bare = holes without a grommet"""
    return len(_bare(holes))
