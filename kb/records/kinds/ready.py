"""What is ticked before the engine turns: small parts at hand, and the state of the finished build."""

from __future__ import annotations

from kb.records._kind import Item, Kind, choice, codes, flag, many, text

SMALL = (
    "bell_dowels", "pilot_bearing", "converter_sleeve", "block_plate", "dust_cover", "flexplate_spacer", "converter_bolts",
    "flywheel_bolts", "pickup_ring", "pan_gasket", "end_seals", "gallery_plugs", "filter_nipple", "dipstick_and_tube",
    "timing_pointer", "damper_bolt", "fuel_pump_blank", "ground_straps", "sender_adapters", "fan_spacer", "heater_caps",
    "thermostat_gasket", "steam_tubes",
)  # fmt: skip


class Ticked(Item):
    """When and by whom an item of a list was ticked; whether it is done is said by the item itself."""

    id = text("the item: name of the flag, or of the small part")
    date = text("when")
    by = text("who")
    note = text("anything worth knowing about it")


class SmallParts(Kind):
    """The box of cheap parts that nobody brings and everybody needs."""

    kind = "small_parts"
    family = "ready"
    have = codes(
        "small parts that are at hand, right for this build and tried on",
        *SMALL,
        measure="lay them out and tick; a part of the wrong length or thread is not at hand",
        tools=("eye",),
    )
    gearbox = choice("what the engine is bolted to", "automatic", "manual", measure="look", tools=("eye",))
    pan_seal = choice(
        "how the ends of the pan are sealed", "one_piece_gasket", "end_seals", measure="look", tools=("eye",)
    )
    fuel_pump_pad = flag(
        "block or front cover has an opening for a mechanical fuel pump", measure="look", tools=("eye",)
    )
    ticked = many(Ticked, "when and by whom each was ticked")


class FirstStart(Kind):
    """State of the finished build, ticked at the car before each milestone."""

    kind = "first_start"
    family = "ready"
    turned_by_hand = flag(
        "two full turns by hand with the plugs fitted and the gearbox out of gear: no click, drag even",
        measure="battery off, breaker bar on the damper bolt; then plugs out and again",
        tools=("eye",),
    )
    priming_pressure_seen = flag(
        "a gauge, not a lamp, showed oil pressure while the pump was driven and the ignition was dead",
        measure="drill with the right tip and direction, or a pressure pot at the gallery, or cranking with the plugs out; watch the gauge and the rocker farthest from the pump; a drill that labours is not pressure",
        tools=("pressure-gauge",),
    )
    oil_counted = flag("oil counted in by litres, and the filter filled", measure="jug, counted aloud", tools=("jug",))
    coolant_vented = flag(
        "coolant filled with the vents open until it ran out of them without bubbles",
        measure="watch the highest vent while you fill, engine cold",
        tools=("eye",),
    )
    gearbox_filled = flag("gearbox fluid filled", measure="its own stick or level plug", tools=("eye",))
    timing_set = flag(
        "static timing set: rotor or mark at cylinder 1 on its compression stroke",
        measure="finger over the plug hole of cylinder 1, then a test lamp at the points or the controller's output",
        tools=("eye",),
    )
    firing_order_checked = flag(
        "leads or coils follow the firing order of this block", measure="trace each lead aloud", tools=("eye",)
    )
    throttle_shuts = flag(
        "the throttle snaps shut from wide open, pedal and all", measure="helper on the pedal, lift off", tools=("eye",)
    )
    brakes_work = flag("brakes and parking brake hold", measure="push the car", tools=("eye",))
    fuel_joints_dry = flag(
        "fuel system two minutes under its working pressure, ignition off, no wet joint",
        measure="dry paper towel around each joint",
        tools=("eye",),
    )
    extinguisher = flag("extinguisher within reach, charged", measure="look at its gauge", tools=("eye",))
    helper_at_switch = flag("a helper stands at the kill switch and has tried it", measure="ask", tools=("eye",))
    gauge_in_view = flag("an oil pressure gauge is in view of who starts it", measure="look", tools=("eye",))
    stop_rules_agreed = flag(
        "both know when to shut off: no pressure in 10 s after a proven prime and never later than 30 s, gauge climbing while the hoses stay cold, knock, smoke from cables, fuel smell",
        measure="say them aloud",
        tools=("eye",),
    )
    ticked = many(Ticked, "when and by whom each was ticked")


__all__ = ["SMALL", "FirstStart", "SmallParts", "Ticked"]
