"""Inch and metric screws look alike and start in each other's holes: a few turns by hand prove nothing, for the wrong one
locks or strips where the right one would have gone on."""

from kb.roles import fastener, hole
from kb.rules._rule import Case, Limit, rule
from kb.rules.fasteners._words import run_words
from kb.standards.threads import same, thread


@rule(
    "thread-pair-lookalike",
    "fasteners",
    "number",
    "count",
    asks="Is the screw's thread that of the hole, in diameter and in pitch?",
    limits=(
        Limit.at_most(
            0,
            why="a screw of another thread drops in, does not start, or starts and then locks or strips",
            harm="destroys",
            milestone="prime",
            fix="the screw that belongs to the hole; a stripped hole takes a thread insert",
            source="definition",
        ),
    ),
    cases=(
        Case({"screw": "M8x1.25", "tapped": "M8x1.25"}, 0, True, "on the limit, from the definition"),
        Case({"screw": "M10x1.25", "tapped": "M10x1.5"}, 1, False, "same diameter, another pitch"),
        Case({"screw": "3/8-16", "tapped": "M10x1.5"}, 1, False, "the sneaky one: runs five turns, see thr-12"),
        Case({"screw": "M6x1", "tapped": "M7x1"}, 1, False, "same pitch, another diameter"),
    ),
    detail=lambda screw, tapped: {"notes": [run_words(screw, tapped)]},
    advice="turns = 1 + play of the pitch diameters x tan 30 / difference of the pitches, over the tolerance classes 6g/6H "
    "and 2A/2B.",
)
def thread_pair_lookalike(screw=fastener.thread, tapped=hole.thread):
    """mismatches = 0 if diameter and pitch are both equal, else 1"""
    return (not same(thread(screw), thread(tapped))) + 0
