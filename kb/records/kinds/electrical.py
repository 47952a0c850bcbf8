"""Kinds of part that carry current: battery and how it is carried, cables, grounds, alternator, gauges."""

from __future__ import annotations

from kb.records._kind import Item, Kind, choice, codes, dimension, flag, length, many, text
from kb.standards.wire import SIZE_NAMES

ALTERNATOR_CONTROLS = ("external_regulator", "lamp_and_sense", "one_wire", "controller_run")
PLACES = (
    "battery", "body", "engine", "left_head", "right_head", "gearbox", "frame", "harness", "controller", "alternator",
)  # fmt: skip
READINGS = ("oil_pressure", "water_temperature", "oil_temperature", "fuel_level")


class Battery(Kind):
    """Starter battery."""

    kind = "battery"
    family = "electrical"
    cold_amperes = dimension(
        "cold cranking amperes: what it gives for 30 s at -18 degC down to 7.2 V",
        "current",
        measure="label when new; a battery tester's figure now",
        plausible=(100, 1500),
    )
    rest_voltage = dimension(
        "voltage at its posts, charged, an hour after charging",
        "voltage",
        measure="meter on the posts",
        tools=("multimeter",),
        plausible=(11, 13.5),
    )
    sealed = flag("gives off no gas in use", measure="label; no caps and no vent hole", tools=("eye",))


class CableHole(Item):
    """A hole in sheet metal that the long cable goes through."""

    id = text("name of the hole: cab floor, bulkhead")
    grommet = flag("a grommet or bush covers the edge", measure="look", tools=("eye",))


class BatteryCircuit(Kind):
    """How the battery sits in this car, how its cable runs, and what the starter draws."""

    kind = "battery_circuit"
    family = "electrical"
    place = choice("where the battery is", "engine_bay", "cab", "behind_cab", "trunk", measure="look", tools=("eye",))
    cranking_current = dimension(
        "current that the starter draws while it turns the engine",
        "current",
        measure="clamp meter round the starter's cable, fuel and ignition off",
        tools=("clamp-meter",),
        plausible=(60, 800),
    )
    cranking_volts = dimension(
        "voltage at the ignition's feed while the starter turns",
        "voltage",
        measure="meter from the coil's + feed to the block while cranking",
        tools=("multimeter",),
        plausible=(5, 12.5),
    )
    running_volts = dimension(
        "voltage at the ignition's feed with the engine running",
        "voltage",
        measure="meter from the coil's + feed to the block at a fast idle",
        tools=("multimeter",),
        plausible=(11, 15.5),
    )
    guard = choice(
        "what can cut the long cable at the battery",
        "fuse",
        "switch",
        "solenoid",
        "none",
        measure="look",
        tools=("eye",),
    )
    guard_distance = length(
        "length of cable from the battery to what can cut it",
        measure="tape along the cable",
        tools=("tape",),
        plausible=(0, 8000),
    )
    holes = many(
        CableHole,
        "holes in sheet metal that the cable goes through; [] for none",
        measure="walk the cable",
        tools=("eye",),
    )
    clip_distance = length(
        "widest distance between two clips of the cable", measure="tape", tools=("tape",), plausible=(50, 5000)
    )
    vented_box = flag("the battery's box is vented to the outside of the car", measure="look", tools=("eye",))
    switch_cuts = choice(
        "what the master switch cuts",
        "battery_and_alternator",
        "battery",
        "no_switch",
        measure="engine running at idle, turn it off: does the engine stop?",
        tools=("eye",),
    )
    held_down = flag("a frame holds the battery so that it cannot leave its tray", measure="pull at it", tools=("eye",))


class CableJoint(Item):
    """A joint in a cable: a lug, a post, a switch, a fuse."""

    id = text("name of the joint: post, fuse, starter stud")
    resistance = dimension(
        "resistance of the joint",
        "resistance",
        measure="millivolts across it while cranking, over the current",
        tools=("multimeter",),
        plausible=(0, 0.02),
    )


