"""A hardware-store bolt in the place of a strong one stretches: the marks on the head must say at least what the joint was
designed for."""

from kb.roles import fastener, hole
from kb.rules._rule import Case, Limit, rule
from kb.standards.fasteners import grade_proof_stress
from kb.standards.threads import thread


@rule(
    "fastener-grade",
    "fasteners",
    "number",
    "count",
    asks="Is the screw at least of the grade that the joint was designed for?",
    limits=(
        Limit.at_least(
            1.0,
            why="a weaker bolt stretches at the torque of the strong one, and the joint works loose",
            harm="destroys",
            milestone="crank",
            fix="a bolt with the right marks on its head",
            source="iso-898",
        ),
    ),
    only_with=(hole.grade_due,),
    cases=(
        Case(
            {"grade": "class_10_9", "due": "class_8_8", "screw": "M8x1.25"},
            830 / 580,
            True,
            "ISO 898-1 (thr-04, thr-06)",
        ),
        Case(
            {"grade": "class_8_8", "due": "class_8_8", "screw": "M8x1.25"},
            1.0,
            True,
            "on the limit, from the definition",
        ),
        Case(
            {"grade": "class_8_8", "due": "class_10_9", "screw": "M8x1.25"},
            580 / 830,
            False,
            "ISO 898-1 (thr-04, thr-06)",
        ),
    ),
)
def fastener_grade(grade=fastener.grade, due=hole.grade_due, screw=fastener.thread):
    """ratio = proof stress of the screw's grade / proof stress of the grade due"""
    diameter = thread(screw).diameter
    return grade_proof_stress(grade, diameter) / grade_proof_stress(due, diameter)
