"""A heavy sender on a brass tee shakes its neck off, and the oil goes with it: arm times mass times shake must be small for
the metal in the thread's root."""

import math

from kb.maths import constant
from kb.roles import pipe_fitting, pipe_port
from kb.rules._rule import Case, Limit, mm, rule
from kb.standards.pipes import pipe_thread

_G = 9.80665
_ROOT = 0.64  # of a pitch, from the pitch line down to the root


def _root(code: str) -> float:
    mine = pipe_thread(code)
    return mine.end_pitch_diameter - _ROOT * mine.pitch


def _due(mass: float, arm: float, shake: float, bore: float) -> float:
    root = _root("npt_1_8")
    return 32 * mass * shake * arm * root / (math.pi * (root**4 - bore**4))


_HEAVY = 30e6 / _due(1.0, 60 * mm, 10 * _G, 4 * mm)  # kg that reach the limit


@rule(
    "fitting-overhang",
    "fasteners",
    "pressure",
    "smooth",
    asks="Is what hangs on the fitting light and near enough for its neck?",
    limits=(
        Limit.at_most(
            30e6,
            why="a brass neck tires at little more than this, and a hung sender shakes it for hours",
            harm="fire",
            milestone="drive",
            fix="sender on the body with a flexible line, a shorter adapter, steel in place of brass, or a stay",
            source="memory",
        ),
    ),
    cases=(
        Case({"mass": 0.08, "arm": 40 * mm, "shake": 10 * _G, "bore": 4 * mm, "male": "npt_1_8"},
             _due(0.08, 40 * mm, 10 * _G, 4 * mm), True, "bending of a tube: 32 M D / (pi (D^4 - b^4))"),
        Case({"mass": _HEAVY, "arm": 60 * mm, "shake": 10 * _G, "bore": 4 * mm, "male": "npt_1_8"}, 30e6, True, "on the limit"),
        Case({"mass": 0.45, "arm": 120 * mm, "shake": 15 * _G, "bore": 4 * mm, "male": "npt_1_8"},
             _due(0.45, 120 * mm, 15 * _G, 4 * mm), None, "a heavy sender at the end of two adapters"),
    ),
    caution="Oil on a hot exhaust burns.",
)  # fmt: skip
def fitting_overhang(
    mass=pipe_fitting.mass,
    arm=pipe_fitting.arm,
    shake=pipe_port.shake,
    bore=pipe_fitting.neck_bore,
    male=pipe_fitting.thread,
):
    """stress = 32 x mass x shake x arm x root / (pi (root^4 - bore^4)), root = core of the fitting's thread"""
    root = constant(_root(male), "m", bore)
    return 32 * mass * shake * arm * root / (math.pi * (root**4 - bore**4))
