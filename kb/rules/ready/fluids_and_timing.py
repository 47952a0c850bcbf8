"""An empty jacket, a dry gearbox or an early spark ruins the first start."""

from kb.roles import first_start
from kb.rules._rule import Case, Limit, rule
from kb.rules.cooling._caution import COLD
from kb.rules.ready._ticks import still_open

# In the order of the rule's parameters.
_ALL = {
    "oil_counted_in": True,
    "coolant_vented": True,
    "gearbox_filled": True,
    "static_timing": True,
    "firing_order": True,
    "throttle_shuts": True,
    "brakes": True,
}


@rule(
    "fluids-and-timing",
    "ready",
    "number",
    "count",
    asks="Are fluids, timing, firing order, throttle and brakes ready for the first start?",
    limits=(
        Limit.at_most(
            0,
            why="an air-locked head, a backfire or a runaway throttle",
            harm="destroys",
            milestone="fire",
            fix="fill, bleed, time and tick each at the car",
            source="trade-page",
        ),
    ),
    cases=(
        Case(_ALL, 0, True, "on the limit, all ticked"),
        Case({**_ALL, "oil_counted_in": False}, 1, False, "one not ticked"),
        Case(dict.fromkeys(_ALL, False), 7, False, "none ticked"),
    ),
    detail=still_open(*(name.replace("_", " ") for name in _ALL)),
    caution=COLD + " A backfire through the carburettor is a flame: no face over it.",
)
def fluids_and_timing(
    oil_counted_in=first_start.oil_counted,
    coolant_vented=first_start.coolant_vented,
    gearbox_filled=first_start.gearbox_filled,
    static_timing=first_start.timing_set,
    firing_order=first_start.firing_order_checked,
    throttle_shuts=first_start.throttle_shuts,
    brakes=first_start.brakes_work,
):
    """open items = those of the seven that are not so"""
    done = oil_counted_in * 1 + coolant_vented + gearbox_filled + static_timing + firing_order + throttle_shuts + brakes
    return 7 - done
