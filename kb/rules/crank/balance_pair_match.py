"""An engine that is balanced outside its crank carries weights at both ends, and a rebuilt one mixes them: crank, damper and
flexplate must all belong to one balance."""

from kb.roles import crank, damper, drive_plate
from kb.rules._rule import Case, Limit, rule


@rule(
    "balance-pair-match",
    "crank",
    "number",
    "count",
    asks="Do crank, damper and flywheel or flexplate belong to one balance?",
    limits=(
        Limit.at_most(
            0,
            why="a weight at one end that the crank does not ask for shakes the car and hammers the main bearings",
            harm="destroys",
            milestone="drive",
            fix="the damper or plate of this crank's balance, or have the set rebalanced together",
            source="trade-page",
        ),
    ),
    cases=(
        Case(
            {"due": "internal", "front": "internal", "rear": "internal"}, 0, True, "on the limit, from the definition"
        ),
        Case(
            {"due": "internal", "front": "internal", "rear": "heavy"},
            1,
            False,
            "trade page: plate of the later balance on an early engine",
        ),
        Case({"due": "early", "front": "late", "rear": "late"}, 2, False, "from the definition"),
    ),
)
def balance_pair_match(due=crank.balance, front=damper.balance, rear=drive_plate.balance):
    """mismatches = ends whose balance is not the crank's"""
    return (front != due) + 0 + (rear != due)
