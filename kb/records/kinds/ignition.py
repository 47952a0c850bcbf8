"""Kinds of part that tell the controller where the crank and the cam are."""

from __future__ import annotations

from kb.records._kind import Item, Kind, choice, codes, count, dimension, flag, length, many, text

TARGETS = ("iron_teeth", "magnet_ring", "slotted_plate", "vane")
SHAFTS = ("crank", "cam")
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
    teeth = text(
        "the teeth as they were counted, in the order in which they pass the sensor: 36-1, or with the place of each gap 36-2@0-2@16-2@19, or the steps in degrees 10,50,60,60,60,60,60",
        measure="turn the crank forwards past the sensor's hole and write down teeth and gaps as they come; a photograph straight from the front, and a card with degrees, for uneven steps",
        tools=("eye", "protractor"),
    )
    shaft = choice("shaft that it turns with", *SHAFTS, measure="look", tools=("eye",))
    cut = choice(
        "what the gap lacks: teeth (air is left), or slots (iron is left)",
        "missing_teeth",
        "missing_slots",
        "even",
        measure="look at the gap",
        tools=("eye",),
    )
    first_tooth = dimension(
        "cylinder 1 at top dead centre: from straight up round to the first tooth after the gap, in the sense in which the crank turns",
        "angle",
        measure="piston stop for dead centre, then a degree wheel; or count the teeth from the gap to the sensor, times 360 over the positions, and add the sensor's angle",
        tools=("protractor",),
        plausible=(0, 360),
    )
    half_pitch = dimension(
        "half the angle from one tooth position to the next",
        "angle",
        measure="180 degrees over the number of positions",
        tools=("eye",),
        plausible=(0.25, 90),
    )


class CamWheel(Kind):
    """Wheel or vane under the cam sensor, which tells one turn of the crank from the next."""

    kind = "cam_wheel"
    family = "ignition"
    teeth = text(
        "the teeth in the order in which they pass the sensor: 1, 4-1, or the steps in degrees",
        measure="turn the cam once and write down teeth and gaps as they come",
        tools=("eye",),
    )


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
    supply_least = dimension("lowest supply it works on", "voltage", measure="maker's sheet", plausible=(2.5, 12))
    supply_most = dimension("highest supply it stands", "voltage", measure="maker's sheet", plausible=(3, 30))
    output = choice(
        "how it gives its signal",
        "coil",
        "open_collector",
        "driven",
        measure="maker's sheet; powered and unplugged from the controller, an open collector shows no voltage by itself",
        tools=("multimeter",),
    )
    marked_polarity = choice(
        "voltage of the lead marked +, while iron comes nearer",
        "positive",
        "negative",
        measure="meter on millivolts, wave a spanner towards the nose",
        tools=("multimeter",),
    )
    cranking_signal = dimension(
        "voltage of the coil, peak, while the starter turns the engine",
        "voltage",
        measure="meter on AC volts across the two leads while cranking, times 1.4; better a scope",
        tools=("multimeter",),
        plausible=(0, 20),
    )


class SensorLoom(Kind):
    """Wires from the crank sensor to the controller."""

    kind = "sensor_loom"
    family = "ignition"
    polarity = choice(
        "how the two leads of a coil sensor are joined to the controller",
        "as_marked",
        "swapped",
        measure="trace + to + with the meter",
        tools=("ohmmeter",),
    )
    screen_ends = count(
        "ends of the screen that are joined to ground; 0 where there is no screen, or none of it is joined",
        measure="meter from the screen to the block, with each end unplugged in turn",
        tools=("ohmmeter",),
    )
    apart = flag(
        "runs apart from the wires of coils, injectors and plugs", measure="follow it with a finger", tools=("eye",)
    )
    pull_up = flag("a resistor in the loom pulls the signal up to the supply", measure="look", tools=("eye",))


class Decoder(Item):
    """One way in which a controller reads wheels."""

    id = text("name of the setting in the controller")
    teeth = text("teeth of the wheel that it expects, written as a wheel's `teeth`")
    shaft = choice("shaft on which it expects that wheel", *SHAFTS, absent="crank")
    cam = text("teeth of the cam wheel that it expects beside it; empty if none")


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
    decoders = many(Decoder, "settings for wheels, with the order of the teeth that each expects")
    first_tooth_lead = dimension(
        "turn of the crank that it expects from the first tooth after the gap, under the sensor, to top dead centre of cylinder 1",
        "angle",
        measure="maker's manual or the setting",
        plausible=(0, 360),
    )
    lead_range = dimension(
        "how far that angle can be set either way; 0 where it is fixed",
        "angle",
        measure="maker's manual",
        plausible=(0, 180),
    )
    spark_mode = choice(
        "how it fires",
        "distributor",
        "wasted",
        "sequential",
        measure="maker's manual or the setting",
    )
    sensor_supply = dimension(
        "supply that it gives the sensor",
        "voltage",
        measure="meter at the sensor's plug",
        tools=("multimeter",),
        plausible=(3, 15),
    )
    pull_up = flag("its input pulls the sensor's line up by itself", measure="maker's manual")
    edge = choice(
        "edge of the conditioned signal that it times by; either where that can be set",
        "falling",
        "rising",
        "either",
        measure="maker's manual or the setting",
    )
    threshold = dimension(
        "lowest peak voltage of a coil sensor that its input answers to",
        "voltage",
        measure="maker's manual or the setting",
        plausible=(0.05, 3),
    )
    coil_output = choice(
        "what its coil outputs are: logic for an igniter, or power for a bare coil",
        "logic",
        "power",
        measure="maker's manual",
    )
    coil_channels = count("number of coil outputs", measure="maker's manual")
    coil_current = dimension(
        "current that a power output may switch", "current", measure="maker's manual", plausible=(1, 30)
    )
    longest_dwell = dimension(
        "longest dwell that it can give", "time", measure="maker's manual or the setting", plausible=(500, 30000)
    )
