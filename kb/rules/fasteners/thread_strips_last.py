"""A strong bolt in weak metal pulls the thread out of the casting: what is engaged must hold more than the bolt can be
tightened to."""

from kb.maths import constant, least
from kb.roles import fastener, hole
from kb.rules._rule import Case, Limit, mm, rule
from kb.standards.fasteners import (
    SHEAR_SHARE,
    bolt_shear_area,
    grade_proof_stress,
    grade_tensile_strength,
    hole_shear_area,
)
from kb.standards.threads import bolt_limits, hole_limits, thread

_MPA = 1e6


def _due(name: str, grade: str, engaged: float, strength: float) -> float:
    """The hand-run sum; its areas are tested against thr-17 and thr-18 of the check values."""
    mine = thread(name)
    outer, inner = bolt_limits(mine), hole_limits(mine)
    torn = hole_shear_area(engaged, mine.pitch, outer.major.least, inner.pitch.most) * strength / 2
    sheared = bolt_shear_area(engaged, mine.pitch, inner.minor.most, outer.pitch.least)
    sheared *= grade_tensile_strength(grade, mine.diameter) / 2
    return float(min(torn, sheared) / (grade_proof_stress(grade, mine.diameter) * mine.stress_area))


def _case(holds: bool, origin: str, grade: str, engaged: float, strength: float) -> Case:
    given: dict[str, object] = {"length": 15 * mm + engaged, "stack": 15 * mm, "depth": 40 * mm}
    given.update({"screw": "M8x1.25", "grade": grade, "strength": strength})
    return Case(given, _due("M8x1.25", grade, engaged, strength), holds, origin)


_ENOUGH = 200 * _MPA / _due("M8x1.25", "class_8_8", 16 * mm, 200 * _MPA)  # metal that is just strong enough


@rule(
    "thread-strips-last",
    "fasteners",
    "number",
    "rough",
    asks="Does the thread hold more than the bolt can be tightened to?",
    limits=(
        Limit.at_least(
            1.0,
            why="the thread is pulled out of the hole before the bolt reaches its proof load",
            harm="destroys",
            milestone="crank",
            fix="more engagement, an insert of steel, or a bolt of lower grade with less torque",
            source="fed-h28",
        ),
    ),
    only_with=(hole.strength,),
    cases=(
        _case(True, "8.8 in aluminium over two diameters", "class_8_8", 16 * mm, 240 * _MPA),
        _case(True, "on the limit: metal that is just strong enough", "class_8_8", 16 * mm, _ENOUGH),
        _case(False, "10.9 in aluminium over one diameter", "class_10_9", 8 * mm, 200 * _MPA),
    ),
    advice="Areas by FED-STD-H28/2 at the slackest limits of the tolerance classes; shear strength taken as half the tensile.",
)
def thread_strips_last(
    length=fastener.length,
    stack=hole.stack,
    depth=hole.thread_depth,
    screw=fastener.thread,
    grade=fastener.grade,
    strength=hole.strength,
):
    """reserve = least force that strips either thread / (proof stress x stress area of the bolt)"""
    mine = thread(screw)
    outer, inner = bolt_limits(mine), hole_limits(mine)
    engaged = least(length - stack, depth)
    diameter, pitch, major, middle, minor, bore = (
        constant(each, "m", engaged)
        for each in (
            mine.diameter,
            mine.pitch,
            outer.major.least,
            inner.pitch.most,
            inner.minor.most,
            outer.pitch.least,
        )
    )
    torn = hole_shear_area(engaged, pitch, major, middle) * strength
    sheared = bolt_shear_area(engaged, pitch, minor, bore) * grade_tensile_strength(grade, diameter)
    proof = grade_proof_stress(grade, diameter) * constant(mine.stress_area, "m**2", engaged)
    return least(torn, sheared) * SHEAR_SHARE / proof
