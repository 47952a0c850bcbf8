"""Too few turns in soft metal pull out before the bolt is tight: a bolt needs its own diameter in steel and twice that in
aluminium."""

from kb.maths import constant, least
from kb.roles import fastener, hole
from kb.rules._rule import Case, Limit, mm, percent, rule
from kb.standards.fasteners import engagement_rule
from kb.standards.threads import thread


@rule(
    "thread-engagement",
    "fasteners",
    "percent",
    "rough",
    asks="Does the screw reach deep enough into the hole for its metal?",
    limits=(
        Limit.at_least(
            0.0,
            why="the screw does not reach the thread",
            harm="destroys",
            milestone="prime",
            fix="a longer screw, or less between head and hole",
            source="definition",
            name="reaches",
        ),
        Limit.at_least(
            100 * percent,
            why="with less in the hole the thread pulls out before the screw is tight",
            harm="destroys",
            milestone="crank",
            fix="a longer screw, a stud, or an insert of steel",
            source="practice",
        ),
    ),
    cases=(
        Case({"length": 35 * mm, "stack": 15 * mm, "depth": 22 * mm, "screw": "M8x1.25", "metal": "aluminium"}, 1.25,
             True, "hand sum: 20 of 16 mm, thr-21 of the check values"),
        Case({"length": 31 * mm, "stack": 15 * mm, "depth": 22 * mm, "screw": "M8x1.25", "metal": "aluminium"}, 1.0,
             True, "on the limit: 16 mm, thr-21 of the check values"),
        Case({"length": 35 * mm, "stack": 15 * mm, "depth": 12 * mm, "screw": "M8x1.25", "metal": "aluminium"}, 0.75,
             False, "the thread in the hole is too short: 12 of 16 mm"),
        Case({"length": 35 * mm, "stack": 15 * mm, "depth": 12 * mm, "screw": "M8x1.25", "metal": "cast_iron"}, 1.0,
             True, "12 of 12 mm"),
        Case({"length": 14 * mm, "stack": 15 * mm, "depth": 12 * mm, "screw": "M8x1.25", "metal": "steel"}, -0.125,
             False, "the screw ends above the hole"),
    ),
    advice="1 diameter in a nut or steel (other sources say 1.5), 1.5 in cast iron, 2 in aluminium: common practice. The "
    "chamfered tip of a screw, about one pitch, holds nothing.",
)  # fmt: skip
def thread_engagement(
    length=fastener.length, stack=hole.stack, depth=hole.thread_depth, screw=fastener.thread, metal=hole.material
):
    """share = least of (length - stack) and thread depth / (diameters that the metal wants x diameter)"""
    return least(length - stack, depth) / engagement_rule(metal, constant(thread(screw).diameter, "m", length))
