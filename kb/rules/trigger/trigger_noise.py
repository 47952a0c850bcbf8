"""Sparks add teeth: plain plugs, or a sensor's wire laced in with the coils', and the count breaks up at speed."""

from typing import Any

from kb.roles import sensor_loom, spark_plug
from kb.rules._rule import Case, Limit, rule


def _open(resistor: Any, apart: Any) -> list[str]:
    return [
        words
        for guarded, words in (
            (resistor, "plugs without a resistor"),
            (apart, "sensor's wires laced in with those of coils, injectors or plugs"),
        )
        if not guarded
    ]


@rule(
    "trigger-noise",
    "trigger",
    "number",
    "count",
    asks="Is the sensor's signal kept clear of the sparks?",
    limits=(
        Limit.at_most(
            0,
            why="sparks read as teeth: the engine cuts at one speed, or loses its place",
            harm="no_start",
            milestone="drive",
            fix="resistor plugs, and the sensor's cable on a way of its own",
            source="trade-page",
        ),
    ),
    cases=(
        Case({"resistor": True, "apart": True}, 0, True, "on the limit"),
        Case({"resistor": False, "apart": True}, 1, False, "trade page"),
        Case({"resistor": False, "apart": False}, 2, False, "trade page"),
    ),
    detail=lambda resistor, apart: {"notes": _open(resistor, apart)},
)
def trigger_noise(resistor=spark_plug.resistor, apart=sensor_loom.apart):
    """ways in = plugs without resistor, sensor wires beside noisy ones"""
    return len(_open(resistor, apart))
