"""The floor that counts is the one under the foot: a foot that sits partly over a shelf, a ramp or a boss meets that
first, however deep the sump is beside it."""

from kb.roles import pan, pan_gasket, pickup, windage_tray
from kb.rules._rule import Case, Limit, if_known, mm, optional, rule
from kb.standards.sump import least_depth_under


class _Zone:
    """A rectangle of floor, for the worked cases."""

    def __init__(self, x: tuple[float, float], depth: float) -> None:
        self.x_from, self.x_to = x
        self.y_from, self.y_to = -0.1, 0.1
        self.depth = depth


_FLOOR = [_Zone((0.0, 0.175), 104 * mm), _Zone((0.175, 0.345), 190 * mm)]
_FOOT = {"floor": _FLOOR, "y": 0.0, "length": 90 * mm, "width": 60 * mm, "shape": "slot", "gasket": 2 * mm, "tray": 0.0}


@rule(
    "pickup-foot-place",
    "oil",
    "length",
    "rough",
    asks="Does every part of the pickup's foot clear the floor that lies under it?",
    limits=(
        Limit.at_least(
            1.5 * mm,
            why="the foot stands on a shallower piece of floor, or so near it that the screen is choked",
            harm="destroys",
            milestone="prime",
            fix="the pickup whose foot sits over this pan's sump, or a pan with its sump under this foot",
            source="trade-page",
        ),
    ),
    only_with=(pan.floor, pickup.foot_x, pickup.foot_y, pickup.foot_length, pickup.foot_width),
    cases=(
        Case({**_FOOT, "x": 0.265, "hang": 185 * mm}, 7 * mm, True, "hand sum: the whole foot over the sump"),
        Case({**_FOOT, "x": 0.265, "hang": 190.5 * mm}, 1.5 * mm, True, "on the limit"),
        Case({**_FOOT, "x": 0.215, "hang": 185 * mm}, -79 * mm, False, "hand sum: its front edge is over the shelf"),
    ),
    advice="The depth to the deepest point of the pan says nothing about a foot that does not sit there.",
)
def pickup_foot_place(
    floor=pan.floor.of("x_from", "x_to", "y_from", "y_to", "depth"),
    x=pickup.foot_x,
    y=pickup.foot_y,
    length=pickup.foot_length,
    width=pickup.foot_width,
    shape=if_known(pickup.foot_shape, "slot"),
    gasket=pan_gasket.installed_thickness,
    tray=optional(windage_tray.rim_thickness, absent=0.0),
    hang=pickup.hang,
):
    """gap = least depth of the recorded floor under the foot + clamped gasket + tray rim - hang of the foot"""
    return least_depth_under(floor, x, y, length, width, shape) + gasket + tray - hang
