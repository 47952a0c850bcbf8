"""A groove as deep as its ring squeezes nothing: the adapter is tight, the ring is loose, and the oil runs out between."""

from kb.roles import oil_filter_adapter
from kb.rules._rule import Case, Limit, mm, percent, rule
from kb.standards.orings import squeeze


@rule(
    "filter-adapter-ring-squeeze",
    "oil",
    "percent",
    "smooth",
    asks="Is the ring between adapter and block squeezed as a face ring must be?",
    limits=(
        Limit.at_least(
            10 * percent,
            why="a ring squeezed less leaks under pressure",
            harm="destroys",
            milestone="prime",
            fix="the ring with the thicker cord that belongs to this groove, or another adapter",
            source="oring-lecture",
        ),
        Limit.at_most(
            35 * percent,
            why="a ring squeezed more is cut, and the adapter does not come down on the block",
            harm="destroys",
            milestone="prime",
            fix="the ring that belongs to this groove",
            source="oring-lecture",
        ),
    ),
    cases=(
        Case({"cord": 3.53 * mm, "groove": 2.7 * mm}, 0.83 / 3.53, True, "from the definition"),
        Case({"cord": 4 * mm, "groove": 3.6 * mm}, 0.1, True, "on the limit"),
        Case({"cord": 3.53 * mm, "groove": 3.53 * mm}, 0.0, False, "the trade page's groove, as deep as the ring"),
    ),
    advice="Aim at 20 to 28 % for a face ring (O-ring design guide).",
    caution="A burst filter joint sprays hot oil.",
)
def filter_adapter_ring_squeeze(cord=oil_filter_adapter.ring_cord, groove=oil_filter_adapter.groove_depth):
    """squeeze = (cord - depth of the groove) / cord"""
    return squeeze(cord, groove)
