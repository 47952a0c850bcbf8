"""A stick from another pan misreads by litres: the oil that the pan holds below the full mark must be what the maker of
the pan says it takes."""

from kb.roles import dipstick, pan, pan_gasket, windage_tray
from kb.rules._rule import Case, Limit, litre, mm, optional, rule
from kb.standards.sump import volume_below


class _Zone:
    """A rectangle of floor, for the worked cases."""

    def __init__(self, x_to: float, y_to: float, depth: float) -> None:
        self.x_from = self.y_from = 0.0
        self.x_to, self.y_to, self.depth = x_to, y_to, depth


@rule(
    "dipstick-volume",
    "oil",
    "volume",
    "rough",
    asks="At the full mark, does the pan hold the oil that it is meant to hold?",
    limits=(
        Limit.at_least(
            -0.5 * litre,
            why="half a litre less than meant: the stick says full when it is not",
            harm="wears",
            milestone="fire",
            fix="re-mark the stick by counted litres",
            source="memory",
        ),
        Limit.at_most(
            0.4732 * litre,
            why="half a quart over full counts as overfilled: foam, and falling pressure when revved",
            harm="wears",
            milestone="fire",
            fix="re-mark the stick by counted litres",
            source="trade-page",
        ),
    ),
    cases=(
        Case({"floor": [_Zone(0.2, 0.25, 0.18)], "mark": 100 * mm, "capacity": 4 * litre, "gasket": 0.0, "tray": 0.0},
             0.0, True, "20 x 25 x 8 cm"),
        Case({"floor": [_Zone(0.2, 0.25, 0.18)], "mark": 90.536 * mm, "capacity": 4 * litre, "gasket": 0.0, "tray": 0.0},
             0.4732 * litre, True, "on the limit"),
        Case({"floor": [_Zone(0.2, 0.25, 0.18), _Zone(0.2, 0.25, 0.06)], "mark": 42 * mm, "capacity": 5 * litre,
              "gasket": 1.5 * mm, "tray": 0.5 * mm}, 3.0 * litre, False, "20 x 25 x 14 cm + 20 x 25 x 2 cm, 2 mm lower"),
        Case({"floor": [_Zone(0.2, 0.25, 0.18)], "mark": 120 * mm, "capacity": 4 * litre, "gasket": 0.0, "tray": 0.0},
             -1.0 * litre, None, "20 x 25 x 6 cm"),
    ),
    advice="Counted litres beat any mark: level the pan, pour, scribe the stick.",
)  # fmt: skip
def dipstick_volume(
    floor=pan.floor.of("x_from", "x_to", "y_from", "y_to", "depth"),
    mark=dipstick.full_mark_depth,
    capacity=pan.capacity,
    gasket=pan_gasket.installed_thickness,
    tray=optional(windage_tray.rim_thickness, absent=0.0),
):
    """surplus = sum over floor zones of area x (floor depth + gasket + tray rim - mark depth) - capacity of the pan"""
    return volume_below(floor, mark - gasket - tray) - capacity
