"""Thin hot oil flows easily but there is much of it at the rev limit: screen, mouth, tube and bends together must not
pull the pump's inlet lower than it can still fill against."""

from kb.roles import duty, oil, oil_pump, pickup
from kb.rules._rule import Limit, rule
from kb.rules.oil._suction import hot_cases, suction_detail
from kb.standards.suction import suction_losses


@rule(
    "suction-hot",
    "oil",
    "pressure",
    "smooth",
    asks="Can the pump still fill through this pickup, hot at the rev limit?",
    limits=(
        Limit.at_most(
            oil_pump.depression_allowed,
            why="below this pressure the pump no longer fills: the gauge sags and the oil carries bubbles",
            harm="destroys",
            milestone="drive",
            fix="a wider or shorter tube, fewer bends, a coarser or larger screen",
            source="practice",
            name="pump_allows",
        ),
    ),
    cases=hot_cases,
    detail=suction_detail,
    advice="The surface is taken to stand just over the foot, and the pump to fill completely: both on the careful side.",
)
def suction_hot(
    speed=duty.rev_limit,
    temperature=duty.hot_oil,
    displacement=oil_pump.displacement,
    ratio=oil_pump.speed_ratio,
    v40=oil.viscosity_40,
    v100=oil.viscosity_100,
    density=oil.density_15,
    bore=pickup.tube_bore,
    length=pickup.tube_length,
    bends=pickup.bends,
    mouth=pickup.entrance,
    screen_area=pickup.screen_area,
    screen_open=pickup.screen_open,
    screen_wire=pickup.screen_wire,
    hang=pickup.hang,
    inlet=oil_pump.inlet_depth,
):
    """depression = screen + mouth + tube + bends + velocity head + density x g x (hang of foot - depth of inlet)"""
    return suction_losses(
        speed, temperature, displacement, ratio, v40, v100, density, bore, length, bends, mouth, screen_area, screen_open,
        screen_wire, hang - inlet,
    ).total  # fmt: skip
