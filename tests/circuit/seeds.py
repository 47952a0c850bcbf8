"""Faults to put into a good build, one at a time: what is done to its parts, and where the break must be found."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, NamedTuple

from kb.build import Build
from kb.measure import Dimension


class Seed(NamedTuple):
    """name: what a fitter did wrong. at: the joint or node where the break must be found, and its sort."""

    name: str
    circuit: str
    spoil: Callable[[Build], Build]
    at: str
    sort: str


def without(*roles: str) -> Callable[[Build], Build]:
    """The build with these roles empty."""
    return lambda build: build._replace(parts={each: part for each, part in build.parts.items() if each not in roles})


def exact(changed: Mapping[str, Any]) -> dict[str, Any]:
    """Values as a part holds them: a float becomes an exact dimension."""
    return {
        name: Dimension(each, (), "measured") if isinstance(each, float) else each for name, each in changed.items()
    }


def facts(role: str, **changed: Any) -> Callable[[Build], Build]:
    """The build with some facts of one part changed; a float becomes an exact dimension."""

    def spoil(build: Build) -> Build:
        part = build.parts[role]
        new = {
            name: Dimension(each, (), "measured") if isinstance(each, float) else each for name, each in changed.items()
        }
        return build._replace(parts={**build.parts, role: part._replace(facts={**part.facts, **new})})

    return spoil


def entry(role: str, feature: str, id: str, **changed: Any) -> Callable[[Build], Build]:
    """The build with one entry of a list changed."""

    def spoil(build: Build) -> Build:
        new = {
            name: Dimension(each, (), "measured") if isinstance(each, float) else each for name, each in changed.items()
        }
        listed = tuple({**each, **new} if each["id"] == id else each for each in build.parts[role].facts[feature])
        return facts(role, **{feature: listed})(build)

    return spoil


def drop(role: str, feature: str, *ids: str) -> Callable[[Build], Build]:
    """The build with entries of a list taken away."""

    def spoil(build: Build) -> Build:
        listed = tuple(each for each in build.parts[role].facts[feature] if each["id"] not in ids)
        return facts(role, **{feature: listed})(build)

    return spoil


def both(*spoils: Callable[[Build], Build]) -> Callable[[Build], Build]:
    def spoil(build: Build) -> Build:
        for each in spoils:
            build = each(build)
        return build

    return spoil


SEEDS = (
    # oil
    Seed("no pickup", "oil", without("pickup"), "pickup-mouth", "unmated"),
    Seed("no ring on the pickup", "oil", without("pickup_seal"), "oil.pickup-pump", "unsealed"),
    Seed("pickup for another pump", "oil", facts("pickup", joint="press"), "oil.pickup-pump", "differs"),
    Seed("no pan gasket", "oil", without("pan_gasket"), "oil.passage-rear-feed", "unsealed"),
    Seed("pan without the rear feed", "oil", drop("pan", "ports", "rear-feed"), "oil.passage-rear-feed", "leaks_back"),
    Seed(
        "block without the rear feed", "oil", drop("block", "ports", "rear-feed"), "oil.passage-rear-feed", "leaks_back"
    ),
    Seed(
        "gasket covers the rear feed", "oil", drop("pan_gasket", "holes", "rear-feed"), "oil.passage-rear-feed", "open"
    ),
    Seed(
        "front gallery plug left out",
        "oil",
        entry("block", "plugs", "gallery-front", fitted=False),
        "oil.plug-gallery-front",
        "unplugged",
    ),
    Seed(
        "valley plug left out", "oil", entry("block", "plugs", "valley", fitted=False), "oil.plug-valley", "unplugged"
    ),
    Seed("no filter", "oil", without("oil_filter"), "filter-in", "unmated"),
    Seed("no bypass anywhere", "oil", facts("oil_filter", bypass=False), "oil.bypass", "no_bypass"),
    Seed("two bypasses", "oil", facts("block", filter_bypass=True), "oil.bypass", "two_bypasses"),
    Seed("filter of another thread", "oil", facts("oil_filter", thread="3/4-16"), "oil.filter-seat", "differs"),
    Seed(
        "cooler plumbed behind the filter",
        "oil",
        facts("oil_filter_adapter", order="filter_first"),
        "oil.adapter",
        "reversed",
    ),
    Seed("no drive shaft", "oil", without("pump_drive"), "drive-top", "unmated"),
    Seed("hexagon of another size", "oil", facts("pump_drive", drive_end="hex_1_4"), "oil.shaft-end", "differs"),
    Seed(
        "cam bearing turned off its feed",
        "oil",
        entry("cam_bearings", "feeds", "cam-2", offset=0.009),
        "oil.cam-feeds",
        "open",
    ),
    Seed(
        "sender of another pipe thread",
        "oil",
        facts("pipe_fitting:oil-sender", thread="bspt_1_8"),
        "oil.sender-thread",
        "differs",
    ),
    Seed(
        "sender's adapter with a flare of 37 degrees in a port of 45",
        "oil",
        both(
            facts("pipe_fitting:oil-sender", thread="flare37_4"),
            lambda build: facts(next(each for each in build.parts if each.startswith("pipe_port")), thread="flare45_4")(
                build
            ),
        ),
        "oil.sender-thread",
        "differs",
    ),
    Seed(
        "drain full of sealant",
        "oil",
        entry("sealing_job", "drains", "valley-rear", closed=0.9),
        "oil.drain-valley-rear",
        "no_return",
    ),
    Seed("rear seal of the other style", "oil", facts("rear_main_seal", style="two_piece"), "oil.rear-seal", "differs"),
    Seed("pan of another rail", "oil", facts("pan", rail_pattern="calder-33"), "oil.rail", "differs"),
    # coolant
    Seed("no lower hose", "coolant", without("coolant_hose:lower"), "lower-hose", "unmated"),
    Seed(
        "upper hose end too wide",
        "coolant",
        facts("coolant_hose:upper", engine_bore=0.05),
        "coolant.upper-engine",
        "differs",
    ),
    Seed(
        "lower hose end too wide",
        "coolant",
        facts("coolant_hose:lower", radiator_bore=0.06),
        "coolant.lower-radiator",
        "differs",
    ),
    Seed("no head gasket", "coolant", without("head_gasket"), "coolant.head-gasket", "unsealed"),
    Seed("head gasket upside down", "coolant", facts("head_gasket", top_up=False), "coolant.head-gasket", "reversed"),
    Seed(
        "high point led nowhere",
        "coolant",
        entry("coolant_circuit", "high_points", "head-left-front", leads="nothing"),
        "coolant.vent-head-left-front",
        "dead_end",
    ),
    Seed(
        "bypass capped, heater capped",
        "coolant",
        facts("coolant_circuit", bypass="capped", heater_loop="capped", bleed_hole=False),
        "coolant.bypass",
        "dead_end",
    ),
    Seed("water pump of the other way", "coolant", facts("water_pump", turns="clockwise"), "coolant.pump", "reversed"),
    Seed("fan turned round", "coolant", facts("fan", turns="anticlockwise"), "coolant.fan", "reversed"),
    Seed(
        "wet bolt without sealant",
        "coolant",
        facts("fastener:water-pump", sealed=False),
        "coolant.bolt-water-pump",
        "open",
    ),
    Seed("no radiator", "coolant", without("radiator"), "radiator-top", "unmated"),
    # fuel
    Seed("no return line", "fuel", without("fuel_line:return"), "return-line", "no_return"),
    Seed("no supply line", "fuel", without("fuel_line:supply"), "supply-line", "unmated"),
    Seed("no fuel pump", "fuel", without("fuel_pump"), "pump-inlet", "unmated"),
    Seed(
        "supply filter reversed", "fuel", facts("fuel_filter:supply", arrow="against_flow"), "fuel.filter", "reversed"
    ),
    Seed("strainer reversed", "fuel", facts("fuel_filter:suction", arrow="against_flow"), "fuel.strainer", "reversed"),
    Seed("suction line draws air", "fuel", facts("fuel_line:suction", proved_tight=False), "fuel.suction-line", "open"),
    # air
    Seed("breather blanked", "air", facts("crankcase_vent", way_in="none"), "air.vent-in", "dead_end"),
    Seed("crankcase without a way out", "air", facts("crankcase_vent", way_out="none"), "air.vent-out", "no_return"),
    # start
    Seed("no feed cable", "start", without("feed_cable"), "feed-cable", "unmated"),
    Seed("no return cable", "start", without("return_cable"), "ground.return-cable", "no_return"),
    Seed("feed cable on the body", "start", facts("feed_cable", lands_on="body"), "start.feed-cable", "differs"),
    Seed(
        "no strap to the body",
        "start",
        drop("grounds", "links", "engine strap", "second strap"),
        "ground.missing-body",
        "no_ground",
    ),
    Seed(
        "no ground of the harness",
        "start",
        drop("grounds", "links", "harness eyelet"),
        "ground.missing-harness",
        "no_ground",
    ),
    Seed(
        "bare edge in the bulkhead",
        "start",
        entry("battery_circuit", "holes", "bulkhead", grommet=False),
        "start.hole-bulkhead",
        "leaks_back",
    ),
    Seed("ring gear of another pitch", "start", facts("drive_plate", ring_module=0.003), "start.mesh", "differs"),
    Seed("plate for another crank flange", "start", facts("drive_plate", bolts=8), "start.flange", "differs"),
    Seed("no starter", "start", without("starter"), "starter-stud", "unmated"),
    # signal
    Seed("no crank sensor", "signal", without("crank_sensor"), "sensor", "unmated"),
    Seed("wheel of another sort", "signal", facts("trigger_wheel", target="vane"), "signal.gap", "differs"),
    Seed(
        "wheel pattern unknown to the controller",
        "signal",
        facts("controller", patterns=frozenset({"36-1"})),
        "signal.controller",
        "differs",
    ),
    Seed("sensor wires swapped", "signal", facts("sensor_loom", polarity="swapped"), "signal.sensor-plug", "reversed"),
    Seed("no coil", "signal", without("coil"), "coil-in", "unmated"),
    Seed("two igniters", "signal", facts("coil", igniter="built_in"), "signal.coil-plug", "differs"),
    Seed(
        "two leads crossed",
        "signal",
        both(entry("coil_wiring", "leads", "A1", cylinder=6), entry("coil_wiring", "leads", "B1", cylinder=1)),
        "signal.lead-a1",
        "differs",
    ),
    Seed("plugs of another thread", "signal", facts("spark_plug", thread="M12x1.25"), "signal.plug-seat", "differs"),
    # charge
    Seed("no belt", "charge", without("belt"), "belt.alternator", "unmated"),
    Seed("no charge cable", "charge", without("charge_cable"), "charge-cable", "unmated"),
    Seed("charge cable on the body", "charge", facts("charge_cable", lands_on="body"), "charge.cable", "differs"),
    Seed(
        "alternator that the loom cannot control",
        "charge",
        facts("alternator", control="controller_run"),
        "charge.lamp",
        "differs",
    ),
)
