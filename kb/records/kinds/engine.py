"""Kinds of part around the bare engine: block, crank, damper, and the stations and ports of a joint's face.

Directions, used by every kind: x rearward from the front end of the block's pan rail, y to the right seen from
behind the engine, z down from the plane of the block's pan rail (away from the crank).
"""

from __future__ import annotations

from kb.records._kind import Item, Kind, choice, count, dimension, flag, length, many, position, text
from kb.standards.threads import DESIGNATIONS

FACES = ("rail", "front_cover", "rear_cover")


class BlockStation(Item):
    """A place on the block side of the pan joint: a bolt hole, a passage, or a point of the land between."""

    id = text("name of the station, as marked on the sketch: R1, L4, P1")
    x = position("rearward from the front end of the rail")
    y = position("to the right of the crank line, seen from behind")
    face = choice("which part carries this piece of the face", *FACES)
    bolt = flag("a pan bolt clamps here", absent=False)
    passage = text("id of the oil passage that the seal rings here; empty for plain land")
    land = length(
        "width of the face that the seal can lie on",
        measure="caliper across the narrowest place of the land",
        tools=("caliper",),
        plausible=(2, 40),
    )
    height = length(
        "how far the face stands proud of the rail plane here; stepped back is negative; the cover's own "
        "step is added to it",
        measure="straight edge along the rail, feeler or depth gauge at the station",
        tools=("straight-edge-feeler", "depth-gauge"),
        plausible=(-1, 1),
    )


class Port(Item):
    """Where oil crosses a joint: a hole in one face."""

    id = text("name of the passage, the same on both sides of the joint: rear-feed, drain-left")
    duty = choice("what it carries", "feed", "drain", "suction", "vent")
    face = choice("which part carries the hole", *FACES)
    bore = length(
        "diameter of the hole",
        measure="caliper jaws or drill shanks",
        tools=("caliper", "drill-shanks"),
        plausible=(2, 60),
    )
    land = length(
        "narrowest width of the face around the hole",
        measure="caliper from the edge of the hole to the edge of the face",
        tools=("caliper",),
        plausible=(0, 40),
    )
    closed = flag("the passage ends here in a plug or a blank wall, so that nothing need meet it", absent=False)


class Plug(Item):
    """A plug, restrictor or internal ring that a passage of this block needs."""

    id = text("name of the plug: gallery-front, gallery-rear, valley")
    fitted = flag(
        "seen in place on this very block",
        measure="wire down the passage, compare with the depth on the model; air and a finger",
        tools=("eye",),
    )


class Firing(Item):
    """One spark of the engine's cycle."""

    id = text("place in the order: 1, 2, 3")
    cylinder = count("cylinder that fires here, by the maker's numbers", measure="cast on the manifold, or the manual")


