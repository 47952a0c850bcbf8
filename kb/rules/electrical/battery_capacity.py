"""A big engine with much compression wants a battery to match: an ampere for each cubic inch of an eight, half as much again
for a six, twice for a four."""

from kb.roles import battery, block
from kb.rules._rule import Case, Limit, percent, rule
from kb.standards.electric import CUBIC_INCH, cold_amperes_needed


@rule(
    "battery-capacity",
    "electrical",
    "percent",
    "smooth",
    asks="Has the battery enough cold cranking amperes for this engine?",
    limits=(
        Limit.at_least(
            100 * percent,
            why="slow or no cranking, hot or cold, and a weak spark with it",
            harm="no_start",
            milestone="crank",
            fix="a larger battery, or less advance while cranking",
            source="trade-page",
        ),
    ),
    cases=(
        Case({"amperes": 540.0, "displacement": 232 * CUBIC_INCH, "cylinders": 6}, 540 / 348, True, "trade page: 1.5 A a cubic inch"),
        Case({"amperes": 300.0, "displacement": 300 * CUBIC_INCH, "cylinders": 8}, 1.0, True, "on the limit: 1.0 A a cubic inch"),
        Case({"amperes": 220.0, "displacement": 140 * CUBIC_INCH, "cylinders": 4}, 220 / 280, False, "trade page: 2.0 A a cubic inch"),
    ),
    detail=lambda amperes, displacement, cylinders: {
        "notes": [f"{amperes:.0f} A for {cold_amperes_needed(displacement, cylinders):.0f} A wanted"]
    },
    caution="Battery acid and gas: eye protection, no flame, - lead off first.",
)  # fmt: skip
def battery_capacity(amperes=battery.cold_amperes, displacement=block.displacement, cylinders=block.cylinders):
    """share = cold cranking amperes / (amperes a cubic inch for so many cylinders x displacement)"""
    return amperes / cold_amperes_needed(displacement, cylinders)
