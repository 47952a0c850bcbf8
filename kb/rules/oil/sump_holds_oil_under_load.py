"""In a bend or a hard stop the oil stands aslant in the pan, and the pickup can be left dry although the stick says that
there is enough."""

from kb.roles import dipstick, duty, pan, pan_gasket, pickup, windage_tray
from kb.rules._rule import Case, Limit, if_known, mm, optional, rule
from kb.rules.oil._tilt import G, Zone, covers, kept

_BOX = [Zone((0.0, 0.2), (-0.1, 0.1), 0.2)]


def _case(due: float, holds: bool, origin: str, **changed: object) -> Case:
    given: dict[str, object] = {
        "floor": _BOX, "baffled": False, "mark": 100 * mm, "hang": 180 * mm, "x": 0.1, "y": 0.0, "length": 0.04,
        "width": 0.04, "gasket": 0.0, "tray": 0.0, "side": 0.5 * G, "brake": 0.5 * G, "pull": 0.5 * G,
    }  # fmt: skip
    return Case({**given, **changed}, due, holds, origin, 1e-9)


@rule(
    "sump-holds-oil-under-load",
    "oil",
    "length",
    "stations",
    asks="Does the oil stay over the pickup in bends, stops and starts, with the level at the low mark?",
    limits=(
        Limit.at_least(
            0.0,
            why="the rim of the foot stands out of the tilted oil and the pump draws air",
            harm="destroys",
            milestone="drive",
            fix="baffles or trap doors around the foot, more oil, or a foot that hangs deeper",
            source="definition",
        ),
    ),
    cases=(
        _case(70 * mm, True, "hand sum: in a box the surface turns about its middle: 80 mm less 0.5 x 20 mm"),
        _case(0.0, True, "on the limit: foot 60 mm off the middle, half a foot more, at 1 g", y=0.06, side=G),
        _case(-40 * mm, False, "foot 100 mm off the middle, half a foot more, at 1 g", y=0.1, side=G),
    ),
    advice="1 g tilts the oil by 45 degrees; about 0.5 g on the street (from memory). Baffles count as keeping the oil in the "
    "rectangle of floor under the foot. Try it: the bare pan with the low mark's volume of water, tilted each way.",
    caution="No petrol as test liquid.",
)  # fmt: skip
def sump_holds_oil_under_load(
    floor=pan.floor.of("x_from", "x_to", "y_from", "y_to", "depth"),
    baffled=if_known(pan.baffled, False),
    mark=dipstick.low_mark_depth,
    hang=pickup.hang,
    x=pickup.foot_x,
    y=pickup.foot_y,
    length=pickup.foot_length,
    width=pickup.foot_width,
    gasket=pan_gasket.installed_thickness,
    tray=optional(windage_tray.rim_thickness, absent=0.0),
    side=duty.side_load,
    brake=duty.brake_load,
    pull=duty.pull_load,
):
    """cover = hang - depth of the tilted surface at the far rim of the foot, its slope = acceleration / 9.81 m/s2, the
    volume that of the low mark, in four directions"""
    lowered = gasket + tray
    return covers(
        kept(floor, baffled, x, y), mark - lowered, hang - lowered, (x, y), (length, width), (side, brake, pull)
    )
