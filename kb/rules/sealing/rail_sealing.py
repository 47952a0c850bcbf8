"""A rail seals where the gasket is squeezed all the way round: low spots between the bolts and stepped covers weep."""

from kb.roles import block, flange_bolts, pan, pan_gasket
from kb.rules._rule import Limit, if_known, percent, rule
from kb.rules.sealing._cases import rail_sealing_cases
from kb.rules.sealing._joint import Joint
from kb.rules.sealing._remedy import joint_detail


@rule(
    "rail-sealing",
    "sealing",
    "percent",
    "stations",
    asks="Is the gasket squeezed all the way round the pan rail?",
    limits=(
        Limit.at_least(
            0.0,
            why="the gasket is not touched here and oil runs out",
            harm="leaks",
            milestone="prime",
            fix="see the remedies: a bead or gasket of more free height, a shim at the station, or the flange dressed",
            source="definition",
        ),
        Limit.at_least(
            20 * percent,
            why="a gasket squeezed less than a fifth of its height opens with heat and time",
            harm="leaks",
            milestone="fire",
            fix="a gasket or bead of more free height, or the high stations dressed",
            source="memory",
        ),
        Limit.at_most(
            45 * percent,
            why="a gasket squeezed more is pushed out of the joint or split",
            harm="leaks",
            milestone="fire",
            fix="a thinner gasket, or one with limiters",
            source="memory",
        ),
    ),
    cases=rail_sealing_cases,
    detail=lambda *given: joint_detail(Joint(*given), passages=False),
    tangent=lambda *given: Joint(*given).squeezes_near(passages=False),
    advice="Rubber bead 20 to 35 %, cork-rubber 25 to 45 % (from memory).",
)
def rail_sealing(
    block_side=block.stations.of("x", "y", "face", "bolt", "passage", "height"),
    pan_side=pan.flange.of("height").for_each(block.stations),
    front_step=block.front_cover_step,
    rear_step=block.rear_cover_step,
    free=pan_gasket.free_thickness,
    stop=pan_gasket.stop_thickness,
    modulus=pan_gasket.modulus,
    seal_width=pan_gasket.seal_width,
    torque=flange_bolts.torque,
    nut_factor=flange_bolts.nut_factor,
    diameter=flange_bolts.nominal_diameter,
    flange_modulus=pan.flange_modulus,
    flange_width=pan.flange_width,
    flange_thickness=pan.flange_thickness,
    ports=if_known(block.ports.of("closed"), otherwise=()),
):
    """squeeze = (free thickness - gap) / free thickness, gap from the seat of the flange on gasket, stops and bolts"""
    joint = Joint(
        block_side, pan_side, front_step, rear_step, free, stop, modulus, seal_width, torque, nut_factor, diameter,
        flange_modulus, flange_width, flange_thickness, ports,
    )  # fmt: skip
    return joint.squeezes(passages=False)
