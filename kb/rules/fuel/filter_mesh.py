"""A fine filter belongs behind the pump; before it, it is one more thing that keeps the pump from filling."""

from kb.roles import fuel_filter
from kb.rules._rule import Case, Limit, rule
from kb.rules.fuel._flow import CAUTION

um = 1e-6


@rule(
    "filter-mesh",
    "fuel",
    "length",
    "linear",
    asks="Is the filter before the pump coarse enough to let it fill?",
    limits=(
        Limit.at_least(
            70 * um,
            why="a fine filter before the pump makes it draw vapour, sooner still when the first ethanol frees old dirt",
            harm="no_start",
            milestone="drive",
            fix="a coarse one of about 100 micron before the pump, the fine one behind it",
            source="memory",
        ),
    ),
    cases=(
        Case({"mesh": 100 * um}, 100 * um, True, "from the definition"),
        Case({"mesh": 70 * um}, 70 * um, True, "on the limit"),
        Case({"mesh": 10 * um}, 10 * um, None, "outside the usual range"),
    ),
    when={fuel_filter.serves: ("suction",)},
    caution=CAUTION,
)
def filter_mesh(mesh=fuel_filter.mesh):
    """mesh = size of what the filter stops"""
    return mesh
