"""A plug that reaches the piston is closed up on the first turn, or bends something on the second."""

from kb.roles import cylinder_head, spark_plug
from kb.rules._rule import Case, Limit, mm, rule


@rule(
    "plug-piston",
    "ignition",
    "length",
    "linear",
    asks="Does the plug's electrode clear the piston at top dead centre?",
    limits=(
        Limit.at_least(
            0.0,
            why="the piston strikes the plug",
            harm="destroys",
            milestone="crank",
            fix="a plug that projects less, or with a shorter reach",
            source="definition",
        ),
        Limit.at_least(
            1.0 * mm,
            why="hot rods stretch, and there is little left",
            harm="destroys",
            milestone="crank",
            fix="a plug that projects less; or prove the gap with clay",
            source="memory",
        ),
    ),
    cases=(
        Case({"room": 9 * mm, "reach": 19 * mm, "washer": 1.4 * mm, "hole": 17.6 * mm, "projection": 5 * mm}, 4 * mm, True, "hand sum"),
        Case({"room": 5 * mm, "reach": 19 * mm, "washer": 1.4 * mm, "hole": 17.6 * mm, "projection": 5 * mm}, 0.0, None, "on the limit"),
        Case({"room": 6 * mm, "reach": 19 * mm, "washer": 1.4 * mm, "hole": 17.6 * mm, "projection": 5 * mm}, 1 * mm, True, "on the usual limit"),
        Case({"room": 5 * mm, "reach": 26.5 * mm, "washer": 1.4 * mm, "hole": 17.6 * mm, "projection": 3 * mm}, -5.5 * mm, False, "long-reach plug"),
    ),
    caution="Turn the engine over by hand, twice, with the plugs in: a touch is felt before it is heard.",
)  # fmt: skip
def plug_piston(
    room=cylinder_head.plug_room,
    reach=spark_plug.reach,
    washer=spark_plug.washer,
    hole=cylinder_head.plug_hole_depth,
    projection=spark_plug.projection,
):
    """gap = room under the hole - (reach - crushed ring - depth of the hole) - projection"""
    return room - (reach - washer - hole) - projection
