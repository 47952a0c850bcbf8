"""The engine swings forward on its mounts when it is braked hard: the fan of a four-cylinder engine must not reach the radiator."""

from kb.roles import engine_bay
from kb.rules._rule import Case, Limit, mm, rule


@rule(
    "fan-room-four",
    "chassis",
    "length",
    "linear",
    asks="Does the fan stay clear of the radiator when the four-cylinder engine rocks forward?",
    limits=(
        Limit.at_least(
            20 * mm,
            why="the blades reach the core, or shear and fly",
            harm="fire",
            milestone="drive",
            fix="a mount stop or torque strap, a thinner fan, the radiator moved forward",
            source="builders-guide",
        ),
    ),
    when={engine_bay.cylinders: ("four",)},
    cases=(
        Case({"gap": 35 * mm}, 35 * mm, True, "as given"),
        Case({"gap": 20 * mm}, 20 * mm, True, "on the limit"),
        Case({"gap": 8 * mm}, 8 * mm, False, "as given"),
    ),
    caution="A thrown fan blade can kill: never stand in its plane.",
)
def fan_room_four(gap=engine_bay.fan_gap):
    """gap = fan to radiator as measured in the car"""
    return gap
