"""Milled heads come down and in, and the manifold's ports no longer meet theirs: it bolts up fine, and then loses gasket after
gasket."""

import math

from kb.roles import intake_joint
from kb.rules._rule import Case, Limit, mm, rule
from kb.standards.valley import end_cut_for_gap, port_offset, side_cut_for_ports

_V = {"bank": math.radians(90), "face": math.radians(110)}
_FACTOR = math.sin(math.radians(45)) / math.sin(math.radians(55))  # 0.863 mm of offset for each mm milled


def _detail(head: float, deck: float, side: float, bank: float, face: float) -> dict[str, list[str]]:
    cut = head + deck
    if not cut:
        return {"notes": []}
    sides, ends = side_cut_for_ports(cut, bank, face) * 1000, end_cut_for_gap(cut, bank, face) * 1000
    return {
        "notes": [
            f"ports and end rails are as before with {sides:.2f} mm off each flange and {ends:.2f} mm off the ends"
        ]
    }


@rule(
    "manifold-valley-geometry",
    "sealing",
    "length",
    "smooth",
    asks="Do the manifold's ports still meet the ports of the milled heads?",
    limits=(
        Limit.at_most(
            intake_joint.port_land,
            why="the port runs off the gasket: air is drawn in, or oil from the valley",
            harm="leaks",
            milestone="fire",
            fix="mill the manifold's flanges and ends, or a tapered gasket",
            source="definition",
        ),
        Limit.at_most(
            1.0 * mm,
            why="a step of more than this costs flow and leaves a narrow seal",
            harm="leaks",
            milestone="drive",
            fix="mill the manifold's flanges and ends",
            source="memory",
        ),
        Limit.at_least(
            -1.0 * mm,
            why="the manifold now sits lower than the ports",
            harm="leaks",
            milestone="drive",
            fix="a thicker gasket",
            source="memory",
        ),
    ),
    cases=(
        Case({"head": 0.5 * mm, "deck": 0.0, "side": 0.0, **_V, "most": 3 * mm}, 0.5 * mm * _FACTOR, True,
             "derived from geometry: 0.43 mm"),
        Case({"head": 1.0 * mm / _FACTOR, "deck": 0.0, "side": 0.0, **_V, "most": 3 * mm}, 1.0 * mm, True, "on the limit"),
        Case({"head": 3 * mm, "deck": 1 * mm, "side": 0.0, **_V, "most": 3 * mm}, 4 * mm * _FACTOR, False, "3.45 mm on 3 mm of land"),
        Case({"head": 1 * mm, "deck": 0.0, "side": 1.2328 * mm, **_V, "most": 3 * mm}, 0.0, True,
             "the trade's factor 1.23 puts the ports back, from memory", 1e-7),
    ),
    detail=_detail,
)  # fmt: skip
def manifold_valley_geometry(
    head=intake_joint.head_cut,
    deck=intake_joint.deck_cut,
    side=intake_joint.side_cut,
    bank=intake_joint.bank_angle,
    face=intake_joint.face_angle,
):
    """offset = ((head cut + deck cut) x sin(bank / 2) - side cut x cos(face / 2)) / sin(face / 2)"""
    return port_offset(head + deck, side, bank, face)
