"""On some engines nothing but the damper's clamp turns the oil pump: turned over without it, the pump stands still and
the bearings run dry."""

from kb.roles import damper, oil_pump
from kb.rules._rule import Case, Limit, rule


@rule(
    "pump-drive-clamp",
    "oil",
    "number",
    "count",
    asks="Is what clamps the pump's drive to the crank in place and torqued?",
    limits=(
        Limit.at_most(
            0,
            why="without the damper's clamp the crank turns and the pump does not",
            harm="destroys",
            milestone="prime",
            fix="fit the damper with a new bolt and its full final angle before the engine is turned, by hand too",
            source="trade-page",
        ),
    ),
    when={oil_pump.drive: ("clamped_nose",)},
    cases=(
        Case({"bolt": "torqued"}, 0, True, "on the limit, from the definition"),
        Case({"bolt": "loose"}, 1, False, "from the definition"),
        Case({"bolt": "absent"}, 1, False, "from the definition"),
    ),
    caution="Hold the crank with the proper tool while the bolt is turned to its final angle.",
)
def pump_drive_clamp(bolt=damper.bolt_state):
    """loose joints = 1 unless the damper bolt is torqued"""
    return (bolt != "torqued") + 0
