"""A tube that is only pressed in, or hung from one bolt, shakes loose: it wants a bracket to a main stud."""

from kb.roles import pickup
from kb.rules._rule import Case, Limit, rule


@rule(
    "pickup-brace",
    "oil",
    "number",
    "count",
    asks="Is the pickup held by more than a press fit or a single bolt?",
    limits=(
        Limit.at_least(
            1,
            why="a press fit or one bolt works loose by vibration, and the pressure is gone at once",
            harm="destroys",
            milestone="drive",
            fix="a brace to a main stud; or tack the tube to the pump's body with the relief spring out, then prove that "
            "the pump still turns",
            source="trade-page",
            usual=True,
        ),
    ),
    cases=(
        Case({"brace": True, "bolts": 0}, 2, True, "from the definition"),
        Case({"brace": False, "bolts": 2}, 1, True, "on the limit"),
        Case({"brace": False, "bolts": 1}, 0, None, "from the definition: the trade page warns"),
    ),
    caution="Weld heat distorts a pump cover; do not quench cast iron.",
)
def pickup_brace(brace=pickup.brace, bolts=pickup.flange_bolts):
    """holds = 2 for a brace + 1 for a flange with two bolts or more"""
    return brace * 2 + (bolts >= 2) * 1
