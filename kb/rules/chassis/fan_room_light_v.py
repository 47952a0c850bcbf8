"""The engine swings forward on its mounts when it is braked hard: the fan of a light V engine must not reach the radiator."""

from kb.roles import engine_bay
from kb.rules._rule import Case, Limit, mm, rule


@rule(
    "fan-room-light-v",
    "chassis",
    "length",
    "linear",
    asks="Does the fan stay clear of the radiator when the light V engine rocks forward?",
    limits=(
        Limit.at_least(
            25 * mm,
            why="the blades reach the core, or shear and fly",
            harm="fire",
            milestone="drive",
            fix="a mount stop or torque strap, a thinner fan, the radiator moved forward",
            source="builders-guide",
        ),
    ),
    when={engine_bay.cylinders: ("light_v",)},
    cases=(
        Case({"gap": 40 * mm}, 40 * mm, True, "as given"),
        Case({"gap": 25 * mm}, 25 * mm, True, "on the limit"),
        Case({"gap": 13 * mm}, 13 * mm, False, "as given"),
    ),
    caution="A thrown fan blade can kill: never stand in its plane.",
)
def fan_room_light_v(gap=engine_bay.fan_gap):
    """gap = fan to radiator as measured in the car"""
    return gap
