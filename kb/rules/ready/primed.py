"""Bearings run dry for the first seconds unless oil was there before: a gauge must have shown it."""

from kb.roles import first_start
from kb.rules._rule import Case, Limit, rule


@rule(
    "primed",
    "ready",
    "number",
    "count",
    asks="Did a gauge show oil pressure before the ignition was made live?",
    limits=(
        Limit.at_most(
            0,
            why="bearings and cam are scored in the first seconds",
            harm="destroys",
            milestone="crank",
            fix="prime with the pump drive, a pressure pot or the starter with the plugs out; none after 30 s: stop and trace it",
            source="trade-page",
        ),
    ),
    cases=(
        Case({"seen": True}, 0, True, "on the limit, ticked"),
        Case({"seen": False}, 1, False, "not ticked"),
    ),
    advice="Once primed it comes back within 10 s; a drill that labours a little is not pressure (trade page).",
    caution="Ignition dead and coil unplugged; hold the drill with both hands, it kicks when the pump fills.",
)
def primed(seen=first_start.priming_pressure_seen):
    """open items = 1 until a gauge has shown pressure, then 0"""
    return 1 - seen * 1
