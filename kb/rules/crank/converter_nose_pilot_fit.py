"""The crank's bore centres the converter's nose: later cranks have a larger one, and an early nose flops about in it until the
flexplate cracks."""

from kb.roles import converter, pilot
from kb.rules._rule import Case, Limit, mm, rule


@rule(
    "converter-nose-pilot-fit",
    "crank",
    "length",
    "linear",
    asks="Is the converter's nose centred by the crank's bore or its sleeve?",
    limits=(
        Limit.at_least(
            0.0,
            why="the nose does not enter",
            harm="destroys",
            milestone="crank",
            fix="the converter or sleeve for this crank",
            source="definition",
        ),
        Limit.at_most(
            0.4 * mm,
            name="off_centre",
            why="half of this play is more than the 0.2 mm (.008 in) off centre that flexplates stand",
            harm="destroys",
            milestone="drive",
            fix="a sleeve between nose and crank",
            source="trade-page",
        ),
        Limit.at_least(
            0.05 * mm,
            why="a tighter nose seizes in the bore",
            harm="wears",
            milestone="crank",
            fix="dress the nose or hone the sleeve",
            source="memory",
        ),
        Limit.at_most(
            0.25 * mm,
            why="a looser nose runs off centre",
            harm="wears",
            milestone="drive",
            fix="a sleeve that fits",
            source="memory",
        ),
    ),
    when={pilot.sort: ("none", "sleeve")},
    cases=(
        Case({"bore": 46.0 * mm, "nose": 45.88 * mm}, 0.12 * mm, True, "hand sum"),
        Case({"bore": 46.0 * mm, "nose": 45.75 * mm}, 0.25 * mm, True, "on the limit"),
        Case({"bore": 46.0 * mm, "nose": 38.0 * mm}, 8 * mm, False, "hand sum: an early nose without its sleeve"),
        Case({"bore": 38.1 * mm, "nose": 45.88 * mm}, -7.78 * mm, False, "hand sum"),
    ),
)
def converter_nose_pilot_fit(bore=pilot.bore, nose=converter.nose_diameter):
    """play = bore of the crank or sleeve - nose"""
    return bore - nose
