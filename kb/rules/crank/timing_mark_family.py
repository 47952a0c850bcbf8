"""The same damper serves several covers, and their pointers stand at other hours: mark and pointer must be of one family, or be
proved with a piston stop."""

from kb.roles import damper, timing_pointer
from kb.rules._rule import Case, Limit, rule


@rule(
    "timing-mark-family",
    "crank",
    "number",
    "count",
    asks="Do the damper's mark and the pointer belong together, or has top dead centre been proved?",
    limits=(
        Limit.at_most(
            0,
            why="the mark is read against a pointer that stands elsewhere: timing wrong by tens of degrees",
            harm="destroys",
            milestone="fire",
            fix="prove top dead centre with a piston stop and stamp a new mark, or fit the pointer of this cover",
            source="trade-page",
        ),
    ),
    cases=(
        Case({"mark": "late", "pointer": "late", "proved": False}, 0, True, "on the limit, from the definition"),
        Case({"mark": "early", "pointer": "late", "proved": True}, 0, True, "proved with a piston stop"),
        Case({"mark": "early", "pointer": "late", "proved": False}, 1, False, "from the definition"),
    ),
)
def timing_mark_family(mark=damper.timing_family, pointer=timing_pointer.family_mark, proved=timing_pointer.proved):
    """doubts = 1 if mark and pointer differ and nobody proved top dead centre, else 0"""
    return (mark != pointer) * (1 - proved * 1)
