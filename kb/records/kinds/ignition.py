"""Kinds of part that tell the controller where the crank is."""

from __future__ import annotations

from kb.records._kind import Kind, choice, codes, count, dimension, flag, length

TARGETS = ("iron_teeth", "magnet_ring", "slotted_plate", "vane")
SENSORS = ("reluctor_coil", "hall_biased", "hall_bare", "magnetoresistive", "hall_slot")


class TriggerWheel(Kind):
    """Wheel that passes under the crank sensor."""

    kind = "trigger_wheel"
    family = "ignition"
    roles = {"trigger_wheel": "wheel under the crank sensor"}
    pattern = choice(
        "tooth pattern: positions minus missing",
        vocabulary="tooth_pattern",
        measure="count teeth and gaps through the inspection hole; photograph the wheel",
        tools=("eye",),
    )
    positions = count("tooth positions in a full turn, missing ones counted", measure="count", tools=("eye",))
    target = choice(
        "what passes under the sensor",
        *TARGETS,
        measure="paper clip or iron filings: a magnet ring holds them",
        tools=("eye",),
    )
    radius = length(
        "crank centre to the tips of the teeth",
        measure="caliper across the wheel, halve it",
        tools=("caliper",),
        plausible=(20, 200),
    )
    runout = length(
        "runout at the tips, total indicator reading",
        measure="dial indicator, turn the crank once",
        tools=("dial-indicator",),
        plausible=(0, 1.5),
    )
    inside_block = flag("the wheel sits inside the block", measure="look", tools=("eye",))


class PositionSensor(Kind):
    """Crank position sensor."""

    kind = "position_sensor"
    family = "ignition"
    roles = {"crank_sensor": "crank position sensor"}
    sense = choice(
        "what it is",
        *SENSORS,
        measure="two wires and a few hundred ohms: coil; three wires: powered",
        tools=("multimeter",),
    )
    nose_length = length(
        "flange face to the tip of the nose", measure="caliper or depth gauge", tools=("caliper",), plausible=(5, 120)
    )
    spacer = length(
        "shim or spacer under the flange; 0 for none", measure="caliper", tools=("caliper",), plausible=(0, 10)
    )
    gap_least = length("smallest air gap allowed by its maker", measure="maker's sheet", plausible=(0.1, 1.5))
    gap_most = length("largest air gap allowed by its maker", measure="maker's sheet", plausible=(0.4, 4))


class Controller(Kind):
    """Ignition controller that reads the wheel."""

    kind = "controller"
    family = "ignition"
    roles = {"controller": "ignition controller"}
    patterns = codes("tooth patterns that it can decode", vocabulary="tooth_pattern", measure="maker's manual")
    senses = codes("sensors that its input takes", *SENSORS, measure="maker's manual")
    filter_time = dimension(
        "filter time of the input", "time", measure="maker's manual or the setting", plausible=(0.5, 500)
    )
