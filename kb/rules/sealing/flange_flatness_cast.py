"""A cast flange that waves is a gap that no gasket fills: laid against a straight edge it must be flat for its length."""

from kb.roles import block, pan
from kb.rules._rule import Case, Limit, mm, rule
from kb.rules.sealing._flatness import At, waviness, waviness_near

_LINE = [At("a", 0.0), At("b", 0.15), At("c", 0.3), At("d", 0.4, 0.1), At("e", 0.4, 0.2)]


def _hump(height: float) -> list[At]:
    """The middle of the three stations on the straight side stands proud by `height` over a 0.3 m edge."""
    return [At("a"), At("b", height=height), At("c"), At("d"), At("e")]


@rule(
    "flange-flatness-cast",
    "sealing",
    "slope",
    "stations",
    asks="Is the cast pan's flange flat enough along the rail?",
    limits=(
        Limit.at_most(
            1 / 3000,
            why="no gasket fills a rail that waves more than 0.004 in per foot (0.33 mm per metre)",
            harm="leaks",
            milestone="prime",
            fix="dress the flange on a flat plate, or a gasket that follows",
            source="tm-9-2815",
        ),
        Limit.at_least(
            -1 / 3000,
            why="no gasket fills a hollow of more than 0.004 in per foot (0.33 mm per metre)",
            harm="leaks",
            milestone="prime",
            fix="dress the flange on a flat plate, or a gasket that follows",
            source="tm-9-2815",
        ),
    ),
    when={pan.construction: ("cast",)},
    worst="most",
    tangent=waviness_near,
    cases=(
        Case({"block_side": _LINE, "pan_side": _hump(0.06 * mm)}, 0.2e-3, True, "hand sum: 0.06 mm over 0.3 m"),
        Case({"block_side": _LINE, "pan_side": _hump(0.1 * mm)}, 1 / 3000, True, "on the limit: 0.1 mm over 0.3 m"),
        Case({"block_side": _LINE, "pan_side": _hump(0.3 * mm)}, 1e-3, False, "hand sum: 0.3 mm over 0.3 m"),
    ),
    advice="Steps at the covers do not count here: they are judged where the flange seats.",
)
def flange_flatness_cast(
    block_side=block.stations.of("x", "y", "face"), pan_side=pan.flange.of("height").for_each(block.stations)
):
    """waviness = deviation from a straight edge along the rail / length of the edge, hollow negative"""
    return waviness(block_side, pan_side)
