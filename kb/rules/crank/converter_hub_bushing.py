"""Hub and bushing are a running fit of a few hundredths: too tight it seizes, too loose the seal leaks."""

from kb.roles import converter, transmission
from kb.rules._rule import Case, Limit, mm, rule


@rule(
    "converter-hub-bushing",
    "crank",
    "length",
    "linear",
    asks="Does the converter's hub run in the gearbox's bushing with the right play?",
    limits=(
        Limit.at_least(
            0.0,
            why="the hub does not enter the bushing",
            harm="destroys",
            milestone="crank",
            fix="the converter or bushing for this gearbox",
            source="definition",
        ),
        Limit.at_least(
            0.0508 * mm,
            name="usual_least",
            why="the usual play is .002 to .003 in; a tighter hub may seize",
            harm="destroys",
            milestone="drive",
            fix="hone the bushing",
            source="trade-page",
            usual=True,
        ),
        Limit.at_most(
            0.0762 * mm,
            name="usual_most",
            why="the usual play is .002 to .003 in; a looser hub wears the seal",
            harm="leaks",
            milestone="drive",
            fix="a new bushing",
            source="trade-page",
            usual=True,
        ),
    ),
    cases=(
        Case({"bore": 47.665 * mm, "hub": 47.6 * mm}, 0.065 * mm, True, "hand sum"),
        Case({"bore": 47.6762 * mm, "hub": 47.6 * mm}, 0.0762 * mm, True, "on the limit, .003 in"),
        Case({"bore": 44.5 * mm, "hub": 47.6 * mm}, -3.1 * mm, False, "hand sum"),
    ),
)
def converter_hub_bushing(bore=transmission.bushing_bore, hub=converter.hub_diameter):
    """play = bore of the bushing - hub"""
    return bore - hub
