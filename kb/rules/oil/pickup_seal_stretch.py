"""A ring that is stretched too far on its groove thins, ages early and creeps out; one that is too large for its groove
hangs loose and is caught by the edge of the bore."""

from kb.roles import pickup, pickup_seal
from kb.rules._rule import Case, Limit, mm, percent, rule
from kb.standards.orings import stretch


@rule(
    "pickup-seal-stretch",
    "oil",
    "percent",
    "smooth",
    asks="Is the ring the right size for the groove that it sits in?",
    limits=(
        Limit.at_least(
            -2 * percent,
            why="a ring larger than its groove hangs loose and is caught by the mouth of the bore",
            harm="leaks",
            milestone="prime",
            fix="the ring of the next smaller inside diameter",
            source="practice",
        ),
        Limit.at_most(
            5 * percent,
            why="a ring stretched more thins and ages early",
            harm="leaks",
            milestone="drive",
            fix="the ring of the next larger inside diameter",
            source="oring-guide",
        ),
    ),
    when={pickup.joint: ("radial",)},
    cases=(
        Case({"inner": 20 * mm, "groove": 20.6 * mm}, 0.03, True, "from the definition"),
        Case({"inner": 20 * mm, "groove": 21 * mm}, 0.05, True, "on the limit, from the definition"),
        Case({"inner": 18.64 * mm, "groove": 21 * mm}, 2.36 / 18.64, False, "from the definition"),
    ),
)
def pickup_seal_stretch(inner=pickup_seal.inner_diameter, groove=pickup.groove_diameter):
    """stretch = (groove diameter - free inside diameter) / free inside diameter"""
    return stretch(inner, groove)
