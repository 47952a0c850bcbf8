"""A belt bent round too small a pulley heats and cracks between its ribs."""

from typing import Any

from kb.roles import belt, belt_layout
from kb.rules._rule import Case, Limit, mm, rule
from kb.rules.accessory._drive import Wheel
from kb.standards.belts import section


def _given(diameter: Any, side: Any = "rib") -> Any:
    return {
        "pulleys": [Wheel("crank", diameter=0.15), Wheel("alternator", diameter=diameter, side=side)],
        "tensioners": [],
    }


@rule(
    "pulley-least-diameter",
    "accessory",
    "length",
    "stations",
    asks="Is no grooved pulley smaller than this belt can be bent round?",
    limits=(
        Limit.at_least(
            0 * mm,
            why="the belt is bent more sharply than its section is made for: it heats, cracks and slips",
            harm="wears",
            milestone="drive",
            fix="a larger pulley, with a larger one on the crank if the speed must stay",
            source="iso-9981",
        ),
    ),
    when={belt.profile: ("pk",)},
    cases=(
        Case(_given(0.0526), 7.6 * mm, True, "52.6 - 45 mm (ISO 9981, clause 5.2)"),
        Case(_given(0.045), 0 * mm, True, "on the limit"),
        Case(_given(0.040), -5 * mm, False, "40 - 45 mm"),
        Case(_given(0.040, "back"), 105 * mm, True, "the figure is for grooved pulleys: 150 - 45 mm on the crank"),
    ),
)
def pulley_least_diameter(
    pulleys=belt_layout.pulleys.of("side", "diameter"),
    tensioners=belt_layout.tensioners.of("side", "diameter"),
):
    """spare = effective diameter - recommended least one of the section, 45 mm"""
    least = section("pk").least
    return [(each.id, each.diameter - least) for each in (*pulleys, *tensioners) if each.side == "rib"]
