"""A universal joint at an angle drives unevenly, twice a turn; two at equal angles cancel, what is left shakes the car."""

from collections.abc import Callable

from kb.roles import propshaft
from kb.rules._rule import Case, Limit, percent, rule
from kb.standards.geometry import joint_angle
from kb.standards.geometry import joint_fluctuation as uneven

_DEGREE = 0.017453292519943295
_ALONE = joint_angle(0.002)
_FIX = "shim the pinion or the gearbox mount until the two angles are equal"
_FELT = "what is left of the unevenness shakes the car at speed"
_BREAKS = "so much unevenness is felt at once and breaks mounts and bearings"


def _usual(limit: Callable[..., Limit], bound: float) -> Limit:
    return limit(bound, why=_FELT, harm="wears", milestone="drive", fix=_FIX, source="memory")


def _tolerated(limit: Callable[..., Limit], bound: float, name: str) -> Limit:
    return limit(bound, why=_BREAKS, harm="destroys", milestone="drive", fix=_FIX, source="practice", name=name)


@rule(
    "joint-fluctuation",
    "chassis",
    "percent",
    "smooth",
    asks="Do the two joints of the shaft cancel each other's unevenness?",
    limits=(
        _usual(Limit.at_most, 0.2 * percent),
        _usual(Limit.at_least, -0.2 * percent),
        _tolerated(Limit.at_most, 2.0 * percent, "tolerated_front"),
        _tolerated(Limit.at_least, -2.0 * percent, "tolerated_rear"),
    ),
    cases=(
        Case({"front": 2.0 * _DEGREE, "rear": 2.0 * _DEGREE}, 0.0, True, "equal angles cancel"),
        Case(
            {"front": 16.423 * _DEGREE, "rear": 0.0},
            100 / 1200,
            False,
            "geo-05 of the check values: 100 rpm in 1200 at 16.423 degrees",
            2e-4,
        ),
        Case({"front": 0.0, "rear": 16.423 * _DEGREE}, -100 / 1200, False, "the same joint at the other end", 2e-4),
        Case(
            {"front": 6.0 * _DEGREE, "rear": 1.0 * _DEGREE},
            0.010681752,
            None,
            "hand sum from the cosines of 6 and 1 degree",
            2e-9,
        ),
        Case({"front": _ALONE, "rear": 0.0}, 0.002, True, "on the usual limit: 1/cos b - cos b = 0.002", 1e-9),
    ),
    advice="Holds for both joints in one plane, with the shaft's own yokes in line.",
    caution="Work under a car only on stands, wheels chocked.",
)
def joint_fluctuation(front=propshaft.front_angle, rear=propshaft.rear_angle):
    """left over = fluctuation of the front joint - fluctuation of the rear joint, each 1/cos b - cos b of mean speed"""
    return uneven(front) - uneven(rear)
