"""If the snout stands out of the hub, the washer lands on the snout: full torque, and nothing is clamped."""

from kb.roles import crank, damper, nose_stack
from kb.rules._rule import Case, Limit, mm, rule
from kb.rules.crank._parts import Piece, stack_notes, total

_STACK = [Piece(22 * mm, "timing gear"), Piece(1 * mm, "slinger"), Piece(4 * mm, "spacer")]


@rule(
    "damper-hub-clamp",
    "crank",
    "length",
    "linear",
    asks="Does the damper's bolt clamp the hub, and not the end of the snout?",
    limits=(
        Limit.at_least(
            0.0,
            why="the washer lands on the snout: gears and damper are loose at full torque",
            harm="destroys",
            milestone="crank",
            fix="the piece that is missing on the snout, or the longer hub",
            source="definition",
        ),
        Limit.at_least(
            0.5 * mm,
            why="pieces that bed in use up a smaller reserve",
            harm="destroys",
            milestone="drive",
            fix="a spacer behind the hub",
            source="memory",
        ),
    ),
    cases=(
        Case({"pieces": _STACK, "hub": 45 * mm, "snout": 70 * mm}, 2 * mm, True, "hand sum"),
        Case({"pieces": _STACK, "hub": 43.5 * mm, "snout": 70 * mm}, 0.5 * mm, True, "on the limit"),
        Case({"pieces": _STACK[:2], "hub": 45 * mm, "snout": 70 * mm}, -2 * mm, False, "hand sum: the spacer left out"),
    ),
    detail=lambda pieces, hub, snout: {"notes": [each.replace("plates", "pieces") for each in stack_notes(pieces)]},
)
def damper_hub_clamp(pieces=nose_stack.pieces.of("thickness"), hub=damper.hub_length, snout=crank.snout_length):
    """reserve = pieces on the snout + length of the hub - length of the snout"""
    return total(pieces) + hub - snout
