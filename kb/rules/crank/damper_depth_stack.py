"""Gears, slinger and sleeve carry the damper clear of the cover: with a piece too few, or another cover, the bolt pulls the hub
against it and the crank locks at the final torque."""

from kb.roles import block, damper, nose_stack
from kb.rules._rule import Case, Limit, mm, rule
from kb.rules.crank._parts import Piece, stack_notes, total

_STACK = [Piece(22 * mm, "timing gear"), Piece(1 * mm, "slinger"), Piece(4 * mm, "spacer")]


@rule(
    "damper-depth-stack",
    "crank",
    "length",
    "linear",
    asks="With the damper drawn fully home, is there room left between it and the front cover?",
    limits=(
        Limit.at_least(
            0.0,
            why="the hub is drawn against the cover, and the crank locks at the final torque",
            harm="destroys",
            milestone="crank",
            fix="the spacer that belongs behind the hub, the cover of this engine, or another hub",
            source="definition",
        ),
        Limit.at_least(
            0.5 * mm,
            why="heat and end float eat a smaller room",
            harm="destroys",
            milestone="drive",
            fix="a spacer behind the hub",
            source="memory",
        ),
    ),
    cases=(
        Case({"pieces": _STACK, "setback": 5 * mm, "cover": 30 * mm}, 2 * mm, True, "hand sum"),
        Case({"pieces": _STACK, "setback": 3.5 * mm, "cover": 30 * mm}, 0.5 * mm, True, "on the limit"),
        Case(
            {"pieces": _STACK[:2], "setback": 5 * mm, "cover": 30 * mm}, -2 * mm, False, "hand sum: the spacer left out"
        ),
    ),
    detail=lambda pieces, setback, cover: {"notes": [each.replace("plates", "pieces") for each in stack_notes(pieces)]},
    advice="Assemble dry on the bench and turn the crank after each step.",
)
def damper_depth_stack(
    pieces=nose_stack.pieces.of("thickness"), setback=damper.flange_setback, cover=block.front_cover_reach
):
    """room = pieces on the snout + setback of the damper's flange - reach of the cover"""
    return total(pieces) + setback - cover
