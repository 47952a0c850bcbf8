"""A throttle body has no venturi: what it takes from the air of full load is lost for nothing."""

import math

from kb.roles import block, compressor, duty, throttle
from kb.rules._rule import Case, Limit, litre, mm, optional, rule
from kb.rules.fuel._air import IN_HG, air_in
from kb.rules.fuel._flow import CAUTION
from kb.standards.air import THROTTLE_COEFFICIENT, throttle_area
from kb.standards.hydraulics import orifice_drop

_GIVEN = {
    "displacement": 350 * 0.016387064 * litre, "speed": 100.0, "filling": 1.0, "intake": 101325 / (287.05287 * 1.204),
    "pieces": 1, "bore": 75 * mm, "shaft": 0.0, "boost": 0.0, "efficiency": 0.7, "cooling": 0.0, "place": "none",
}  # fmt: skip
_FLOW = 607.638889 * 0.028316846592 / 60
_BARE = 1.204 / 2 * (_FLOW / (0.85 * math.pi / 4 * (75 * mm) ** 2)) ** 2
_BORE = 75 * mm * (_BARE / (1.5 * IN_HG)) ** 0.25


@rule(
    "throttle-air-flow",
    "fuel",
    "pressure",
    "smooth",
    asks="Does the throttle pass the air of full load?",
    limits=(
        Limit.at_most(
            1.5 * IN_HG,
            why="the throttle strangles the top end: the power aimed at is out of reach",
            harm="nuisance",
            milestone="drive",
            fix="a larger throttle, or one more",
            source="practice",
        ),
    ),
    cases=(
        Case(_GIVEN, _BARE, True, "air-01 of the check values, rho/2 (Q / (0.85 A))^2 by hand", 1e-3),
        Case({**_GIVEN, "bore": _BORE}, 1.5 * IN_HG, True, "on the limit", 1e-3),
        Case({**_GIVEN, "bore": 37.5 * mm}, _BARE * 16, False, "half the bore", 1e-2),
        Case({**_GIVEN, "pieces": 4, "bore": 37.5 * mm}, _BARE, True, "four of half the bore", 1e-3),
    ),
    caution=CAUTION,
)
def throttle_air_flow(
    displacement=block.displacement,
    speed=duty.rev_limit,
    filling=duty.filling,
    intake=duty.intake_air,
    pieces=throttle.pieces,
    bore=throttle.bore,
    shaft=throttle.shaft,
    boost=optional(compressor.boost, absent=0.0),
    efficiency=optional(compressor.efficiency, absent=0.7),
    cooling=optional(compressor.intercooling, absent=0.0),
    place=optional(compressor.place, absent="none"),
):
    """drop = density / 2 x (displacement x speed / 2 x filling / (0.85 x free area))^2"""
    flow, density = air_in(displacement, speed, filling, intake, boost, efficiency, cooling, place)
    return orifice_drop(THROTTLE_COEFFICIENT, throttle_area(bore, shaft, pieces), flow, density)
