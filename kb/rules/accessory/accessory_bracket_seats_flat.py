"""A bolt that runs out of thread in another head is tight in the hole while the bracket is still loose and cocked."""

from types import SimpleNamespace
from typing import Any

from kb.maths import least
from kb.roles import bracket
from kb.rules._rule import Case, Limit, mm, rule


def _bolt(length: Any, shank: Any, clamped: Any, depth: Any, id: Any = "upper") -> Any:
    return SimpleNamespace(
        id=id, bolt_length=length * mm, shank=shank * mm, clamped=clamped * mm, thread_depth=depth * mm
    )


@rule(
    "accessory-bracket-seats-flat",
    "accessory",
    "length",
    "stations",
    asks="Does every bolt pull its bracket down before it runs out of thread?",
    limits=(
        Limit.at_least(
            0 * mm,
            why="the bolt ends in the hole before the bracket is clamped: it sits loose and cocked",
            harm="wears",
            milestone="crank",
            fix="a shorter bolt, a washer as thick as what is lacking, or the hole tapped deeper",
            source="trade-page",
        ),
        Limit.at_least(
            1.5 * mm,
            why="swarf, thread lock or a thinner shim take up this little room",
            harm="wears",
            milestone="crank",
            fix="a bolt one size shorter, if enough thread is left in it",
            source="memory",
        ),
    ),
    cases=(
        Case({"bolts": [_bolt(40, 15, 20, 23)]}, 3 * mm, True, "23 - (40 - 20) mm"),
        Case({"bolts": [_bolt(40, 15, 20, 21.5)]}, 1.5 * mm, True, "on the limit, hand sum"),
        Case({"bolts": [_bolt(40, 15, 20, 23), _bolt(40, 15, 20, 17, "lower")]}, -3 * mm, False, "17 - 20 mm"),
        Case({"bolts": [_bolt(60, 24, 20, 45)]}, -4 * mm, False, "the plain shank meets the hole: 20 - 24 mm"),
    ),
    detail=lambda bolts: {"notes": [words for each in bolts if (words := _told(each))]},
    caution="A bolt that feels tight proves nothing: try each by hand with the bracket off.",
)
def accessory_bracket_seats_flat(bolts=bracket.bolts.of("bolt_length", "shank", "clamped", "thread_depth")):
    """spare = least of thread depth - (bolt - what it clamps) and what it clamps - plain shank"""
    return [
        (each.id, least(each.thread_depth - (each.bolt_length - each.clamped), each.clamped - each.shank))
        for each in bolts
    ]


def _told(bolt: Any) -> Any:
    bottoms = bolt.bolt_length - bolt.clamped - bolt.thread_depth
    plain = bolt.shank - bolt.clamped
    if max(bottoms, plain) <= 0:
        return ""
    longest = bolt.thread_depth + bolt.clamped
    if plain > bottoms:
        return f"{bolt.id}: the plain shank meets the thread; washers of {plain * 1e3:.1f} mm, or a bolt threaded further up"
    return f"{bolt.id}: at most {longest * 1e3:.1f} mm under the head fits here, this one is {bolt.bolt_length * 1e3:.1f} mm"
