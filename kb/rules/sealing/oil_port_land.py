"""Around a passage under pressure the seal needs metal to lie on: a port near the edge of the face leaves too little."""

from kb.maths import least
from kb.roles import block, pan
from kb.rules._rule import Case, Limit, mm, rule
from kb.rules.sealing._ports import Hole

_WIDE = 0.05  # land counted where no passage is open


@rule(
    "oil-port-land",
    "sealing",
    "length",
    "rough",
    asks="Is there enough face around every open oil passage for the seal to lie on?",
    limits=(
        Limit.at_least(
            0.0,
            why="the passage breaks out of the face",
            harm="destroys",
            milestone="prime",
            fix="another pan; a ring or an insert needs machine work",
            source="definition",
        ),
        Limit.at_least(
            2 * mm,
            why="a narrower land does not hold pressure for long",
            harm="leaks",
            milestone="fire",
            fix="a ring in a counterbore, or another pan",
            source="memory",
        ),
    ),
    cases=(
        Case(
            {"block_side": [Hole("a", land=5 * mm)], "pan_side": [Hole("a", land=3 * mm)]}, 3 * mm, True, "the smaller"
        ),
        Case({"block_side": [Hole("a", land=2 * mm)], "pan_side": []}, 2 * mm, True, "on the limit"),
        Case({"block_side": [Hole("a", land=-1 * mm)], "pan_side": []}, -1 * mm, False, "from the definition"),
        Case({"block_side": [], "pan_side": [Hole("a", closed=True)]}, _WIDE, True, "no open passage"),
    ),
)
def oil_port_land(block_side=block.ports.of("closed", "land"), pan_side=pan.ports.of("closed", "land")):
    """land = least width of face around any open passage of block or pan"""
    return least(_WIDE, *[each.land for each in [*block_side, *pan_side] if not each.closed])
