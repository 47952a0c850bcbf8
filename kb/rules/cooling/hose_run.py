"""A hose that is kinked cold closes when it is hot and soft, and one that touches the fan or the pipe does not last a week."""

from kb.roles import coolant_hose
from kb.rules._rule import Case, Limit, rule
from kb.rules.cooling._caution import COLD


@rule(
    "hose-run",
    "cooling",
    "number",
    "count",
    asks="Does the hose run without a kink, clear of fan, belts and exhaust?",
    limits=(
        Limit.at_most(
            0,
            why="a kinked hose chokes the flow, one that rubs or touches the exhaust bursts",
            harm="destroys",
            milestone="fire",
            fix="a hose formed for this bend, a formed pipe, a clip that holds it away",
            source="trade-page",
        ),
    ),
    cases=(
        Case({"free": True}, 0, True, "on the limit, from the definition"),
        Case({"free": False}, 1, False, "from the definition"),
    ),
    caution=COLD + " Engine off, and the switch of an electric fan off: it may start by itself.",
)
def hose_run(free=coolant_hose.runs_free):
    """faults = 1 for a hose that kinks or touches, else 0"""
    return 1 - free * 1
