"""A taper fitting that meets the bottom of its port cracks the boss instead of wedging in the thread."""

from kb.maths import constant
from kb.roles import pipe_fitting, pipe_port
from kb.rules._rule import Case, Limit, mm, rule
from kb.standards.pipes import PIPE_THREADS, npt, pipe_thread

_TAPER = tuple(code for code, each in PIPE_THREADS.items() if each.taper)
_WRENCH_TURNS = 3  # beyond hand-tight: ASME B1.20.1
_EIGHTH = npt("1/8").hand_tight + _WRENCH_TURNS * npt("1/8").pitch


@rule(
    "pipe-port-depth",
    "fasteners",
    "length",
    "linear",
    asks="Is the port deep enough for the taper thread to wedge before it bottoms?",
    limits=(
        Limit.at_least(
            0.0,
            why="the fitting bottoms before it seals, and the next pull cracks the boss",
            harm="destroys",
            milestone="prime",
            fix="a shorter fitting, or deepen the port where there is metal",
            source="asme-b1-20",
        ),
    ),
    when={pipe_port.thread: _TAPER},
    cases=(
        Case(
            {"depth": 12 * mm, "male": "npt_1_8"}, 12 * mm - _EIGHTH, True, "L1 0.1615 in + 3 turns of 1/27 in: 6.92 mm"
        ),
        Case({"depth": _EIGHTH, "male": "npt_1_8"}, 0.0, True, "on the limit"),
        Case({"depth": 5 * mm, "male": "npt_1_8"}, 5 * mm - _EIGHTH, False, "hand sum"),
    ),
)
def pipe_port_depth(depth=pipe_port.depth, male=pipe_fitting.thread):
    """spare = depth of the port - (hand-tight length + three turns with the wrench)"""
    mine = pipe_thread(male)
    return depth - constant(mine.hand_tight + _WRENCH_TURNS * mine.pitch, "m", depth)
