"""Kinds of part around the bare engine: block, crank, damper, and the stations and ports of a joint's face.

Directions, used by every kind: x rearward from the front end of the block's pan rail, y to the right seen from
behind the engine, z down from the plane of the block's pan rail (away from the crank).
"""

from __future__ import annotations

from kb.records._kind import Item, Kind, choice, flag, length, many, position, text

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
