"""Grip grows with the angle of contact: a pulley that the belt only brushes slips in the wet and under load."""

from math import degrees, radians
from typing import Any

from kb.roles import belt, belt_layout
from kb.rules._rule import Case, Limit, percent, rule
from kb.rules.accessory._drive import Drive, Wheel
from kb.standards.belt_drive import capstan_ratio

# Usual least angles of contact, from memory: crank, alternator, pump as a shop rule; the rest by likeness.
USUAL = {"crank": 150, "alternator": 120, "supercharger": 150, "idler": 20, "fan": 90}
OTHERS = 90
_FRICTION, _HALF = 0.3, radians(20)  # as in the shop rule: 4.0, 6.3, 9.9, 15.7 at 90, 120, 150, 180 degrees


def _two(centres: Any) -> Any:
    """Two pulleys of 360 and 60 mm: the wrap on the small one is pi - 2 asin(0.15 / C)."""
    return _laid(Wheel("crank", diameter=0.36, drives="crank"), Wheel("small", centres, 0.0, 0.06, drives="alternator"))


def _laid(*wheels: Any) -> Any:
    return {"pulleys": list(wheels), "tensioners": [], "back_offset": 0.0, "belt_length": 1.0}


@rule(
    "belt-wrap-angle",
    "accessory",
    "percent",
    "stations",
    asks="Does the belt reach far enough round each pulley?",
    limits=(
        Limit.at_least(
            0.0,
            why="the belt does not touch this pulley at all, or lies on its wrong side",
            harm="wears",
            milestone="fire",
            fix="check the belt's way on the sketch; move the pulley, or an idler beside it",
            source="definition",
            name="touches",
        ),
        Limit.at_least(
            100 * percent,
            why="the belt grips this pulley on too short an arc: it squeals in the wet and when the load comes on",
            harm="nuisance",
            milestone="drive",
            fix="an idler on the slack side next to this pulley, a bigger pulley, or a belt with more ribs",
            source="memory",
        ),
    ),
    cases=(
        Case(_two(0.3), 100 * percent, True, "on the limit: asin 0.5 = 30 deg, so 120 deg on the alternator"),
        Case(_two(0.25), 106.2602047 / 120, None, "asin 0.6 = 36.86990 deg", 1e-8),
        Case(
            _laid(Wheel("crank", diameter=0.2, drives="crank"), Wheel("far", 0.4, 0, 0.2), Wheel("idler", 0.2, 0.02)),
            -17.387025635 / 20,
            False,
            "the idler hangs 30 mm inside the upper span: 2 (atan 0.1 - asin(0.05 / 0.2009975)) = -17.387 deg",
            1e-5,
        ),
    ),
    detail=lambda *given: _detail(Drive(*given)),
    tangent=lambda *given: _near(Drive(*given)),
)  # fmt: skip
def belt_wrap_angle(
    pulleys=belt_layout.pulleys.of("drives", "x", "y", "diameter", "side"),
    tensioners=belt_layout.tensioners.of(
        "after", "drives", "pivot_x", "pivot_y", "arm", "free", "wound", "diameter", "side"
    ),
    back_offset=belt.back_offset,
    belt_length=belt.effective_length,
):
    """share = angle of contact / usual least angle for such a pulley"""
    return _shares(Drive(pulleys, tensioners, back_offset, belt_length))


def _shares(drive: Any) -> Any:
    return [
        (each.id, wrap / radians(USUAL.get(each.drives, OTHERS)))
        for each, wrap in zip(drive.entries, drive.route.wraps, strict=True)
    ]


def _near(nominal: Any) -> Any:
    return lambda *given: _shares(nominal.near(*given))


def _detail(drive: Any) -> Any:
    notes, rows = [], []
    for each, wrap in zip(drive.entries, drive.route.wraps, strict=True):
        usual = USUAL.get(each.drives, OTHERS)
        ratio = capstan_ratio(_FRICTION, max(wrap, 0.0), _HALF)
        rows.append({"id": each.id, "wrap": wrap, "usual": radians(usual), "capstan": ratio})
        if degrees(wrap) < usual:
            notes.append(
                f"{each.id}: {degrees(wrap):.0f} deg of contact (usual at least {usual} deg)"
                + (f", grip ratio {ratio:.1f} at friction {_FRICTION}" if each.side == "rib" else "")
            )
    return {"wraps": rows, "notes": notes, **drive.drawn()}