class Block(Kind):
    """Engine block with its front and rear covers fitted: the upper half of the pan joint."""

    kind = "block"
    family = "engine"
    roles = {"block": "engine block with front and rear covers"}
    rail_pattern = choice(
        "bolt pattern and outline of the pan rail",
        vocabulary="rail_pattern",
        measure="count the bolts, measure corner to corner, hold a radius card to each arch",
        tools=("eye", "tape"),
    )
    rear_seal = choice(
        "style of the rear main seal at the pan",
        "one_piece",
        "two_piece",
        "cover_face",
        measure="look for a split in the seal housing",
        tools=("eye",),
    )
    front_seal = choice(
        "depth of the front cover arch, which decides between the thin and the thick front seal",
        "thin",
        "thick",
        "flat",
        measure="radius card or caliper at the arch",
        tools=("radius-card",),
    )
    dipstick_side = choice(
        "side of the dipstick hole or boss, seen from behind",
        "left",
        "right",
        "pan",
        "none",
        measure="look",
        tools=("eye",),
    )
    crank_drop = length(
        "crank centre line below the rail plane; above it is negative",
        measure="main cap off, depth gauge from the rail to the bore, add half the bore",
        tools=("depth-gauge",),
        plausible=(-90, 40),
    )
    front_cover_step = length(
        "how far the front cover's pan face stands proud of the rail; stepped back is negative",
        measure="straight edge on the rail over the cover, feeler under it",
        tools=("straight-edge-feeler", "depth-gauge"),
        plausible=(-1, 1),
    )
    rear_cover_step = length(
        "how far the rear cover's pan face stands proud of the rail; stepped back is negative",
        measure="straight edge on the rail over the cover, feeler under it",
        tools=("straight-edge-feeler", "depth-gauge"),
        plausible=(-1, 1),
    )
    stations = many(BlockStation, "the face of the pan joint, in order around the flange")
    ports = many(Port, "oil passages that come out on the pan joint")
    plugs = many(Plug, "plugs, restrictors and internal rings that this block needs")
    filter_bypass = flag(
        "the block carries a filter bypass valve of its own",
        measure="look in the filter pad for a sprung disc",
        tools=("eye",),
    )
    gasket_flow = choice(
        "family of coolant holes that the head gasket must have",
        vocabulary="gasket_flow",
        measure="lay a known gasket on the face",
        tools=("eye",),
    )
    pump_floor_distance = length(
        "distance between the floors of the two sockets that take the pump drive shaft, pump and distributor fitted",
        measure="depth gauge down the distributor hole to the pump "
        "socket floor, less the depth of the upper socket floor",
        tools=("depth-gauge",),
        plausible=(40, 400),
    )
    sensor_seat_radius = length(
        "crank centre to the face that the crank sensor's flange sits on",
        measure="caliper from the crank snout to the seat, add half the snout",
        tools=("caliper",),
        plausible=(30, 250),
    )
    sensor_angle = dimension(
        "from straight up round to the middle of the sensor's bore, in the sense in which the crank turns",
        "angle",
        measure="degree wheel on the crank, zero straight up, pointer at the bore",
        tools=("protractor",),
        plausible=(0, 360),
    )
    firing = many(Firing, "the order in which the cylinders fire, beginning with cylinder 1")
    cylinders = count("number of cylinders", measure="count", tools=("eye",))
    displacement = dimension(
        "swept volume of all cylinders", "volume", measure="maker's figure; or bore and stroke", plausible=(0.5, 10)
    )
    front_arch_radius = length(
        "radius of the front cover's arch over the pan", measure="radius card or caliper at the arch", tools=("radius-card", "caliper"), plausible=(20, 90),
    )  # fmt: skip
    rear_arch_radius = length(
        "radius of the rear cap's arch over the pan", measure="radius card or caliper at the arch", tools=("radius-card", "caliper"), plausible=(20, 110),
    )  # fmt: skip
    fuel_pump_low = length(
        "fuel pump's pad to the eccentric or pushrod that works it, at its lowest",
        measure="depth gauge from the pad, turn the crank by hand until the reading is greatest",
        tools=("depth-gauge",),
        plausible=(3, 120),
    )
    fuel_pump_high = length(
        "the same at full lift",
        measure="depth gauge from the pad, turn the crank by hand until the reading is least",
        tools=("depth-gauge",),
        plausible=(0, 120),
    )
    filter_thread = choice(
        "thread of the filter's nipple on the pad", *DESIGNATIONS, measure="caliper and thread gauge on the nipple", tools=("caliper", "thread-gauge"),
    )  # fmt: skip
    filter_land_inner = length(
        "inside diameter of the flat land on the filter pad", measure="caliper", tools=("caliper",), plausible=(30, 120)
    )
    filter_land_outer = length(
        "outside diameter of the flat land on the filter pad",
        measure="caliper",
        tools=("caliper",),
        plausible=(40, 140),
    )
    gear_thrust_depth = length(
        "seat of the distributor's base to the face that the drive gear bears on",
        measure="depth gauge down the distributor hole",
        tools=("depth-gauge",),
        plausible=(20, 300),
    )
    bell_dowels = count("dowels in place for the bellhousing", measure="finger on each; two are due", tools=("eye",))
    dowel_length = length(
        "how far the bellhousing's dowels stand out of the block's rear face", measure="caliper", tools=("caliper",), plausible=(0, 80),
    )  # fmt: skip
    rear_proud = length(
        "how far cap, seal carrier or plug stands out of the block's rear face on the circle of the converter's bolts", measure="straight edge on the rear face, depth gauge or caliper", tools=("depth-gauge", "caliper"), plausible=(-40, 40),
    )  # fmt: skip
    front_cover_reach = length(
        "shoulder of the crank's snout to the front of the cover where the damper passes it", measure="gears off: depth gauge from the cover's front to the shoulder", tools=("depth-gauge",), plausible=(5, 150),
    )  # fmt: skip


