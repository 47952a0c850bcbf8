"""Rings of two sizes and starters for each look alike on the bench: number of teeth and pitch fix how far apart their centres must
stand."""

from kb.roles import bellhousing, drive_plate, starter
from kb.rules._rule import Case, Limit, mm, rule
from kb.standards.crank_train import gear_centres, module_of

_PITCH_12 = module_of(12 / 0.0254)


def _words(seat, offset, shims, ring, pinion, module):
    due = float(gear_centres(ring, pinion, module))
    return {
        "notes": [
            f"{ring} and {pinion} teeth of module {float(module) * 1000:.3f} mm (diametral pitch {0.0254 / float(module):.2f}) "
            f"want centres {due * 1000:.2f} mm ({due / 0.0254:.3f} in) apart; these stand {float(seat + offset + shims) * 1000:.2f} mm apart"
        ],
        "due": due,
    }


@rule(
    "ring-gear-starter-pair",
    "crank",
    "number",
    "smooth",
    asks="Is the starter where this ring gear wants it?",
    limits=(
        Limit.at_least(
            -0.25,
            why="nearer than a quarter of a module the pinion's tips meet the roots of the ring, and nothing turns",
            harm="no_start",
            milestone="crank",
            fix="the ring for this starter's place, or the starter nose for this ring",
            source="iso-53",
        ),
        Limit.at_most(
            2.0,
            why="farther than two modules the teeth do not reach each other",
            harm="no_start",
            milestone="crank",
            fix="the ring for this starter's place, or the starter nose for this ring; is the plate between block and bell fitted?",
            source="iso-53",
        ),
    ),
    cases=(
        Case({"seat": 7.375 * 25.4 * mm, "offset": 0.0, "shims": 0.0, "ring": 168, "pinion": 9, "module": _PITCH_12}, 0.0, True,
             "168 + 9 at pitch 12: 7.375 in, computed"),
        Case({"seat": 6.75 * 25.4 * mm, "offset": 0.0, "shims": 2 * _PITCH_12, "ring": 153, "pinion": 9, "module": _PITCH_12}, 2.0, True,
             "on the limit; 153 + 9 at pitch 12: 6.75 in, computed"),
        Case({"seat": 6.75 * 25.4 * mm, "offset": 0.0, "shims": 0.0, "ring": 168, "pinion": 9, "module": _PITCH_12}, -7.5, False,
             "half of 15 teeth too near, from the definition"),
    ),
    detail=_words,
)  # fmt: skip
def ring_gear_starter_pair(
    seat=bellhousing.starter_centre,
    offset=starter.axis_offset,
    shims=starter.shim_thickness,
    ring=drive_plate.ring_teeth,
    pinion=starter.pinion_teeth,
    module=drive_plate.ring_module,
):
    """modules too far = (seat + offset + shims - (ring + pinion) x module / 2) / module"""
    return (seat + offset + shims - gear_centres(ring, pinion, module)) / module
