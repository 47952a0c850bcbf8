"""Cold oil is thick: on the first start of a winter morning the tube alone can cost the pump more than the weight of the
air can give."""

from kb.roles import duty, oil, oil_pump, pickup
from kb.rules._rule import Limit, rule
from kb.rules.oil._suction import cold_cases, suction_detail
from kb.standards.suction import suction_losses


@rule(
    "suction-cold",
    "oil",
    "pressure",
    "smooth",
    asks="Can the pump still fill through this pickup, cold just after the start?",
    limits=(
        Limit.at_most(
            oil_pump.depression_allowed,
            why="below this pressure the pump no longer fills: the gauge sags and the oil carries bubbles",
            harm="destroys",
            milestone="fire",
            fix="a thinner winter grade, a wider tube, or keep the speed down until the oil is warm",
            source="practice",
            name="pump_allows",
        ),
    ),
    cases=cold_cases,
    detail=suction_detail,
    advice="The surface is taken to stand just over the foot, and the pump to fill completely: both on the careful side.",
)
def suction_cold(
    speed=duty.cold_speed,
    temperature=duty.cold_oil,
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
