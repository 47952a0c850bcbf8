"""A rotor that stands too high sparks to the roof of the cap and burns it; too low, it sparks past the terminals' feet."""

from kb.roles import distributor
from kb.rules._rule import Case, Limit, mm, rule


@rule(
    "rotor-height",
    "ignition",
    "length",
    "stations",
    asks="Does the rotor's tip stand at the height of the terminals?",
    limits=(
        Limit.at_least(
            0.0,
            why="the spark jumps to the cap's roof or its wall, and burns it",
            harm="nuisance",
            milestone="drive",
            fix="the rotor and cap of one maker, a shim under the shaft, or a thicker gasket under the housing",
            source="trade-page",
        ),
    ),
    when={distributor.style: ("rotor",)},
    cases=(
        Case({"tip": 30 * mm, "terminal": 31 * mm, "half": 3 * mm}, 2 * mm, True, "hand sum"),
        Case({"tip": 34 * mm, "terminal": 31 * mm, "half": 3 * mm}, 0.0, True, "on the limit"),
        Case({"tip": 36 * mm, "terminal": 31 * mm, "half": 3 * mm}, -2 * mm, False, "trade page: burnt at the top"),
        Case({"tip": 26 * mm, "terminal": 31 * mm, "half": 3 * mm}, -2 * mm, False, "as much too low"),
    ),
)
def rotor_height(tip=distributor.rotor_height, terminal=distributor.terminal_height, half=distributor.terminal_half):
    """room = half a terminal's height - how far the tip's middle stands from the terminal's, either way"""
    return [("tip high", half - (tip - terminal)), ("tip low", half + (tip - terminal))]
