"""A passage in the joint carries oil under pressure, so the two bolts beside it must be near enough for the flange between
them to hold the gasket down."""

from kb.roles import block, flange_bolts, pan, pan_gasket
from kb.rules._rule import Case, Limit, if_known, mm, rule
from kb.rules.sealing._pitch import At, passage_pitch
from kb.standards.gaskets import max_bolt_spacing

_RAIL = [At(0, 0), At(0.02, 0, False, "feed"), At(0.04, 0), At(0.04, 0.2), At(0, 0.2)]


@rule(
    "passage-bolt-pitch",
    "sealing",
    "length",
    "smooth",
    asks="Are the bolts beside every oil passage as close as a flange under pressure wants them?",
    limits=(
        Limit.at_least(
            0.0,
            why="the flange lifts between bolts that stand farther apart, and oil under pressure finds the way",
            harm="leaks",
            milestone="fire",
            fix="a pan with a thicker flange, or a load-spreader strip under the heads",
            source="asme-viii",
        ),
    ),
    when={block.stations: ("passage",)},
    cases=(
        Case({"stations": _RAIL, "bolt": 8 * mm, "thickness": 6 * mm, "factor": 1.0, "ports": []}, 0.0, True,
             "gas-01 of the check values: 2 a + 6 t / (m + 0.5) = 40 mm, bolts 40 mm apart: on the limit"),
        Case({"stations": _RAIL, "bolt": 8 * mm, "thickness": 10 * mm, "factor": 0.5, "ports": []}, 36 * mm, True, "hand sum: 76 - 40 mm"),
        Case({"stations": _RAIL, "bolt": 6 * mm, "thickness": 2 * mm, "factor": 0.5, "ports": []}, -16 * mm, False, "hand sum: 24 - 40 mm"),
    ),
    advice="ASME VIII-1 Appendix 2 and TEMA write it for pressure flanges; a plain stretch of pan rail sees no pressure.",
)  # fmt: skip
def passage_bolt_pitch(
    stations=block.stations.of("x", "y", "bolt", "passage"),
    bolt=flange_bolts.nominal_diameter,
    thickness=pan.flange_thickness,
    factor=pan_gasket.gasket_factor,
    ports=if_known(block.ports.of("closed"), otherwise=()),
):
    """spare = 2 x bolt diameter + 6 x flange thickness / (gasket factor + 0.5) - pitch of the bolts beside the passage"""
    return max_bolt_spacing(bolt, thickness, factor) - passage_pitch(stations, ports)
