"""A small carburettor strangles the top end, a large one has no signal to pull fuel with at low speed: the depression
that full load needs tells which."""

from kb.roles import block, carburettor, compressor, duty
from kb.rules._rule import Case, Limit, litre, optional, rule
from kb.rules.fuel._air import IN_HG, air_in
from kb.rules.fuel._flow import CAUTION
from kb.standards.air import rated_depression

CFM = 0.028316846592 / 60
# 350 in3 at 6000 rpm and 100 % swallow 607.639 ft3/min: air-01 of the check values.
_GIVEN = {
    "displacement": 350 * 0.016387064 * litre, "speed": 100.0, "filling": 1.0, "intake": 101325 / (287.05287 * 1.204),
    "rated_flow": 650 * CFM, "rated_at": 1.5 * IN_HG, "boost": 0.0, "efficiency": 0.7, "cooling": 0.0, "place": "none",
}  # fmt: skip
_FLOW = 607.638889 * CFM


@rule(
    "carb-air-flow",
    "fuel",
    "pressure",
    "smooth",
    asks="Does the carburettor pass the air of full load without strangling it, and still with a signal?",
    limits=(
        Limit.at_most(
            2.0 * IN_HG,
            why="the carburettor strangles the top end: the power aimed at is out of reach",
            harm="nuisance",
            milestone="drive",
            fix="a carburettor with more air flow, or a lower aim",
            source="practice",
        ),
        Limit.at_most(
            1.5 * IN_HG,
            why="more depression than this costs power that the engine would give",
            harm="nuisance",
            milestone="drive",
            fix="a carburettor with more air flow",
            source="memory",
        ),
        Limit.at_least(
            0.5 * IN_HG,
            why="so little signal leaves the main circuit late and the mixture uneven at low speed",
            harm="nuisance",
            milestone="drive",
            fix="a smaller carburettor, or smaller venturis",
            source="memory",
        ),
    ),
    cases=(
        Case(_GIVEN, 1.5 * IN_HG * (_FLOW / (650 * CFM)) ** 2, True, "air-01, square law", 0.1),
        Case({**_GIVEN, "rated_flow": _FLOW * 0.75**0.5}, 2.0 * IN_HG, None, "on the limit, outside the usual range", 0.1),
        Case({**_GIVEN, "rated_flow": 300 * CFM}, 1.5 * IN_HG * (_FLOW / (300 * CFM)) ** 2, False, "square law", 0.1),
        Case({**_GIVEN, "rated_flow": 1200 * CFM}, 1.5 * IN_HG * (_FLOW / (1200 * CFM)) ** 2, None, "too large", 0.1),
        Case({**_GIVEN, "boost": 81060.0, "efficiency": 1.0, "cooling": 1.0, "place": "after"},
             1.5 * IN_HG * (1.8 * _FLOW / (650 * CFM)) ** 2, False, "drawn through: 1.8 times the air, square law", 0.1),
    ),
    caution=CAUTION,
    advice="Restate a flow stated at 3 inHg for 1.5 inHg by dividing by 1.41.",
)  # fmt: skip
def carb_air_flow(
    displacement=block.displacement,
    speed=duty.rev_limit,
    filling=duty.filling,
    intake=duty.intake_air,
    rated_flow=carburettor.rated_flow,
    rated_at=carburettor.rated_depression,
    boost=optional(compressor.boost, absent=0.0),
    efficiency=optional(compressor.efficiency, absent=0.7),
    cooling=optional(compressor.intercooling, absent=0.0),
    place=optional(compressor.place, absent="none"),
):
    """depression = rated depression x (displacement x speed / 2 x filling / rated flow)^2 x density / 1.204 kg/m3"""
    flow, density = air_in(displacement, speed, filling, intake, boost, efficiency, cooling, place)
    return rated_depression(flow, rated_flow, rated_at, density)