class Crank(Kind):
    """Crankshaft with its rods: what swings above the pan."""

    kind = "crank"
    family = "engine"
    roles = {"crank": "crankshaft with rods"}
    stroke = length(
        "stroke",
        measure="piston at top and at bottom, depth gauge from the deck",
        tools=("depth-gauge",),
        plausible=(40, 130),
    )
    counterweight_swing = length(
        "radius of the circle that the largest counterweight sweeps",
        measure="caliper from the crank centre, or turn it against a block and measure",
        tools=("caliper",),
        plausible=(40, 130),
    )
    big_end_swing = length(
        "radius of the circle that the lowest point of a big end (bolt head or cap) sweeps",
        measure="stroke/2 plus the distance from the crank pin centre to the cap's far point",
        tools=("caliper",),
        plausible=(45, 150),
    )
    rear_track_diameter = length(
        "diameter of the track that the rear main seal runs on, any sleeve counted in", measure="micrometer or caliper, at two angles; a nail finds a groove", tools=("micrometer", "caliper"), plausible=(40, 160),
    )  # fmt: skip
    balance = choice(
        "external balance that it is made for", vocabulary="balance", measure="part label, casting, shop sheet", tools=("eye",),
    )  # fmt: skip
    front_imbalance = dimension(
        "imbalance that the damper must carry for it, mass times radius; 0 for a crank balanced in itself", "imbalance", measure="maker's or balancing shop's figure (oz-in)", plausible=(-60_000, 60_000),
    )  # fmt: skip
    rear_imbalance = dimension(
        "imbalance that flywheel or flexplate must carry for it, mass times radius; 0 for a crank balanced in itself", "imbalance", measure="maker's or balancing shop's figure (oz-in)", plausible=(-60_000, 60_000),
    )  # fmt: skip
    flange_bolts = count("bolt holes in the rear flange", measure="count", tools=("eye",))
    flange_offset_hole = flag(
        "one of these holes stands out of the even spacing",
        measure="measure each pair of neighbours",
        tools=("caliper",),
    )
    flange_pin = flag("a locating pin stands in the rear flange", measure="look", tools=("eye",))
    flange_hole_spacing = length(
        "centre to centre of two neighbouring holes of the rear flange, not the offset one", measure="caliper hole edge to hole edge, plus one hole diameter", tools=("caliper",), plausible=(15, 120),
    )  # fmt: skip
    flange_circle = length(
        "diameter of the rear flange's bolt circle", measure="from the spacing of the holes; or opposite holes, edge to edge, plus one hole diameter", tools=("caliper",), plausible=(40, 140),
    )  # fmt: skip
    flange_thread = choice(
        "thread of the rear flange's holes", *DESIGNATIONS, measure="turn in by hand a bolt that you know", tools=("thread-gauge",),
    )  # fmt: skip
    flange_hole_depth = length(
        "room for a bolt in the rear flange: to the bottom, or of a through hole to its far side", measure="straw or depth gauge", tools=("depth-gauge",), plausible=(8, 60),
    )  # fmt: skip
    register_diameter = length(
        "outside of the rear flange's step that centres the plate", measure="caliper or micrometer, two angles", tools=("micrometer", "caliper"), plausible=(20, 120),
    )  # fmt: skip
    flange_position = length(
        "block's rear face to the face of the rear flange, rearward positive, crank pushed forward", measure="straight edge across the block's rear face, depth gauge", tools=("depth-gauge",), plausible=(-40, 60),
    )  # fmt: skip
    pilot_bore = length(
        "bore in the rear end, bare, that centres nose, sleeve or pilot bearing", measure="bore gauge or caliper", tools=("bore-gauge", "caliper"), plausible=(15, 80),
    )  # fmt: skip
    pilot_mouth = length(
        "face of the rear flange to where the centring bore begins (chamfer or step), any sleeve fitted", measure="depth gauge", tools=("depth-gauge",), plausible=(-10, 40),
    )  # fmt: skip
    pilot_depth = length(
        "face of the rear flange to the bottom of the bore, or to whatever was left in it", measure="depth rod", tools=("depth-gauge",), plausible=(5, 120),
    )  # fmt: skip
    snout_length = length(
        "shoulder of the snout to its front end", measure="gears off: depth gauge or caliper", tools=("depth-gauge", "caliper"), plausible=(20, 220),
    )  # fmt: skip
    nose_clamp = dimension(
        "clamp that the stack on the snout is designed for", "force", measure="maker's figure; else what the original bolt gives at its full final angle", plausible=(10_000, 300_000),
    )  # fmt: skip


