"""A starter that wants a pile of shims is the wrong starter, or stands on dirt."""

from kb.roles import starter
from kb.rules._rule import Case, Limit, rule


@rule(
    "starter-shims",
    "crank",
    "number",
    "count",
    asks="Are there no more shims under the starter than its maker allows?",
    limits=(
        Limit.at_most(
            0,
            why="more shims than 2 of 1 mm under both ears, or 4 of a third of a millimetre outboard, stand for a wrong pair",
            harm="wears",
            milestone="crank",
            fix="find the reason: plate, nose, ring; another maker allows 3",
            source="service-manual",
        ),
    ),
    cases=(
        Case({"style": "full_1_mm", "shims": 2}, 0, True, "on the limit, service sheet"),
        Case({"style": "outboard_third_mm", "shims": 6}, 2, False, "service sheet: 4 at most"),
        Case({"style": "none", "shims": 0}, 0, True, "from the definition"),
    ),
)
def starter_shims(style=starter.shim_style, shims=starter.shims):
    """shims too many = shims - (2 of 1 mm, or 4 outboard)"""
    return shims - (style == "full_1_mm") * 2 - (style == "outboard_third_mm") * 4
