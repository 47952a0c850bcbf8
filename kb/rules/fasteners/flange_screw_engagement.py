"""The shortest screw of a cover finds the weakest boss: each needs its length in the metal."""

from kb.roles import screw_set
from kb.rules._rule import Case, Limit, mm, percent, rule
from kb.rules.fasteners._words import Place
from kb.standards.fasteners import engagement_rule
from kb.standards.threads import thread


@rule(
    "flange-screw-engagement",
    "fasteners",
    "percent",
    "stations",
    asks="Does every screw of the flange reach deep enough into its hole?",
    limits=(
        Limit.at_least(
            100 * percent,
            why="with less in the hole the thread pulls out before the screw is tight",
            harm="leaks",
            milestone="prime",
            fix="a longer screw in that hole, a stud, or an insert of steel",
            source="practice",
        ),
    ),
    cases=(
        Case({"places": [Place("A1", screw_length=33 * mm)], "metal": "aluminium"}, 1.125, True, "18 of 16 mm, thr-21"),
        Case(
            {"places": [Place("A1"), Place("A2", screw_length=27 * mm)], "metal": "cast_iron"},
            1.0,
            True,
            "on the limit: 12 of 12 mm",
        ),
        Case(
            {"places": [Place("A1"), Place("A2", screw_length=23 * mm)], "metal": "aluminium"}, 0.5, False, "8 of 16 mm"
        ),
    ),
    advice="1 diameter in a nut or steel (other sources say 1.5), 1.5 in cast iron, 2 in aluminium: common practice.",
)
def flange_screw_engagement(
    places=screw_set.places.of("screw_thread", "screw_length", "stack", "thread_depth"), metal=screw_set.material
):
    """share = least of (length - stack) and thread depth / (diameters that the metal wants x diameter), at each hole"""
    return [
        (
            each.id,
            min(each.screw_length - each.stack, each.thread_depth)
            / engagement_rule(metal, thread(each.screw_thread).diameter),
        )
        for each in places
    ]
