"""A few seconds decide between a filter change and a rebuild: both of you must know when to shut off."""

from kb.roles import first_start
from kb.rules._rule import Case, Limit, rule
from kb.rules.ready._ticks import still_open


@rule(
    "stop-rules",
    "ready",
    "number",
    "count",
    asks="Is a pressure gauge in view, and are the rules for shutting off agreed?",
    limits=(
        Limit.at_most(
            0,
            why="bearings and cam go while somebody still looks for the reason",
            harm="destroys",
            milestone="fire",
            fix="a gauge where the one with the key sees it; say the rules aloud: no pressure in 10 s after a proven prime and never "
            "later than 30 s, gauge climbing while the hoses stay cold, knock, smoke from cables, fuel smell",
            source="trade-page",
        ),
    ),
    cases=(
        Case({"gauge_in_view": True, "rules_agreed": True}, 0, True, "on the limit, all ticked"),
        Case({"gauge_in_view": False, "rules_agreed": True}, 1, False, "one not ticked"),
        Case({"gauge_in_view": False, "rules_agreed": False}, 2, False, "none ticked"),
    ),
    detail=still_open("gauge in view", "rules agreed"),
)
def stop_rules(gauge_in_view=first_start.gauge_in_view, rules_agreed=first_start.stop_rules_agreed):
    """open items = those of the two that are not so"""
    return 2 - (gauge_in_view * 1 + rules_agreed)
