"""A hub that wobbles eats the pump's bushing and its seal."""

from kb.roles import converter
from kb.rules._rule import Case, Limit, mm, rule


@rule(
    "converter-hub-runout",
    "crank",
    "length",
    "linear",
    asks="Does the converter's hub run true, bolted to the flexplate?",
    limits=(
        Limit.at_most(
            0.254 * mm,
            why="more than .010 in wears bushing and seal, and cracks the flexplate",
            harm="leaks",
            milestone="drive",
            fix="turn the converter on the plate by one pad and read again; then plate or converter",
            source="trade-page",
        ),
    ),
    cases=(
        Case({"runout": 0.10 * mm}, 0.10 * mm, True, "as given"),
        Case({"runout": 0.254 * mm}, 0.254 * mm, True, "on the limit, .010 in"),
        Case({"runout": 0.5 * mm}, 0.5 * mm, False, "as given"),
    ),
    detail=lambda runout: {"notes": ["total indicator reading: the hub's axis is off by half of it"]},
)
def converter_hub_runout(runout=converter.hub_runout):
    """runout = total indicator reading at the hub"""
    return runout
