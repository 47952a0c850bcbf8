"""Kinds of part that make the spark and bring it to the cylinder: coil and its feed, wiring, distributor, plug, head."""

from __future__ import annotations

from kb.records._kind import Item, Kind, choice, count, dimension, flag, length, many, text

SEATS = ("gasket", "taper")
PLUG_THREADS = ("M10x1", "M12x1.25", "M14x1.25", "M18x1.5")


class Coil(Kind):
    """Ignition coil, one of however many the engine has."""

    kind = "coil"
    family = "ignition"
    igniter = choice(
        "who switches its current",
        "none",
        "built_in",
        measure="two pins and under 2 ohms between them: bare coil; a third pin for a signal: igniter inside",
        tools=("ohmmeter", "eye"),
    )
    towers = count("plug leads that come out of one coil", measure="count", tools=("eye",))
    inductance = dimension(
        "inductance of the primary", "inductance", measure="maker's sheet, or an inductance meter", plausible=(0.5, 20)
    )
    resistance = dimension(
        "resistance of the primary",
        "resistance",
        measure="meter across the primary, its own leads taken off",
        tools=("ohmmeter",),
        plausible=(0.2, 5),
    )
    current = dimension(
        "current at which it stores its full spark", "current", measure="maker's sheet", plausible=(2, 25)
    )
    burn_time = dimension(
        "time that its spark lasts", "time", measure="maker's sheet, or a scope", plausible=(200, 4000)
    )
    feed_least = dimension(
        "lowest voltage at its terminals with which it still sparks",
        "voltage",
        measure="maker's sheet",
        plausible=(3, 12),
    )
    feed_most = dimension(
        "highest steady voltage at its terminals, current flowing: near 8 V for a coil made for a ballast",
        "voltage",
        measure="maker's sheet or label",
        plausible=(6, 18),
    )


class CoilFeed(Kind):
    """What lies between the ignition switch and the coil: ballast, its bypass, the module's feed."""

    kind = "coil_feed"
    family = "ignition"
    ballast = dimension(
        "resistance in series with the coil, wire included; 0 for none",
        "resistance",
        measure="meter from the switch to the coil's + terminal, battery off",
        tools=("ohmmeter",),
        plausible=(0, 5),
    )
    bypass = flag(
        "the ballast is bypassed while the starter turns",
        measure="meter at the coil's + terminal while cranking",
        tools=("multimeter",),
    )
    module = choice(
        "where the ignition module or controller takes its own supply",
        "full",
        "behind_ballast",
        "none",
        measure="trace its supply wire",
        tools=("eye", "multimeter"),
    )


class CoilLead(Item):
    """One lead from a controller's output, through its coil, to a plug."""

    id = text("name of the lead: A1, A2, B1")
    output = count("number of the controller's output, in the order in which it fires them, from 1")
    cylinder = count("cylinder that the lead ends on")


class CoilWiring(Kind):
    """Which output fires which cylinder."""

    kind = "coil_wiring"
    family = "ignition"
    leads = many(
        CoilLead, "the leads, each with its output and its cylinder", measure="trace each one aloud", tools=("eye",)
    )


class Distributor(Kind):
    """Distributor with rotor and cap, or the stub that is left of it to turn the oil pump."""

    kind = "distributor"
    family = "ignition"
    style = choice(
        "rotor: it hands the spark round; stub: it turns the oil pump only",
        "rotor",
        "stub",
        measure="look",
        tools=("eye",),
    )
    phase = dimension(
        "rotor's tip past the middle of the terminal when the spark comes at least advance; short of it is negative; in degrees of the distributor",
        "angle",
        measure="window in a scrap cap, strobe on the lead of that cylinder",
        tools=("protractor",),
        plausible=(-30, 30),
    )
    swing = dimension(
        "how far back the rotor stands at most advance, in degrees of the distributor: half of the crank's degrees where the trigger does not turn with the advance",
        "angle",
        measure="the same window and strobe at most advance",
        tools=("protractor",),
        plausible=(0, 35),
    )
    tip_width = dimension(
        "angle that the rotor's tip spans",
        "angle",
        measure="caliper over the tip, over its radius",
        tools=("caliper",),
        plausible=(2, 50),
    )
    terminal_width = dimension(
        "angle that a terminal inside the cap spans",
        "angle",
        measure="caliper over the terminal, over its radius",
        tools=("caliper",),
        plausible=(2, 30),
    )
    rotor_height = length(
        "housing's rim to the middle of the rotor's tip",
        measure="straight edge on the rim, depth gauge to the tip's top and bottom",
        tools=("depth-gauge",),
        plausible=(0, 80),
    )
    terminal_height = length(
        "cap's rim to the middle of the terminals inside",
        measure="straight edge over the cap, depth gauge to each terminal's top and bottom",
        tools=("depth-gauge",),
        plausible=(0, 80),
    )
    terminal_half = length(
        "half the height of a terminal", measure="caliper, halve it", tools=("caliper",), plausible=(1, 12)
    )


class SparkPlug(Kind):
    """Spark plug."""

    kind = "spark_plug"
    family = "ignition"
    thread = choice("thread", *PLUG_THREADS, measure="caliper and thread gauge", tools=("caliper", "thread-gauge"))
    seat = choice("how it seals: a ring, or a taper of its own", *SEATS, measure="look", tools=("eye",))
    reach = length(
        "sealing face to the end of the thread, without the ring",
        measure="caliper, beside the old plug",
        tools=("caliper",),
        plausible=(9, 32),
    )
    washer = length(
        "thickness of its ring once crushed; 0 for a taper seat",
        measure="caliper on a used ring",
        tools=("caliper",),
        plausible=(0, 2.5),
    )
    projection = length(
        "end of the thread to the farthest point of the electrode",
        measure="caliper",
        tools=("caliper",),
        plausible=(0, 12),
    )
    resistor = flag(
        "has a resistor inside", measure="kilohms from terminal to electrode; maker's code", tools=("ohmmeter",)
    )


class CylinderHead(Kind):
    """Cylinder head."""

    kind = "cylinder_head"
    family = "engine"
    plug_thread = choice(
        "thread of the plug holes", *PLUG_THREADS, measure="a plug known to fit", tools=("thread-gauge",)
    )
    plug_seat = choice(
        "seat of the plug holes: flat for a ring, or a taper", *SEATS, measure="look down the hole", tools=("eye",)
    )
    plug_hole_depth = length(
        "plug's seat to the end of the thread at the chamber",
        measure="hooked wire or depth stick down the hole, beside the plug's thread",
        tools=("depth-gauge",),
        plausible=(9, 32),
    )
    plug_room = length(
        "end of the plug hole's thread to the piston at top dead centre, along the plug",
        measure="clay on the piston under the plug hole, turn the engine over by hand",
        tools=("clay",),
        plausible=(0, 40),
    )
    gasket_flow = choice(
        "family of coolant holes that the head gasket must have",
        vocabulary="gasket_flow",
        measure="lay a known gasket on the face",
        tools=("eye",),
    )


__all__ = ["Coil", "CoilFeed", "CoilLead", "CoilWiring", "CylinderHead", "Distributor", "SparkPlug"]
