"""On a stamped flange the bolts pull dimples that hold it off between them: a straight edge shows the local bow."""

from kb.roles import block, pan
from kb.rules._rule import Case, Limit, mm, rule
from kb.rules.sealing._flatness import At, local_bow

_LINE = [At("a", 0.0), At("b", 0.08), At("c", 0.16), At("d", 0.24)]


@rule(
    "flange-flatness-sheet",
    "sealing",
    "length",
    "stations",
    asks="Is the sheet-metal pan's flange free of dimples at the bolts?",
    limits=(
        Limit.at_most(
            0.5 * mm,
            why="a dimple at a bolt hole holds the flange off on both sides of it",
            harm="leaks",
            milestone="prime",
            fix="hammer the dimples back over a bar before the gasket goes on",
            source="memory",
        ),
        Limit.at_least(
            -0.5 * mm,
            why="a flange that is hollow here leaves the gasket unpressed",
            harm="leaks",
            milestone="prime",
            fix="straighten the flange over a bar before the gasket goes on",
            source="memory",
        ),
    ),
    when={pan.construction: ("stamped", "welded")},
    worst="most",
    cases=(
        Case({"block_side": _LINE, "pan_side": [At("a"), At("b", height=0.2 * mm), At("c"), At("d")]}, 0.2 * mm, True, "hand sum"),
        Case({"block_side": _LINE, "pan_side": [At("a"), At("b", height=0.5 * mm), At("c"), At("d")]}, 0.5 * mm, True, "on the limit"),
        Case({"block_side": _LINE, "pan_side": [At("a"), At("b", height=0.8 * mm), At("c", height=0.2 * mm), At("d")]}, 0.7 * mm, None,
             "hand sum: 0.8 - (0 + 0.2) / 2"),
    ),
)  # fmt: skip
def flange_flatness_sheet(
    block_side=block.stations.of("x", "y", "face"), pan_side=pan.flange.of("height").for_each(block.stations)
):
    """bow = height of a reading off the line between its neighbours on a straight run of the rail, hollow negative"""
    return local_bow(block_side, pan_side)
