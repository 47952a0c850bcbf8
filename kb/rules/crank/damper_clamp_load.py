"""Where the gears on the snout have no key, the damper's bolt is all that turns them: a new bolt, the full final angle, and the
maker's word on thread lock."""

from kb.roles import damper, nose_stack
from kb.rules._rule import Case, Limit, rule


@rule(
    "damper-clamp-load",
    "crank",
    "number",
    "count",
    asks="Is the damper's bolt new, turned to its full angle, and its thread lock decided?",
    limits=(
        Limit.at_most(
            0,
            why="the bolt comes out, the damper wanders, and timing and oil pump stop being driven",
            harm="destroys",
            milestone="crank",
            fix="a new bolt, torque and full final angle with the crank held; thread lock as the maker says",
            source="trade-page",
        ),
    ),
    when={nose_stack.drive: ("friction",)},
    cases=(
        Case({"new": True, "angle": True, "lock": True}, 0, True, "on the limit, all ticked"),
        Case({"new": False, "angle": True, "lock": True}, 1, False, "an old bolt"),
        Case({"new": False, "angle": False, "lock": False}, 3, False, "trade page: bolt out, engine lost"),
    ),
    caution="Hold the crank with the proper tool while the bolt is turned to its final angle.",
)
def damper_clamp_load(new=damper.bolt_new, angle=damper.bolt_angle_done, lock=damper.bolt_lock_decided):
    """open items = those of the list that are not so"""
    return 3 - new * 1 - angle * 1 - lock * 1
