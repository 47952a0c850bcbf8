"""Two pulleys that touch, or a run of belt that rubs on a third, saw through the belt in minutes."""

from typing import Any

from kb.roles import belt, belt_layout
from kb.rules._rule import Case, Limit, mm, rule
from kb.rules.accessory._drive import Drive, Wheel


def _given(*wheels: Any, back: Any = 0.0015) -> Any:
    return {"pulleys": list(wheels), "tensioners": [], "back_offset": back, "belt_length": 1.0}


def _pressed(y: Any) -> Any:
    """An idler on the back, y below the crank's line; the lower run lies 50 mm below that line."""
    return _given(Wheel("crank"), Wheel("pump", 0.3), Wheel("far", 0.3, 0.3), Wheel("idler", 0.15, y, side="back"))


@rule(
    "belt-path-clear",
    "accessory",
    "length",
    "stations",
    asks="Is every pulley clear of its neighbours and of the runs of belt that pass it?",
    limits=(
        Limit.at_least(
            0 * mm,
            why="pulley rubs on pulley or belt",
            harm="wears",
            milestone="fire",
            fix="another place or size for this pulley or its neighbour",
            source="definition",
        ),
        Limit.at_least(
            5 * mm,
            why="a long run of belt flaps by some millimetres, more as it ages",
            harm="wears",
            milestone="drive",
            fix="more room, or an idler that holds the run steady",
            source="memory",
        ),
    ),
    cases=(
        Case(_given(Wheel("crank"), Wheel("pump", 0.3)), 200 * mm, True, "300 mm less two radii of 50 mm"),
        Case(_given(Wheel("crank"), Wheel("pump", 0.105)), 5 * mm, True, "on the limit, hand sum"),
        Case(_given(Wheel("crank"), Wheel("pump", 0.1)), 0 * mm, None, "on the limit, hand sum"),
        Case(_given(Wheel("crank"), Wheel("pump", 0.095)), -5 * mm, False, "they overlap by 5 mm, hand sum"),
        Case(_pressed(0.02), 18.5 * mm, True, "70 mm from centre to run, less 50 mm and 1.5 mm of belt"),
        Case(_pressed(-0.01), -11.5 * mm, False, "40 mm from centre to run, less 50 mm and 1.5 mm of belt"),
    ),
    detail=lambda *given: Drive(*given).drawn(),
    tangent=lambda *given: _near(Drive(*given)),
)  # fmt: skip
def belt_path_clear(
    pulleys=belt_layout.pulleys.of("drives", "x", "y", "diameter", "side"),
    tensioners=belt_layout.tensioners.of(
        "after", "drives", "pivot_x", "pivot_y", "arm", "free", "wound", "diameter", "side"
    ),
    back_offset=belt.back_offset,
    belt_length=belt.effective_length,
):
    """gap = least distance of a pulley's rim to another rim, or to a run of belt that does not lie on it"""
    return _gaps(Drive(pulleys, tensioners, back_offset, belt_length))


def _gaps(drive: Any) -> Any:
    return list(zip([each.id for each in drive.entries], drive.clearances(), strict=True))


def _near(nominal: Any) -> Any:
    return lambda *given: _gaps(nominal.near(*given))