class Damper(Kind):
    """Crank damper with its bolt; on some engines its clamp is all that drives the oil pump and the timing gear."""

    kind = "damper"
    family = "engine"
    roles = {"damper": "crank damper and its bolt"}
    bolt_state = choice(
        "what holds the damper now",
        "torqued",
        "loose",
        "absent",
        measure="witness mark, or try it with the torque wrench",
        tools=("eye",),
    )
    balance = choice(
        "external balance of the assembly",
        vocabulary="balance",
        measure="part label, look for a weight",
        tools=("eye",),
    )
    imbalance = dimension(
        "imbalance that it carries for the crank, mass times radius; 0 for a neutral one", "imbalance", measure="stamped or on the label (oz-in); a balancing shop tells it", plausible=(-60_000, 60_000),
    )  # fmt: skip
    bolt_new = flag("its bolt is new", measure="witness paint, length against a new one", tools=("eye", "caliper"))
    bolt_angle_done = flag(
        "its bolt was turned to the full final angle", measure="paint line across head and hub", tools=("eye",)
    )
    bolt_lock_decided = flag(
        "thread lock: used or left out as the maker says", measure="look it up, and write down which", tools=("eye",)
    )
    bolt_thread = choice(
        "thread of its bolt", *DESIGNATIONS, measure="caliper and thread gauge", tools=("caliper", "thread-gauge")
    )
    bolt_grip = length(
        "head seat of its bolt to the first turn that carries", measure="caliper: length less what is screwed in", tools=("caliper",), plausible=(10, 200),
    )  # fmt: skip
    bolt_torque = dimension(
        "torque of its bolt before the final angle", "torque", measure="torque wrench", tools=("torque-wrench",), plausible=(10, 600),
    )  # fmt: skip
    bolt_angle = dimension(
        "final angle of its bolt after that torque; 0 for torque alone", "angle", measure="angle gauge on the wrench", tools=("protractor",), plausible=(0, 360),
    )  # fmt: skip
    bolt_nut_factor = dimension(
        "torque coefficient K of its bolt in T = K F d (dry 0.2, oiled about 0.15)", "number", measure="by the state of thread and head", plausible=(0.08, 0.4),
    )  # fmt: skip
    bolt_proof = dimension(
        "proof stress of its bolt (class 8.8 600 MPa, 10.9 830, 12.9 970)", "pressure", measure="marks on the head, table of ISO 898-1", plausible=(4e5, 1.4e6),
    )  # fmt: skip
    hub_length = length(
        "rear end of the hub to the seat of the bolt's washer", measure="caliper or depth gauge", tools=("caliper", "depth-gauge"), plausible=(10, 150),
    )  # fmt: skip
    flange_setback = length(
        "rear end of the hub to the rear of what could touch the front cover, forward positive", measure="straight edge and depth gauge", tools=("depth-gauge",), plausible=(-20, 100),
    )  # fmt: skip
    timing_family = choice(
        "front-cover family that its timing mark is cut for", vocabulary="timing_mark", measure="part label; where the mark stands against the key", tools=("eye",),
    )  # fmt: skip
