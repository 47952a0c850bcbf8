"""A high-volume pump pulls harder on the gear that turns it than soft metal can stand for long."""

from kb.maths import pair_in
from kb.roles import drive_gear, oil_pump
from kb.rules._rule import Case, Limit, rule

_HARD_ON = frozenset({("bronze", "high_volume"), ("polymer", "high_volume")})


@rule(
    "drive-gear-load",
    "oil",
    "number",
    "count",
    asks="Can the drive gear's metal turn this pump for long?",
    limits=(
        Limit.at_most(
            0,
            why="a soft gear on a high-volume pump was stripped after 3000 km",
            harm="destroys",
            milestone="drive",
            fix="the normal pump, or a gear of iron or steel that suits the cam",
            source="trade-page",
            usual=True,
        ),
    ),
    cases=(
        Case({"gear": "bronze", "pump": "standard"}, 0, True, "on the limit, trade page"),
        Case({"gear": "bronze", "pump": "high_volume"}, 1, None, "trade page"),
    ),
)
def drive_gear_load(gear=drive_gear.material, pump=oil_pump.volume_class):
    """overloaded = 1 for a soft gear on a high-volume pump, else 0"""
    return pair_in(gear, pump, _HARD_ON)
