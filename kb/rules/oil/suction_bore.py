"""A pump can push past a restriction but is fed only by the weight of the air: nowhere on the suction side may the bore
be smaller than the pump's inlet."""

from kb.roles import oil_pump, pickup
from kb.rules._rule import Case, Limit, mm, rule


@rule(
    "suction-bore",
    "oil",
    "length",
    "linear",
    asks="Is the pickup's tube at least as wide as the pump's inlet?",
    limits=(
        Limit.at_least(
            0.0,
            why="a step down on the suction side starves the pump above middle speed",
            harm="destroys",
            milestone="drive",
            fix="a pickup with a larger tube; count the fitting's bore, not the hose's",
            source="practice",
        ),
    ),
    when={oil_pump.inlet_joint: ("face", "press")},
    cases=(
        Case({"tube": 17 * mm, "inlet": 16 * mm}, 1 * mm, True, "hand sum"),
        Case({"tube": 16 * mm, "inlet": 16 * mm}, 0.0, True, "on the limit"),
        Case({"tube": 13 * mm, "inlet": 16 * mm}, -3 * mm, False, "hand sum"),
    ),
)
def suction_bore(tube=pickup.tube_bore, inlet=oil_pump.inlet_bore):
    """step = smallest bore of the tube - bore of the pump's inlet"""
    return tube - inlet
