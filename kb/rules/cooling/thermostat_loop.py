"""A thermostat on the inlet side is warmed by what comes round through bypass or heater: cap both and it never learns that the
engine is hot."""

from kb.roles import coolant_circuit
from kb.rules._rule import Case, Limit, rule
from kb.rules.cooling._caution import COLD


@rule(
    "thermostat-loop",
    "cooling",
    "number",
    "count",
    asks="Does warm coolant reach the thermostat while it is still shut?",
    limits=(
        Limit.at_most(
            1,
            why="the thermostat stays cold while the engine boils, then opens at once: the gauge swings and steam comes early",
            harm="destroys",
            milestone="fire",
            fix="loop the heater pipes, open the bypass, or drill a bleed hole in the thermostat",
            source="trade-page",
            name="dead_end",
        ),
        Limit.at_most(
            0,
            why="what passes a bleed hole at the inlet comes from the radiator: it warms the thermostat late",
            harm="wears",
            milestone="drive",
            fix="loop the heater pipes or open the bypass",
            source="memory",
        ),
    ),
    cases=(
        Case({"side": "inlet", "bypass": "open", "heater": "capped", "bleed": False}, 0, True, "on the usual limit"),
        Case({"side": "inlet", "bypass": "capped", "heater": "looped", "bleed": False}, 0, True, "from the definition"),
        Case({"side": "outlet", "bypass": "none", "heater": "capped", "bleed": True}, 0, True, "from the definition"),
        Case(
            {"side": "inlet", "bypass": "capped", "heater": "valved", "bleed": True},
            1,
            None,
            "trade page: a bleed may stand in for the loop; how well, from memory",
        ),
        Case(
            {"side": "inlet", "bypass": "capped", "heater": "capped", "bleed": False}, 2, False, "from the definition"
        ),
        Case({"side": "outlet", "bypass": "none", "heater": "capped", "bleed": False}, 2, False, "from the definition"),
    ),
    caution=COLD,
)
def thermostat_loop(
    side=coolant_circuit.thermostat_side,
    bypass=coolant_circuit.bypass,
    heater=coolant_circuit.heater_loop,
    bleed=coolant_circuit.bleed_hole,
):
    """cut off = 2 without open bypass, steady heater loop and bleed hole; 1 with a bleed hole alone at the inlet; else 0"""
    shut = ((bypass != "open") & ((heater == "capped") | (heater == "valved"))) * 1
    return shut * (2 - bleed * 2) + shut * bleed * (side == "inlet")
