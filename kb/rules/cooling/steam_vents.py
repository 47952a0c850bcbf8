"""Gas collects at the highest point of the jacket; a vent port that leads nowhere leaves a hot spot between the plugs while the
gauge looks normal."""

from kb.roles import coolant_circuit
from kb.rules._rule import Case, Limit, rule
from kb.rules.cooling._caution import COLD
from kb.rules.cooling._points import Point, dead_ends


def _words(points):
    return {
        "notes": [
            f"{each.id} leads to nothing"
            if each.leads == "nothing"
            else f"{each.id} leads to a cross tube that nothing leads on from"
            for each in dead_ends(points)
        ]
    }


@rule(
    "steam-vents",
    "cooling",
    "number",
    "count",
    asks="Does every high point of the coolant lead on to tank or radiator, or did the maker blank it?",
    limits=(
        Limit.at_most(
            0,
            why="gas stays in the head, the metal around it overheats and the engine knocks",
            harm="destroys",
            milestone="fire",
            fix="a cross tube between the heads and a hose from it to the top of the radiator or the tank",
            source="trade-page",
        ),
    ),
    cases=(
        Case({"points": [Point("tank"), Point("maker_blank")]}, 0, True, "on the limit, from the definition"),
        Case({"points": [Point("crossover"), Point("radiator_top")]}, 0, True, "a cross tube with a way out"),
        Case({"points": [Point("tank"), Point("nothing")]}, 1, False, "from the definition"),
        Case({"points": [Point("crossover"), Point("crossover")]}, 2, False, "a cross tube without a way out"),
    ),
    detail=_words,
    advice="Trade page: the makers drill two or four ports; plugging them is advised against.",
    caution=COLD,
)
def steam_vents(points=coolant_circuit.high_points.of("leads")):
    """left without a way out = high points that lead to nothing, or to a cross tube that nothing leads on from"""
    return len(dead_ends(points))
