"""The bell's bore must stand in line with the crank; a dial that turns with the crank shows twice the error."""

from kb.roles import bellhousing, transmission
from kb.rules._rule import Case, Limit, mm, rule
from kb.standards.crank_train import offset_of


@rule(
    "bell-runout-automatic",
    "crank",
    "length",
    "linear",
    asks="Is the gearbox in line with the crank, near enough for a flexplate?",
    limits=(
        Limit.at_most(
            0.2032 * mm,
            why="more than .008 in out of line breaks the centre out of flexplates",
            harm="destroys",
            milestone="drive",
            fix="offset dowels; first look for dirt, a missing dowel, a plate that has shifted",
            source="trade-page",
        ),
        Limit.at_most(
            0.1524 * mm,
            name="industrial",
            why="industrial engines are set up to .008 to .012 in of reading, which is .004 to .006 in out of line",
            harm="wears",
            milestone="drive",
            fix="offset dowels",
            source="service-manual",
            usual=True,
        ),
    ),
    when={transmission.sort: ("automatic",)},
    cases=(
        Case({"reading": 0.20 * mm}, 0.10 * mm, True, "half the total indicator reading, from the definition"),
        Case({"reading": 0.4064 * mm}, 0.2032 * mm, None, "on the limit, .008 in"),
        Case({"reading": 0.8 * mm}, 0.4 * mm, False, "from the definition"),
    ),
    detail=lambda reading: {"notes": ["the axes lie apart by half of the total indicator reading"]},
)
def bell_runout_automatic(reading=bellhousing.bore_runout):
    """out of line = total indicator reading / 2"""
    return offset_of(reading)
