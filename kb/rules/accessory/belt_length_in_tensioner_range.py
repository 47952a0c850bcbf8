"""A belt a size too long leaves the tensioner against its stop and the belt slack; a size too short never goes on."""

from math import cos, pi
from typing import Any

from kb.roles import belt, belt_layout
from kb.rules._rule import Case, Limit, if_known, percent, rule
from kb.rules.accessory._drive import Drive, Wheel
from kb.rules.accessory._length import HIGH, LOW, length_detail

ALLOWED = "another effective length: the notes name those that suit; else a larger or smaller idler"


def _swung(share: Any) -> Any:
    """Two equal pulleys of 100 mm, one on an arm of 100 mm about (0, 300): C2 = 300^2 + 100^2 + 2 300 100 cos(pi s)."""
    centres = (0.1 + 0.06 * cos(pi * share)) ** 0.5
    arm = Wheel("swing", after="crank", pivot_x=0.0, pivot_y=0.3, arm=0.1, free=pi / 2, wound=3 * pi / 2)
    crank = Wheel("crank", drives="crank", turns="clockwise")
    return {
        "pulleys": [crank], "tensioners": [arm], "back_offset": 0.0, "belt_length": 2 * centres + pi * 0.1, "stock": [],
    }  # fmt: skip


@rule(
    "belt-length-in-tensioner-range",
    "accessory",
    "percent",
    "stations",
    asks="Does this belt hold the tensioner's arm off both of its stops?",
    limits=(
        Limit.at_least(
            0.0,
            why="the arm rests on its stop before the belt is tight: it slips, squeals and jumps off",
            harm="nuisance",
            milestone="fire",
            fix=f"a shorter belt: {ALLOWED}",
            source="trade-page",
            name="free_stop",
        ),
        Limit.at_most(
            1.0,
            why="the belt does not go on, or it holds the arm against its stop and breaks tensioner or bearings",
            harm="wears",
            milestone="fire",
            fix=f"a longer belt: {ALLOWED}",
            source="trade-page",
            name="wound_stop",
        ),
        Limit.at_least(
            LOW,
            why="a belt grows as it runs in, and heat and wear use up the rest of the travel",
            harm="nuisance",
            milestone="drive",
            fix=f"a shorter belt: {ALLOWED}",
            source="memory",
        ),
        Limit.at_most(
            HIGH,
            why="little is left to wind the arm back for fitting, and the belt is over-tight when hot",
            harm="wears",
            milestone="drive",
            fix=f"a longer belt: {ALLOWED}",
            source="memory",
        ),
    ),
    when={belt_layout.tensioners: ("id",)},
    cases=(
        Case(_swung(0.5), 50 * percent, True, "two equal pulleys: L = 2 C + pi d, C by the cosine law", 1e-9),
        Case(_swung(0.2), 20 * percent, True, "on the limit, cosine law", 1e-9),
        Case(_swung(0.1), 10 * percent, None, "cosine law", 1e-9),
        Case({**_swung(0.0), "belt_length": 1.2}, -0.214601837, False,
             "(1.2 - 0.8 - 0.1 pi) / 0.4: the way round shrinks by 0.4 m from stop to stop", 1e-8),
        Case({**_swung(1.0), "belt_length": 0.6}, 1.285398163, False, "too short: 1 + (0.4 + 0.1 pi - 0.6) / 0.4", 1e-8),
    ),
    detail=lambda pulleys, tensioners, back, length, stock: length_detail(
        Drive(pulleys, tensioners, back, length), stock
    ),
    tangent=lambda *given: _near(Drive(*given[:4])),
    advice="The arm in the middle of its travel with a new belt, and the mark on the tensioner between its lines.",
    caution="The arm is wound up hard: bar fully home, fingers and face out of its swing.",
)  # fmt: skip
def belt_length_in_tensioner_range(
    pulleys=belt_layout.pulleys.of("drives", "turns", "x", "y", "diameter", "side"),
    tensioners=belt_layout.tensioners.of(
        "after", "drives", "pivot_x", "pivot_y", "arm", "free", "wound", "diameter", "side"
    ),
    back_offset=belt.back_offset,
    belt_length=belt.effective_length,
    stock=if_known(belt.stock.of("effective_length"), otherwise=()),
):
    """share = place of the arm between its free stop (0 %) and its wound stop (100 %), where tangents + arcs = belt"""
    del stock  # the notes alone name it
    return _shares(Drive(pulleys, tensioners, back_offset, belt_length))


def _shares(drive: Any) -> Any:
    return [(drive.entries[arm.at].id, drive.share) for arm in drive.arms]


def _near(nominal: Any) -> Any:
    return lambda *given: _shares(nominal.near(*given[:4]))
