"""Oil that cannot run back floods the top of the engine and pushes the rear seal out: pass a wire down every drain after
assembly."""

from kb.roles import sealing_job
from kb.rules._rule import Case, Limit, percent, rule


class _Drain:
    def __init__(self, id: str, closed: float) -> None:
        self.id, self.closed = id, closed


@rule(
    "drain-back",
    "sealing",
    "percent",
    "stations",
    asks="Is every drain-back passage open after assembly?",
    limits=(
        Limit.at_most(
            50 * percent,
            why="drains more than half closed pushed rear seals out",
            harm="destroys",
            milestone="fire",
            fix="take the joint apart and clear the passage; no sealant near a drain",
            source="service-manual",
        ),
    ),
    worst="most",
    cases=(
        Case({"drains": [_Drain("left", 0.0), _Drain("right", 0.1)]}, 0.1, True, "the worst of two"),
        Case({"drains": [_Drain("left", 0.5)]}, 0.5, True, "on the limit, service bulletin"),
        Case({"drains": [_Drain("left", 0.0), _Drain("right", 0.8)]}, 0.8, False, "service bulletin"),
    ),
)
def drain_back(drains=sealing_job.drains.of("closed")):
    """closed = share of each drain that is shut"""
    return [(each.id, each.closed) for each in drains]
