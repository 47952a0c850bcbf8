"""The drive gear must float: with no room under it the face rubs the block, the teeth run off centre, and they are gone in
minutes."""

from kb.roles import block, drive_gear
from kb.rules._rule import Case, Limit, mm, rule


@rule(
    "gear-to-thrust-height",
    "oil",
    "length",
    "linear",
    asks="Is there room between the drive gear's face and the block it bears on?",
    limits=(
        Limit.at_least(
            0.0,
            why="the gear stands on the block: one build lost its teeth 24 minutes after first fire",
            harm="destroys",
            milestone="fire",
            fix="fewer shims under the gear, or dress the boss",
            source="definition",
        ),
        Limit.at_least(
            0.2 * mm,
            why="less room than this is used up by oil film and heat",
            harm="destroys",
            milestone="fire",
            fix="a thinner shim, or dress the boss",
            source="memory",
        ),
        Limit.at_most(
            0.6 * mm,
            why="with more the gear rides up and down and the timing wanders",
            harm="wears",
            milestone="drive",
            fix="shim the gear",
            source="memory",
        ),
    ),
    cases=(
        Case({"depth": 102.5 * mm, "face": 101.6 * mm, "shim": 0.5 * mm}, 0.4 * mm, True, "hand sum"),
        Case({"depth": 102.5 * mm, "face": 102.0 * mm, "shim": 0.3 * mm}, 0.2 * mm, True, "on the limit"),
        Case({"depth": 102.489 * mm, "face": 102.489 * mm, "shim": 0.1 * mm}, -0.1 * mm, False,
             "the failed build of a trade page: 4.035 in in both, none left; a shim more here"),
    ),
)  # fmt: skip
def gear_to_thrust_height(depth=block.gear_thrust_depth, face=drive_gear.seat_to_face, shim=drive_gear.shim):
    """room = depth of the thrust face - depth of the gear's face - shims"""
    return depth - face - shim
