"""Mixed builds stall on the cheap parts that nobody brings: the list follows from what you chose, and each is ticked when it lies
on the bench."""

from kb.records.kinds.ready import SMALL
from kb.roles import coolant_circuit, fan, fuel_pump, small_parts, transmission
from kb.rules._rule import Case, Limit, optional, rule
from kb.rules.cooling._points import Point
from kb.rules.ready._bill import open_items

_WHOLE = {
    "have": frozenset(SMALL),
    "gearbox": "automatic",
    "fitted": "",
    "pan_seal": "one_piece_gasket",
    "pump_pad": True,
    "pump": "electric",
    "heater": "heater",
    "points": [Point("tank")],
    "cooling_fan": "electric",
}
_WITHOUT = frozenset(SMALL) - {"fuel_pump_blank", "steam_tubes", "fan_spacer", "heater_caps", "end_seals"}


def _words(have, gearbox, pan_seal, pump_pad, fitted, pump, heater, points, cooling_fan):
    found = open_items(have, fitted or gearbox, pan_seal, pump_pad, pump, heater, points, cooling_fan)
    named = [f"{part.replace('_', ' ')}{f' ({why})' if why else ''}" for part, why in found]
    return {"notes": [f"still to get: {', '.join(named)}"] if named else []}


@rule(
    "small-parts",
    "ready",
    "number",
    "count",
    asks="Are all the small parts that this combination needs at hand?",
    limits=(
        Limit.at_most(
            0,
            why="the build stands for want of a cheap part, or starts without it",
            harm="no_start",
            milestone="crank",
            fix="get what the list names before the weekend",
            source="trade-page",
        ),
    ),
    cases=(
        Case(_WHOLE, 0, True, "on the limit: everything on the list"),
        Case({**_WHOLE, "have": frozenset(SMALL) - {"bell_dowels"}}, 1, False, "one missing that every build needs"),
        Case(
            {**_WHOLE, "gearbox": "manual", "have": frozenset(SMALL) - {"pilot_bearing", "flywheel_bolts"}},
            2,
            False,
            "a manual gearbox asks for them",
        ),
        Case(
            {**_WHOLE, "fitted": "manual", "have": frozenset(SMALL) - {"pilot_bearing", "flywheel_bolts"}},
            2,
            False,
            "the gearbox that is there counts, whatever the list was written for",
        ),
        Case({**_WHOLE, "have": _WITHOUT}, 2, False, "blank and vent tubes are missing"),
        Case(
            {**_WHOLE, "have": _WITHOUT, "pump": "mechanical", "points": []}, 0, True, "and here nothing asks for them"
        ),
        Case(
            {
                **_WHOLE,
                "have": _WITHOUT,
                "pump_pad": False,
                "points": [Point("maker_blank")],
                "cooling_fan": "mechanical",
                "heater": "capped",
                "pan_seal": "end_seals",
            },
            3,
            False,
            "fan spacer, heater caps and end seals are missing",
        ),
    ),
    detail=_words,
    advice="Lengths and threads of what lies there are other rules' business: a converter bolt that is too long is not at hand.",
)
def small_parts_bill(
    have=small_parts.have,
    gearbox=small_parts.gearbox,
    pan_seal=small_parts.pan_seal,
    pump_pad=small_parts.fuel_pump_pad,
    fitted=optional(transmission.sort, absent=""),
    pump=optional(fuel_pump.drive, absent="electric"),
    heater=optional(coolant_circuit.heater_loop, absent="heater"),
    points=optional(coolant_circuit.high_points.of("leads"), absent=frozenset()),
    cooling_fan=optional(fan.drive, absent="electric"),
):
    """missing = small parts on this combination's list that are not at hand"""
    return len(open_items(have, fitted or gearbox, pan_seal, pump_pad, pump, heater, points, cooling_fan))
