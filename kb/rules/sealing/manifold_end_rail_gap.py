"""After milling, the gap at the ends of the valley is another: the rails touch and hold the manifold off its ports, or the
gap is more than sealant can fill."""

import math

from kb.roles import intake_joint
from kb.rules._rule import Case, Limit, mm, rule
from kb.standards.valley import manifold_lift

_V = {"bank": math.radians(90), "face": math.radians(110)}
_FALL = math.sin(math.radians(10)) / math.sin(math.radians(55))  # the manifold comes down by 0.212 mm for each mm
_DROP = math.sin(math.radians(45)) / math.cos(math.radians(55)) / math.sin(math.radians(55))


@rule(
    "manifold-end-rail-gap",
    "sealing",
    "length",
    "smooth",
    asks="Is the gap under the manifold's end rails one that can be sealed?",
    limits=(
        Limit.at_least(
            0.0,
            why="the rails stand on the block and the ports are not clamped",
            harm="leaks",
            milestone="fire",
            fix="mill the end rails",
            source="definition",
        ),
        Limit.at_most(
            3.175 * mm,
            why="an eighth of an inch filled with sealant leaked",
            harm="leaks",
            milestone="drive",
            fix="a rail gasket of the right height, or mill the manifold's flanges",
            source="trade-page",
        ),
    ),
    cases=(
        Case({"gap": 1.5 * mm, "head": 1 * mm, "deck": 0.0, "side": 0.0, "ends": 0.0, **_V}, (1.5 - _FALL) * mm, True,
             "derived from geometry: 1.29 mm"),
        Case({"gap": 3.175 * mm, "head": 0.0, "deck": 0.0, "side": 0.0, "ends": 0.0, **_V}, 3.175 * mm, True, "on the limit"),
        Case({"gap": 1.2 * mm, "head": 1 * mm, "deck": 0.0, "side": _DROP * math.sin(math.radians(55)) * mm, "ends": 0.0, **_V},
             (1.2 - _FALL - _DROP) * mm, False, "flanges milled, ends forgotten: 1.71 mm lower, the trade's factor"),
    ),
    advice="Solder across the rail, dry, tells the gap.",
)  # fmt: skip
def manifold_end_rail_gap(
    gap=intake_joint.end_gap,
    head=intake_joint.head_cut,
    deck=intake_joint.deck_cut,
    side=intake_joint.side_cut,
    ends=intake_joint.end_cut,
    bank=intake_joint.bank_angle,
    face=intake_joint.face_angle,
):
    """gap now = gap with uncut parts + lift of the manifold + off its ends, lift = ((head cut + deck cut) x
    sin(bank / 2 - face / 2) - side cut) / sin(face / 2)"""
    return gap + manifold_lift(head + deck, side, bank, face) + ends
