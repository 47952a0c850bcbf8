"""An inch bolt starts in a metric flange, and strips it at the second turn."""

from kb.roles import crank, flywheel_bolts
from kb.rules._rule import Case, Limit, rule
from kb.standards.threads import same, thread


@rule(
    "flywheel-bolt-thread",
    "crank",
    "number",
    "count",
    asks="Have the flywheel bolts the thread of the crank's flange?",
    limits=(
        Limit.at_most(
            0,
            why="a bolt of a near thread strips the flange or holds by two turns",
            harm="destroys",
            milestone="crank",
            fix="bolts of the flange's thread, their own grade and head",
            source="definition",
        ),
    ),
    cases=(
        Case({"bolt": "M10x1.5", "hole": "M10x1.5"}, 0, True, "on the limit, from the definition"),
        Case(
            {"bolt": "3/8-16", "hole": "M10x1.5"}, 1, False, "values thr-12: 5.8 % off in pitch, 0.475 mm in diameter"
        ),
        Case({"bolt": "M10x1.25", "hole": "M10x1.5"}, 1, False, "from the definition"),
    ),
)
def flywheel_bolt_thread(bolt=flywheel_bolts.thread, hole=crank.flange_thread):
    """mismatches = 1 if the threads differ, else 0"""
    return 1 - same(thread(bolt), thread(hole)) * 1
