"""A lower hose that has to cross the engine kinks, and a kinked suction hose starves the pump."""

from kb.roles import coolant_circuit, radiator
from kb.rules._rule import Case, Limit, rule
from kb.rules.cooling._caution import COLD


@rule(
    "lower-hose-sides",
    "cooling",
    "number",
    "count",
    asks="Is the lower spigot of the radiator on the side where the engine has it, or a pipe across at hand?",
    limits=(
        Limit.at_most(
            0,
            why="the lower hose must cross in front of the engine: it kinks, or meets the belts",
            harm="destroys",
            milestone="fire",
            fix="a formed pipe or hose across, or the radiator with its spigots on the other side",
            source="trade-page",
        ),
    ),
    cases=(
        Case(
            {"on_engine": "left", "on_radiator": "left", "across": False}, 0, True, "on the limit, from the definition"
        ),
        Case({"on_engine": "left", "on_radiator": "right", "across": True}, 0, True, "a pipe made to cross"),
        Case({"on_engine": "left", "on_radiator": "right", "across": False}, 1, False, "from the definition"),
    ),
    caution=COLD,
)
def lower_hose_sides(
    on_engine=coolant_circuit.pump_inlet_side, on_radiator=radiator.outlet_side, across=coolant_circuit.lower_across
):
    """crossings = 1 if the sides differ and nothing is made to cross, else 0"""
    return (on_engine != on_radiator) * (1 - across)
