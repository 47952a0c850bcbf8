"""A controller counts one fixed pattern; any other wheel is noise to it, however clean the signal."""

from kb.maths import is_in
from kb.roles import controller, trigger_wheel
from kb.rules._rule import Case, Limit, rule


@rule(
    "wheel-pattern",
    "trigger",
    "number",
    "count",
    asks="Can the controller decode this wheel's pattern?",
    limits=(
        Limit.at_least(
            1,
            why="the controller cannot find its place on a pattern that it does not know",
            harm="no_start",
            milestone="fire",
            fix="another wheel, or a controller whose list has this pattern",
            source="definition",
        ),
    ),
    cases=(
        Case({"pattern": "60-2", "known": frozenset({"36-1", "60-2"})}, 1, True, "on the limit, from the definition"),
        Case({"pattern": "24", "known": frozenset({"24-1", "60-2"})}, 0, False,
             "pat-13 of the check values: an even 24 is not an uneven 24"),
    ),
)  # fmt: skip
def wheel_pattern(pattern=trigger_wheel.pattern, known=controller.patterns):
    """found = 1 if the wheel's pattern is in the controller's list, else 0"""
    return is_in(pattern, known)
