"""With every load on at once the slack side must still be tight enough for the crank's own pulley to hold the belt."""

from math import exp, log, pi, sin
from typing import Any

from kb.roles import belt, belt_layout
from kb.rules._rule import Case, Limit, percent, rule
from kb.rules.accessory._drive import Drive, Wheel
from kb.rules.accessory._grip import grip_detail, shares


def _given(torque: Any, tension: Any = 300.0, friction: Any = 0.3) -> Any:
    """Two pulleys of 96 mm, 100 mm at the cords, half a turn of contact each, nothing sprung."""
    return {
        "pulleys": [
            Wheel("crank", diameter=0.096, drives="crank", turns="clockwise"),
            Wheel("pump", 0.3, 0.0, 0.096, drives="steering_pump", torque=torque),
        ],
        "tensioners": [], "tension": tension, "profile": "pk", "back_offset": 0.0015, "belt_length": 0.9,
        "friction": friction,
    }  # fmt: skip


_HOLDS = 0.3 * pi / sin(pi / 9)


@rule(
    "belt-grip",
    "accessory",
    "percent",
    "stations",
    asks="Can every pulley hold the belt with all loads on at once?",
    limits=(
        Limit.at_most(
            100 * percent,
            why="the belt slips: it squeals, glazes, and what it drives stops when it is needed most",
            harm="wears",
            milestone="drive",
            fix="more contact on this pulley (an idler on its slack side), a stronger tensioner on the slack side, more ribs",
            source="euler-eytelwein",
        ),
    ),
    worst="most",
    cases=(
        Case(_given(10.0), log(400 / 200) / _HOLDS, True, "10 Nm at 50 mm: 200 N between the runs, mean 300 N", 1e-9),
        Case(_given(30.0 * (exp(_HOLDS) - 1) / (exp(_HOLDS) + 1)), 100 * percent, True,
             "on the limit: tight / slack = exp(0.3 pi / sin 20 deg) = 15.731", 1e-6),
        Case(_given(29.0), log(590 / 10) / _HOLDS, False, "580 N between the runs: 590 and 10 N", 1e-9),
        Case(_given(35.0), 10.0, False, "700 N cannot come out of a mean of 300 N: the slack run goes slack", 1e-9),
    ),
    detail=lambda pulleys, tensioners, tension, profile, back, length, friction: grip_detail(
        Drive(pulleys, tensioners, back, length), profile, friction, tension
    ),
    tangent=lambda *given: _near(Drive(given[0], given[1], given[4], given[5])),
    advice="Aim at no more than two thirds of the grip in the dry; water halves it.",
)  # fmt: skip
def belt_grip(
    pulleys=belt_layout.pulleys.of("drives", "turns", "x", "y", "diameter", "side", "load_torque"),
    tensioners=belt_layout.tensioners.of(
        "after", "drives", "turns", "pivot_x", "pivot_y", "arm", "free", "wound", "diameter", "side", "load_torque"
    ),
    tension=belt_layout.tension,
    profile=belt.profile,
    back_offset=belt.back_offset,
    belt_length=belt.effective_length,
    friction=belt.friction,
):
    """share = ln(tight / slack) / (friction x contact / sin of the half groove angle), pulls summed round the belt"""
    return shares(Drive(pulleys, tensioners, back_offset, belt_length), profile, friction, tension)


def _near(nominal: Any) -> Any:
    def cheap(
        pulleys: Any, tensioners: Any, tension: Any, profile: Any, back_offset: Any, belt_length: Any, friction: Any
    ) -> Any:
        drive = nominal.near(pulleys, tensioners, back_offset, belt_length)
        return shares(drive, profile, friction, tension)

    return cheap
