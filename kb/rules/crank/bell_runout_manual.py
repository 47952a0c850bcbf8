"""A manual box's input shaft is held at both ends: out of line, it eats the pilot, jumps out of gear and drags."""

from kb.roles import bellhousing, transmission
from kb.rules._rule import Case, Limit, mm, rule
from kb.standards.crank_train import offset_of


@rule(
    "bell-runout-manual",
    "crank",
    "length",
    "linear",
    asks="Is the gearbox in line with the crank, near enough for an input shaft?",
    limits=(
        Limit.at_most(
            0.127 * mm,
            why="more than .005 in out of line wears pilot and input bearing",
            harm="wears",
            milestone="drive",
            fix="offset dowels; first look for dirt, a missing dowel, a plate that has shifted",
            source="trade-page",
        ),
    ),
    when={transmission.sort: ("manual",)},
    cases=(
        Case({"reading": 0.20 * mm}, 0.10 * mm, True, "half the total indicator reading, from the definition"),
        Case({"reading": 0.254 * mm}, 0.127 * mm, True, "on the limit, .005 in"),
        Case({"reading": 0.8 * mm}, 0.4 * mm, False, "from the definition"),
    ),
    detail=lambda reading: {"notes": ["the axes lie apart by half of the total indicator reading"]},
)
def bell_runout_manual(reading=bellhousing.bore_runout):
    """out of line = total indicator reading / 2"""
    return offset_of(reading)
