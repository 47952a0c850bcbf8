"""Gas rises: a vent hose that comes in below the place it should empty stays full of gas, whatever it is joined to."""

from kb.roles import coolant_circuit
from kb.rules._rule import Case, Limit, mm, rule
from kb.rules.cooling._caution import COLD


@rule(
    "vent-rise",
    "cooling",
    "length",
    "linear",
    asks="Do the vents come in higher than the highest place where gas collects?",
    limits=(
        Limit.at_least(
            0.0,
            why="the gas would have to sink to get out, so it stays in the head",
            harm="destroys",
            milestone="fire",
            fix="a tank that stands higher, a vent to a higher place, or fill and bleed with the nose of the car jacked up "
            "until one is found",
            source="definition",
        ),
    ),
    cases=(
        Case({"rise": 60 * mm}, 60 * mm, True, "as given"),
        Case({"rise": 0.0}, 0.0, True, "on the limit"),
        Case({"rise": -35 * mm}, -35 * mm, False, "as given"),
    ),
    advice="How the engine tilts in the car matters: measure with the car level and as laden as you drive it.",
    caution=COLD,
)
def vent_rise(rise=coolant_circuit.vent_rise):
    """rise = height of the vents' end above the highest place where gas collects"""
    return rise
