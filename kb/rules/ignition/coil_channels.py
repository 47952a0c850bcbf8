"""Fired one by one, six cylinders need six outputs; in pairs, three; by a distributor, one."""

from kb.roles import block, controller
from kb.rules._rule import Case, Limit, rule


@rule(
    "coil-channels",
    "ignition",
    "number",
    "count",
    asks="Has the controller enough coil outputs for this engine and this way of firing?",
    limits=(
        Limit.at_least(
            0,
            why="a cylinder without an output gets no spark",
            harm="no_start",
            milestone="fire",
            fix="a controller with more outputs, or wasted spark",
            source="definition",
        ),
    ),
    cases=(
        Case({"channels": 3, "cylinders": 6, "mode": "wasted"}, 0, True, "on the limit: three pairs"),
        Case({"channels": 1, "cylinders": 8, "mode": "distributor"}, 0, True, "one coil for all"),
        Case({"channels": 4, "cylinders": 6, "mode": "sequential"}, -2, False, "from the definition"),
    ),
)
def coil_channels(channels=controller.coil_channels, cylinders=block.cylinders, mode=controller.spark_mode):
    """spare = outputs - outputs needed: one, half the cylinders (rounded up), or all"""
    return channels - {"distributor": 1, "wasted": (cylinders + 1) // 2, "sequential": cylinders}[mode]
