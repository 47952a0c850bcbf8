"""A torque wrench measures friction more than stretch: with the scatter of the thread's state the clamp must stay below
what the bolt can take, and above what holds the joint."""

from kb.maths import constant
from kb.roles import fastener
from kb.rules._rule import Case, Limit, percent, rule
from kb.standards.fasteners import grade_proof_stress
from kb.standards.gaskets import preload_from_torque
from kb.standards.threads import thread

_PROOF_M8 = 580e6 * thread("M8x1.25").stress_area


@rule(
    "preload-in-proof",
    "fasteners",
    "percent",
    "smooth",
    asks="Does the torque clamp the joint without stretching the bolt for good?",
    limits=(
        Limit.at_most(
            100 * percent,
            why="beyond its proof load the bolt stretches for good and loses its clamp",
            harm="destroys",
            milestone="crank",
            fix="the torque for this size, grade and state of the thread; oiled threads want less",
            source="iso-898",
        ),
        Limit.at_least(
            35 * percent,
            why="a bolt pulled less than this works loose where the joint shakes",
            harm="wears",
            milestone="drive",
            fix="the torque for this size and grade, or a thread lock where the joint cannot take more",
            source="memory",
        ),
    ),
    only_with=(fastener.torque,),
    cases=(
        Case({"torque": 25.0, "factor": 0.2, "screw": "M8x1.25", "grade": "class_8_8"}, 15625 / _PROOF_M8, True,
             "25 N.m / (0.2 x 8 mm) = 15625 N; gas-05 takes 15900 N as 75 %"),
        Case({"torque": _PROOF_M8 * 0.0016, "factor": 0.2, "screw": "M8x1.25", "grade": "class_8_8"}, 1.0, True, "on the limit"),
        Case({"torque": 25.0, "factor": 0.12, "screw": "M8x1.25", "grade": "class_8_8"}, 15625 / 0.6 / _PROOF_M8, False,
             "the same torque on a thread with moly paste"),
    ),
    advice="Aim at 75 % for a joint that is taken apart again (Shigley). A torque wrench scatters the clamp by 25 to 30 %: "
    "write that as the tolerance of the nut factor.",
)  # fmt: skip
def preload_in_proof(torque=fastener.torque, factor=fastener.nut_factor, screw=fastener.thread, grade=fastener.grade):
    """share = torque / (nut factor x diameter) / (proof stress x stress area)"""
    mine = thread(screw)
    diameter = constant(mine.diameter, "m", torque)
    proof = grade_proof_stress(grade, diameter) * constant(mine.stress_area, "m**2", torque)
    return preload_from_torque(torque, diameter, factor) / proof
