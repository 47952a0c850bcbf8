"""An old bolt at torque alone clamps about half of what a new one does at its final angle, and where friction drives the gears that
is all there is."""

from kb.roles import crank, damper, nose_stack
from kb.rules._rule import Case, Limit, mm, rule
from kb.standards.crank_train import clamp_of_bolt
from kb.standards.threads import thread

_DEG = 0.017453292519943295
_BOLT = {"thread_name": "M16x1.5", "torque": 60.0, "factor": 0.15, "angle": 120 * _DEG, "grip": 60 * mm, "proof": 830e6}
_AREA = 167.2505e-6  # pi/4 (16 - 0.938194 x 1.5)^2 mm2, ISO 898-1


@rule(
    "damper-clamp-force",
    "crank",
    "number",
    "rough",
    asks="Does the damper's bolt clamp the stack on the snout as hard as it was designed for?",
    limits=(
        Limit.at_least(
            1.0,
            why="with less clamp the stack slips: damper, timing gear and pump gear wander on the snout",
            harm="destroys",
            milestone="drive",
            fix="a new bolt at its torque and full final angle",
            source="definition",
        ),
    ),
    when={nose_stack.drive: ("friction",)},
    cases=(
        Case({**_BOLT, "due": 110e3}, 830e6 * _AREA / 110e3, True, "the turn takes the bolt to its proof stress: 830 MPa x 167 mm2", 1e-4),
        Case({**_BOLT, "angle": 0.0, "torque": 240.0, "due": 100e3}, 1.0, True, "on the limit: 240 / (0.15 x 0.016)"),
        Case({**_BOLT, "angle": 0.0, "torque": 240.0, "factor": 0.2, "due": 110e3}, 75e3 / 110e3, False, "240 / (0.2 x 0.016), old bolt at torque alone"),
        Case({**_BOLT, "angle": 30 * _DEG, "factor": 0.2, "due": 110e3}, (60 / 0.0032 + 0.8 * 205e9 * _AREA * 1.5e-3 / 12 / 0.06) / 110e3, False,
             "18.75 kN, and 0.125 mm of turn over 60 mm", 1e-4),
    ),
    detail=lambda thread_name, torque, factor, angle, grip, proof, due: {
        "notes": ["eight tenths of the turn are taken to stretch the bolt; above its proof stress no more clamp is counted"]
    },
    caution="Hold the crank with the proper tool while the bolt is turned to its final angle.",
)  # fmt: skip
def damper_clamp_force(
    thread_name=damper.bolt_thread,
    torque=damper.bolt_torque,
    factor=damper.bolt_nut_factor,
    angle=damper.bolt_angle,
    grip=damper.bolt_grip,
    proof=damper.bolt_proof,
    due=crank.nose_clamp,
):
    """ratio = least of (torque / (K d) + stretch by the angle, proof stress x stress area) / clamp due"""
    of = thread(thread_name)
    return clamp_of_bolt(torque, factor, angle, grip, proof, of.diameter, of.pitch, of.stress_area) / due
