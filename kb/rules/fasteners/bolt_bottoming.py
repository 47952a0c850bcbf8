"""A bolt that meets the bottom of its hole feels tight and clamps nothing; turned further it breaks the casting."""

from kb.maths import constant
from kb.roles import fastener, hole
from kb.rules._rule import Case, Limit, mm, rule
from kb.standards.threads import thread


@rule(
    "bolt-bottoming",
    "fasteners",
    "number",
    "linear",
    asks="Does the bolt stop on its head before it meets the bottom of the hole?",
    limits=(
        Limit.at_least(
            0.0,
            why="the bolt bottoms: it feels tight, clamps nothing, and splits the casting",
            harm="destroys",
            milestone="prime",
            fix="a shorter bolt, or a washer under the head; note a length for every hole",
            source="definition",
        ),
        Limit.at_least(
            1.0,
            why="less than one turn is left for a thinner gasket, a bowed part or dirt in the hole",
            harm="destroys",
            milestone="prime",
            fix="a shorter bolt or a washer, and blow the hole out",
            source="practice",
            name="in_hand",
        ),
    ),
    when={hole.end: ("blind",)},
    cases=(
        Case(
            {"length": 35 * mm, "stack": 15 * mm, "depth": 25 * mm, "screw": "M8x1.25"}, 4.0, True, "hand sum: 5 / 1.25"
        ),
        Case(
            {"length": 35 * mm, "stack": 13.75 * mm, "depth": 22.5 * mm, "screw": "M8x1.25"}, 1.0, True, "on the limit"
        ),
        Case({"length": 45 * mm, "stack": 15 * mm, "depth": 25 * mm, "screw": "M8x1.25"}, -4.0, False, "hand sum"),
    ),
    caution="Oil or coolant left in a blind hole cracks the casting just as well: blow it out, with eye protection.",
)
def bolt_bottoming(length=fastener.length, stack=hole.stack, depth=hole.thread_depth, screw=fastener.thread):
    """turns in hand = (thread depth - (length - stack)) / pitch"""
    return (depth - (length - stack)) / constant(thread(screw).pitch, "m", length)
