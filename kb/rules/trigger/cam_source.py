"""One turn of the crank looks like the next: who wants to fire each cylinder by itself needs a signal from the cam."""

from kb.roles import cam_wheel, controller
from kb.rules._rule import Case, Limit, optional, rule


@rule(
    "cam-source",
    "trigger",
    "number",
    "count",
    asks="Is there a cam signal, if the controller fires each cylinder by itself?",
    limits=(
        Limit.at_least(
            1,
            why="without the cam the controller cannot tell the firing turn from the other, and fires half of the starts a turn late",
            harm="no_start",
            milestone="fire",
            fix="a cam wheel with its sensor, or wasted spark",
            source="definition",
        ),
    ),
    cases=(
        Case({"mode": "wasted", "cam": ""}, 1, True, "on the limit, from the definition"),
        Case({"mode": "sequential", "cam": "1"}, 1, True, "from the definition"),
        Case({"mode": "sequential", "cam": ""}, 0, False, "from the definition"),
    ),
    detail=lambda mode, cam: {
        "notes": [] if cam or mode != "sequential" else ["set to fire each cylinder by itself, and no cam wheel"]
    },
)
def cam_source(mode=controller.spark_mode, cam=optional(cam_wheel.teeth, absent="")):
    """enough = 1 with a cam wheel, or if the mode needs none, else 0"""
    return int(bool(cam) or mode != "sequential")
