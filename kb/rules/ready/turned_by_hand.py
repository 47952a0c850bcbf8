"""A wrong plug, a bolt too long or a tray in the way is felt by hand; the starter does not feel it."""

from kb.roles import first_start
from kb.rules._rule import Case, Limit, rule


@rule(
    "turned-by-hand",
    "ready",
    "number",
    "count",
    asks="Did the engine turn twice by hand with its plugs fitted, without a click?",
    limits=(
        Limit.at_most(
            0,
            why="what binds by hand bends or breaks under the starter",
            harm="destroys",
            milestone="crank",
            fix="find what binds before anything else: plugs out, tray, bolts of flexplate and bell, valve timing",
            source="trade-page",
        ),
    ),
    cases=(
        Case({"turned": True}, 0, True, "on the limit, ticked"),
        Case({"turned": False}, 1, False, "not ticked"),
    ),
    advice="No figure for the drag is published here: it must be even, compression by compression.",
    caution="Battery disconnected while you turn it, gearbox out of gear, wheels chocked.",
)
def turned_by_hand(turned=first_start.turned_by_hand):
    """open items = 1 until two even turns by hand are seen, then 0"""
    return 1 - turned * 1
