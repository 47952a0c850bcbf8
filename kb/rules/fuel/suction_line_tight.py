"""A pinhole on the suction side shows no drip: it lets in air, and the pump makes two thirds of its pressure."""

from kb.roles import fuel_line
from kb.rules._rule import Case, Limit, rule
from kb.rules.fuel._flow import CAUTION


@rule(
    "suction-line-tight",
    "fuel",
    "number",
    "count",
    asks="Has the suction run been proved free of air leaks?",
    limits=(
        Limit.at_least(
            1,
            why="air that is drawn in takes the place of fuel: a new tube with a pinhole gave 40 psi for 60",
            harm="no_start",
            milestone="fire",
            fix="weld or replace the tube, new hose ends, then blow it again under liquid",
            source="trade-page",
        ),
    ),
    cases=(
        Case({"proved": True}, 1, True, "on the limit, from the definition"),
        Case({"proved": False}, 0, False, "from the definition"),
    ),
    when={fuel_line.serves: ("suction",)},
    caution=CAUTION,
)
def suction_line_tight(proved=fuel_line.proved_tight):
    """proofs = 1 if no bubbles came, else 0"""
    return proved * 1
