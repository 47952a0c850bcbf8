"""Rubber that is cracked or soaked in oil lets the engine climb at the first hard start: fan into shroud, throttle pulled open."""

from kb.roles import engine_bay
from kb.rules._rule import Case, Limit, rule


def _words(rubber, hold):
    notes = [f"the worst mount is {rubber}"] if rubber in ("cracked", "soaked", "sheared") else []
    return {"notes": notes if hold else [*notes, "nothing holds the engine down if the rubber shears"]}


@rule(
    "mount-rubber",
    "chassis",
    "number",
    "count",
    asks="Are the mounts sound, and is the engine held down if one shears?",
    limits=(
        Limit.at_most(
            1,
            why="the engine lifts: the throttle may be held open, the fan meets its shroud, the steering may jam",
            harm="fire",
            milestone="drive",
            fix="new mounts that interlock, or a strap or chain beside them",
            source="trade-page",
            name="held",
        ),
        Limit.at_most(
            0,
            why="sound rubber shears too, some day",
            harm="wears",
            milestone="drive",
            fix="a torque strap, or mounts that interlock",
            source="memory",
        ),
    ),
    cases=(
        Case({"rubber": "new", "hold": True}, 0, True, "on the usual limit, from the definition"),
        Case({"rubber": "sound", "hold": False}, 1, None, "sound, with nothing behind it"),
        Case({"rubber": "cracked", "hold": True}, 2, False, "from the definition"),
        Case({"rubber": "sheared", "hold": False}, 3, False, "a mount sheared and the blade hurt a man: trade page"),
    ),
    detail=_words,
    caution="Lever with a bar on iron, never with your hand between engine and mount.",
)
def mount_rubber(rubber=engine_bay.mount_rubber, hold=engine_bay.mounts_hold):
    """faults = 2 for rubber cracked, soaked or sheared + 1 if nothing holds the engine down without it"""
    bad = (rubber == "cracked") | (rubber == "soaked") | (rubber == "sheared")
    return bad * 2 + (1 - hold)