class BatteryCable(Kind):
    """Battery or charge cable with its joints."""

    kind = "battery_cable"
    family = "electrical"
    roles = {
        "feed_cable": "cable from the battery's + post to the starter",
        "return_cable": "cable from the battery's - post to body or engine",
        "charge_cable": "cable from the alternator to the battery",
    }
    size = choice(
        "size as sold",
        *SIZE_NAMES,
        measure="print on the jacket; else count and caliper the strands",
        tools=("caliper", "eye"),
    )
    area = dimension(
        "area of plain copper with the same resistance",
        "area",
        measure="strands times the area of one, less 2 % for their lay",
        tools=("caliper",),
        plausible=(0.5, 300),
    )
    length = length(
        "length of the conductor", measure="tape or string along its path", tools=("tape",), plausible=(0, 12000)
    )
    temperature = dimension(
        "temperature of the copper in use",
        "temperature",
        measure="thermometer on the cable after a hot run",
        tools=("thermometer",),
        plausible=(233, 400),
    )
    joints = many(
        CableJoint, "every joint on its way; [] for none", measure="walk the cable", tools=("eye", "multimeter")
    )
    lands_on = choice("where its other end is bolted", *PLACES, measure="look", tools=("eye",))


class GroundLink(Item):
    """One strap, cable or piece of sheet metal of the way back."""

    id = text("name of the link: engine strap, harness eyelet")
    one = choice("one end", *PLACES)
    other = choice("other end", *PLACES)
    size = choice(
        "size as sold, or the body or frame itself",
        *SIZE_NAMES,
        "sheet_metal",
        measure="print on the jacket; caliper",
        tools=("caliper", "eye"),
    )
    length = length("length of the conductor; 0 for sheet metal", measure="tape", tools=("tape",), plausible=(0, 6000))
    joints = dimension(
        "resistance of both its joints together; of sheet metal, that of its whole way, measured and not assumed",
        "resistance",
        measure="millivolts from end to end while cranking, over the current",
        tools=("multimeter",),
        plausible=(0, 0.05),
    )


class Grounds(Kind):
    """The way back: every link that joins engine, body, harness and battery, besides the battery's own return cable."""

    kind = "grounds"
    family = "electrical"
    links = many(GroundLink, "the links; [] for none", measure="look under the car with a lamp", tools=("eye",))


class Alternator(Kind):
    """Alternator."""

    kind = "alternator"
    family = "electrical"
    control = choice(
        "what controls it", *ALTERNATOR_CONTROLS, measure="count its terminals; maker's code", tools=("eye",)
    )
    rated_current = dimension("rated current", "current", measure="label", plausible=(20, 350))


class CarLoom(Kind):
    """The car's own wiring, where the engine's accessories are plugged in."""

    kind = "car_loom"
    family = "electrical"
    alternator_controls = codes(
        "alternators that its wiring controls", *ALTERNATOR_CONTROLS, measure="wiring diagram; trace the plug"
    )
    charge_lamp = flag(
        "a charge lamp or a resistor feeds the alternator's lamp terminal",
        measure="test lamp at the plug",
        tools=("multimeter",),
    )


class Gauge(Kind):
    """Gauge in the dash that reads a sender's resistance."""

    kind = "gauge"
    family = "electrical"
    reads = choice("what it shows", *READINGS, measure="look", tools=("eye",))
    at_zero = dimension(
        "resistance at which it shows its lowest mark",
        "resistance",
        measure="known resistors in place of the sender",
        tools=("ohmmeter",),
        plausible=(0, 1000),
    )
    at_full = dimension(
        "resistance at which it shows its highest mark",
        "resistance",
        measure="known resistors in place of the sender",
        tools=("ohmmeter",),
        plausible=(0, 1000),
    )
    full_pressure = dimension(
        "pressure at its highest mark", "pressure", measure="read the dial", tools=("eye",), plausible=(200, 1500)
    )


class Sender(Kind):
    """Sender on the engine whose resistance a gauge reads."""

    kind = "sender"
    family = "electrical"
    reads = choice("what it feels", *READINGS, measure="look", tools=("eye",))
    at_zero = dimension(
        "its resistance at the lowest mark",
        "resistance",
        measure="meter from terminal to body, engine cold and at rest",
        tools=("ohmmeter",),
        plausible=(0, 1000),
    )
    at_full = dimension(
        "its resistance at the highest mark",
        "resistance",
        measure="meter at one known pressure or temperature, and its maker's curve",
        tools=("ohmmeter",),
        plausible=(0, 1000),
    )
    full_pressure = dimension(
        "pressure at which it gives that resistance", "pressure", measure="maker's sheet", plausible=(200, 1500)
    )
