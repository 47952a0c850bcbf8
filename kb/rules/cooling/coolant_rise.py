"""Too little flow lets the coolant gain many degrees on its way through the engine: the far cylinders boil first."""

from kb.roles import coolant_circuit, duty
from kb.rules._rule import Case, Limit, rule
from kb.rules.cooling._caution import COLD
from kb.standards.coolant import heat_capacity, rise_for_flow


@rule(
    "coolant-rise",
    "cooling",
    "temperature_difference",
    "smooth",
    asks="Does the pump move enough coolant for the heat of this engine?",
    limits=(
        Limit.at_most(
            10.0,
            why="with a rise of more than 10 K from inlet to outlet the far end of the jacket boils first",
            harm="destroys",
            milestone="drive",
            fix="a pump that moves more, a smaller pulley on it, a freer radiator",
            source="practice",
        ),
    ),
    cases=(
        Case(
            {"flow": 184.76e-3 / 60, "power": 75e3, "share": 1.0, "temperature": 363.15, "glycol": 0.0},
            6.0,
            True,
            "coo-04 of the check values: 75 kW and 6 K at 90 degC",
            0.02,
        ),
        Case(
            {"flow": 30e-3 / 60, "power": 75e3, "share": 1.0, "temperature": 363.15, "glycol": 0.0},
            6.0 * 184.76 / 30.0,
            False,
            "coo-04 of the check values, scaled",
            0.1,
        ),
        Case(
            {
                "flow": 75e3 / (10.0 * heat_capacity(363.15, 0.5)),
                "power": 75e3,
                "share": 1.0,
                "temperature": 363.15,
                "glycol": 0.5,
            },
            10.0,
            True,
            "on the limit",
        ),
    ),
    advice="Pump flow goes with its speed, and heat with power: judge both at the rev limit.",
    caution=COLD,
)
def coolant_rise(
    flow=coolant_circuit.pump_flow,
    power=duty.power,
    share=duty.coolant_share,
    temperature=duty.hot_coolant,
    glycol=coolant_circuit.glycol,
):
    """rise = power x heat to the coolant per power / (heat capacity x flow)"""
    return rise_for_flow(power * share, flow, temperature, glycol)
