"""Kinds of part of the cooling system."""

from __future__ import annotations

from kb.records._kind import Item, Kind, choice, dimension, flag, length, many, text

SIDES = ("left", "right")


class HighPoint(Item):
    """A place where gas collects in the coolant: a vent port of a head, a crossover, the top of a housing."""

    id = text("name of the place: head-left-front, intake-rear")
    leads = choice(
        "where its vent leads",
        "tank",
        "radiator_top",
        "crossover",
        "maker_blank",
        "nothing",
        measure="trace the hose; a plug that the maker put there is maker_blank, one of your own is nothing",
        tools=("eye",),
    )


class CoolantCircuit(Kind):
    """How the cooling system of this build is plumbed: vents, bypass, heater loop, hoses, pump, mixture."""

    kind = "coolant_circuit"
    family = "cooling"
    high_points = many(HighPoint, "places where gas collects, every one on heads, intake and housings")
    vent_rise = length(
        "how far above the highest of these places the vents come in at tank or radiator; below is negative",
        measure="car level: clear hose with water as a level, or a long spirit level and a rule",
        tools=("steel-rule", "tape"),
        plausible=(-500, 600),
    )
    thermostat_side = choice(
        "which side of the engine the thermostat is on",
        "outlet",
        "inlet",
        measure="look in the housing: in the hose that comes from the radiator it is on the inlet side",
        tools=("eye",),
    )
    bypass = choice(
        "the small hose or drilling that lets coolant go round while the thermostat is shut",
        "open",
        "capped",
        "none",
        measure="trace the hose; blow through it",
        tools=("eye",),
    )
    heater_loop = choice(
        "what the heater pipes do; valved is a heater whose tap can shut the flow off",
        "heater",
        "valved",
        "looped",
        "capped",
        measure="trace both hoses, work the tap",
        tools=("eye",),
    )
    bleed_hole = flag(
        "the thermostat has a bleed hole of about 3 mm (from memory) or a jiggle valve",
        measure="look at its plate",
        tools=("eye",),
    )
    pump_inlet_side = choice(
        "side of the pump's inlet spigot, seen from behind", *SIDES, measure="look", tools=("eye",)
    )
    engine_outlet_side = choice(
        "side of the engine's outlet spigot, seen from behind", *SIDES, measure="look", tools=("eye",)
    )
    pump_inlet_spigot = length(
        "outside diameter of the pump's inlet spigot",
        measure="caliper, behind the bead",
        tools=("caliper",),
        plausible=(15, 70),
    )
    engine_outlet_spigot = length(
        "outside diameter of the engine's outlet spigot",
        measure="caliper, behind the bead",
        tools=("caliper",),
        plausible=(15, 70),
    )
    upper_across = flag(
        "a formed pipe or hose takes the upper line from one side to the other, clear of the fan and the belts",
        measure="look, or tick once it is bought",
        tools=("eye",),
    )
    lower_across = flag(
        "a formed pipe or hose takes the lower line from one side to the other, clear of the fan and the belts",
        measure="look, or tick once it is bought",
        tools=("eye",),
    )
    pump_flow = dimension(
        "flow of the fitted water pump through this engine and radiator at the rev limit, thermostat open",
        "flow",
        measure="maker's curve, at the pulley ratio that you run",
        plausible=(20, 600),
    )
    glycol = dimension(
        "volume share of antifreeze (0 to 0.5)", "number", measure="hydrometer, or what you mixed", plausible=(0, 0.6)
    )


class HeadGasket(Kind):
    """Head gasket of one bank or of both, as laid."""

    kind = "head_gasket"
    family = "cooling"
    flow = choice(
        "family of its coolant holes",
        vocabulary="gasket_flow",
        measure="lay it on block and head, photograph it; small holes are small on purpose",
        tools=("eye",),
    )
    extra_holes_met = flag(
        "every hole that this gasket has and the old one had not lies over a hole of this block and of this head",
        measure="lay old on new against the light, then the new one on both faces",
        tools=("eye",),
    )
    top_up = flag(
        "laid with the face marked TOP towards the head", measure="read it before the head goes on", tools=("eye",)
    )
    front_forward = flag(
        "laid with the end marked FRONT towards the front of the engine, on each bank",
        measure="read it before the head goes on; afterwards the corner that stands out, or its tab",
        tools=("eye",),
    )


class Radiator(Kind):
    """Radiator with its cap."""

    kind = "radiator"
    family = "cooling"
    inlet_side = choice("side of the upper spigot, seen from behind", *SIDES, measure="look", tools=("eye",))
    outlet_side = choice("side of the lower spigot, seen from behind", *SIDES, measure="look", tools=("eye",))
    inlet_spigot = length(
        "outside diameter of the upper spigot",
        measure="caliper, behind the bead",
        tools=("caliper",),
        plausible=(15, 70),
    )
    outlet_spigot = length(
        "outside diameter of the lower spigot",
        measure="caliper, behind the bead",
        tools=("caliper",),
        plausible=(15, 70),
    )
    heat = dimension(
        "heat that it rejects at the rated difference, with the air that fan or speed gives it",
        "power",
        measure="maker's figure",
        plausible=(10, 250),
    )
    rated_difference = dimension(
        "coolant in less air in, at which that heat is stated",
        "temperature_difference",
        measure="maker's figure",
        plausible=(20, 110),
    )
    cap_pressure = dimension(
        "gauge pressure at which its cap opens",
        "pressure",
        measure="stamped on the cap; a cap tester tells whether it still holds",
        tools=("pressure-gauge",),
        plausible=(0, 220),
    )
    rated_pressure = dimension(
        "highest gauge pressure that core, tanks and heater are made for, the weakest of them",
        "pressure",
        measure="maker's figure; an old soldered core stands less than its cap's neck would take",
        plausible=(15, 300),
    )


class CoolantHose(Kind):
    """Hose between engine and radiator; one for each qualifier: upper, lower."""

    kind = "coolant_hose"
    family = "cooling"
    place = choice(
        "which line it is: upper from the engine's outlet, lower to the pump's inlet",
        "upper",
        "lower",
        measure="look",
        tools=("eye",),
    )
    engine_bore = length(
        "inside diameter of the end that goes on the engine, unstretched",
        measure="caliper, without pressing it oval",
        tools=("caliper",),
        plausible=(12, 75),
    )
    radiator_bore = length(
        "inside diameter of the end that goes on the radiator, unstretched",
        measure="caliper, without pressing it oval",
        tools=("caliper",),
        plausible=(12, 75),
    )
    runs_free = flag(
        "it runs without a kink, and clear of fan, belts and exhaust with the engine levered both ways",
        measure="look along it, feel for a flat at the bends",
        tools=("eye",),
    )
    spring = flag("a coil spring or a stiff wall keeps it open", measure="squeeze it hard", tools=("eye",))
    suction = flag(
        "the pump sucks through it: the lower hose of nearly every engine",
        measure="trace it from the pump's inlet",
        tools=("eye",),
    )


__all__ = ["CoolantCircuit", "CoolantHose", "HeadGasket", "HighPoint", "Radiator"]
