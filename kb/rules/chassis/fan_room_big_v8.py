"""The engine swings forward on its mounts when it is braked hard: the fan of a big V8 must not reach the radiator."""

from kb.roles import engine_bay
from kb.rules._rule import Case, Limit, mm, rule


@rule(
    "fan-room-big-v8",
    "chassis",
    "length",
    "linear",
    asks="Does the fan stay clear of the radiator when the big V8 rocks forward?",
    limits=(
        Limit.at_least(
            40 * mm,
            why="the blades reach the core, or shear and fly",
            harm="fire",
            milestone="drive",
            fix="a mount stop or torque strap, a thinner fan, the radiator moved forward",
            source="builders-guide",
        ),
    ),
    when={engine_bay.cylinders: ("big_v8",)},
    cases=(
        Case({"gap": 55 * mm}, 55 * mm, True, "as given"),
        Case({"gap": 40 * mm}, 40 * mm, True, "on the limit"),
        Case({"gap": 28 * mm}, 28 * mm, False, "as given"),
    ),
    caution="A thrown fan blade can kill: never stand in its plane.",
)
def fan_room_big_v8(gap=engine_bay.fan_gap):
    """gap = fan to radiator as measured in the car"""
    return gap
