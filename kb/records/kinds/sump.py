"""Kinds of part that close the crankcase from below: pan, gasket, bolts, tray, and the pickup that hangs in the oil."""

from __future__ import annotations

from kb.records._kind import Item, Kind, choice, count, dimension, flag, length, many, position, text
from kb.records.kinds.engine import Port


class FlangeReading(Item):
    """The pan's flange at one station of the joint."""

    id = text("name of the station on the block's list")
    height = length(
        "how far the flange stands proud towards the block here, from the straight line over the whole "
        "flange; stepped down or hollow is negative",
        measure="pan upside down on a flat plate, or a straight "
        "edge along the flange: feeler or depth gauge at the station",
        tools=("straight-edge-feeler", "depth-gauge"),
        plausible=(-4, 4),
    )


class FloorZone(Item):
    """A rectangle of the pan's inside floor that has one depth."""

    id = text("name of the zone: sump, shelf, ramp")
    x_from = position("front end of the zone")
    x_to = position("rear end of the zone")
    y_from = position("left edge of the zone")
    y_to = position("right edge of the zone")
    depth = length(
        "rail face to inside floor in this zone",
        measure="straight edge across the rail, depth gauge to the floor at three places",
        tools=("depth-gauge",),
        plausible=(20, 320),
    )


class HullBox(Item):
    """A box that encloses a piece of the pan's outside."""

    id = text("name of the piece: sump, front, drain plug")
    x_from = position("front end")
    x_to = position("rear end")
    y_from = position("left edge")
    y_to = position("right edge")
    depth = length(
        "rail face to the lowest point of this piece, outside",
        measure="straight edge across the rail, depth gauge or tape over the outside",
        tools=("depth-gauge", "tape"),
        plausible=(20, 340),
    )


class Pan(Kind):
    """Oil pan: closes the crankcase from below, holds the oil, and on some engines carries an oil passage."""

    kind = "pan"
    family = "oil"
    roles = {"pan": "oil pan"}
    rail_pattern = choice(
        "bolt pattern and outline of the flange",
        vocabulary="rail_pattern",
        measure="count the bolts, measure corner to corner, hold a radius card to each arch",
        tools=("eye", "tape"),
    )
    rear_seal = choice(
        "style of the rear main seal that the pan is made for",
        "one_piece",
        "two_piece",
        "cover_face",
        measure="look at the rear arch",
        tools=("eye",),
    )
    front_seal = choice(
        "front seal that the pan's front arch is made for",
        "thin",
        "thick",
        "flat",
        measure="radius card or caliper at the arch",
        tools=("radius-card",),
    )
    dipstick_side = choice(
        "side of the dipstick boss, or block where the stick goes through the block",
        "left",
        "right",
        "block",
        "none",
        measure="look",
        tools=("eye",),
    )
    construction = choice(
        "how it is made",
        "cast",
        "stamped",
        "welded",
        measure="look; a magnet tells aluminium from steel",
        tools=("eye",),
    )
    sump_depth = length(
        "rail face to inside floor under the pickup foot (not the deepest point)",
        measure="straight edge across the rail, depth gauge down to the floor where the foot will sit",
        tools=("depth-gauge", "steel-rule"),
        plausible=(40, 320),
    )
    shelf_depth = length(
        "rail face to the inside of the shallow part under the crank",
        measure="straight edge across the rail, depth gauge down to the shelf",
        tools=("depth-gauge",),
        plausible=(20, 250),
    )
    floor = many(FloorZone, "the inside floor as rectangles of one depth")
    flange = many(FlangeReading, "straight-edge and feeler readings of the flange, by station")
    flange_thickness = length(
        "thickness of the flange between bolts", measure="caliper", tools=("caliper",), plausible=(1, 20)
    )
    flange_width = length("width of the flange", measure="caliper", tools=("caliper",), plausible=(8, 40))
    flange_modulus = dimension(
        "stiffness of the flange's metal (steel 210 GPa, aluminium 70 GPa)",
        "pressure",
        measure="magnet: steel or aluminium",
        tools=("eye",),
        plausible=(4.0e7, 2.2e8),
    )
    ports = many(Port, "oil passages in the flange")
    hull = many(HullBox, "the outside, as boxes")
    capacity = dimension(
        "oil that the pan holds up to the full mark, filter not counted",
        "volume",
        measure="pan level on the bench, count the litres to the mark",
        tools=("jug",),
        plausible=(1.5, 12),
    )
    front_arch_radius = length(
        "radius of the pan's front arch, bare", measure="radius card or caliper at the arch", tools=("radius-card", "caliper"), plausible=(20, 100),
    )  # fmt: skip
    rear_arch_radius = length(
        "radius of the pan's rear arch, bare", measure="radius card or caliper at the arch", tools=("radius-card", "caliper"), plausible=(20, 120),
    )  # fmt: skip
    baffled = flag(
        "baffles or trap doors keep the oil around the foot from running off", measure="look in", tools=("eye",)
    )


class GasketHole(Item):
    """A hole that the gasket leaves open and rings."""

    id = text("name of the passage on the block's list")
    bore = length("diameter of the hole", measure="caliper", tools=("caliper",), plausible=(2, 60))


class PanGasket(Kind):
    """What seals the pan joint: a sheet, a molded gasket with limiters, or a bead in a carrier."""

    kind = "pan_gasket"
    family = "oil"
    roles = {"pan_gasket": "seal between block and pan"}
    style = choice("how it seals", "sheet", "molded", "carrier_bead", "sealant", measure="look", tools=("eye",))
    free_thickness = length(
        "thickness (or bead height) before it is clamped",
        measure="caliper at six places without squashing it",
        tools=("caliper",),
        plausible=(0.3, 8),
    )
    stop_thickness = length(
        "thickness at which it stops compressing: limiter, carrier, or solid height",
        measure="caliper on the limiter or the carrier",
        tools=("caliper",),
        plausible=(0.1, 7),
    )
    installed_thickness = length(
        "thickness once clamped",
        measure="clay or solder strip bolted up beside the gasket, caliper it",
        tools=("clay", "caliper"),
        plausible=(0.0, 7),
    )
    modulus = dimension(
        "stiffness of the sealing material in compression",
        "pressure",
        measure="maker's figure; else the usual range of the material",
        plausible=(1000, 100000),
    )
    seal_width = length(
        "width of the bead or of the sheet on the land", measure="caliper", tools=("caliper",), plausible=(1, 30)
    )
    gasket_factor = dimension(
        "gasket factor m of the flange rules (soft rubber 0.5, hard rubber 1.0, fibre 1.75)",
        "number",
        plausible=(0.25, 4),
    )
    holes = many(GasketHole, "holes for oil passages")
    material = choice(
        "material",
        "cork_rubber",
        "nitrile",
        "silicone",
        "fluoroelastomer",
        "paper",
        "acrylic",
        measure="maker's marking",
        tools=("eye",),
    )


class Pickup(Kind):
    """Oil pickup: foot with screen, tube, and the joint that enters the pump."""

    kind = "pickup"
    family = "oil"
    roles = {"pickup": "oil pickup"}
    joint = choice(
        "how it meets the pump",
        "radial",
        "face",
        "press",
        measure="ringed spigot, flange with a ring, or plain press-in tube",
        tools=("eye",),
    )
    hang = length(
        "rail plane to the lowest point of the foot, pickup fitted to the pump",
        measure="straight edge across the block's rail, depth gauge to the foot",
        tools=("depth-gauge",),
        plausible=(30, 320),
    )
    foot_x = position("where the foot's centre sits, rearward")
    foot_y = position("where the foot's centre sits, to the right")
    foot_shape = choice("outline of the mouth", "round", "slot", measure="look", tools=("eye",))
    foot_length = length(
        "diameter of a round mouth, length of a slotted one",
        measure="caliper across the mouth",
        tools=("caliper",),
        plausible=(15, 160),
    )
    foot_width = length(
        "width of a slotted mouth; the diameter again for a round one",
        measure="caliper across the mouth",
        tools=("caliper",),
        plausible=(10, 120),
    )
    tube_bore = length(
        "smallest bore of the tube",
        measure="drill shanks or caliper, at the tightest bend too",
        tools=("drill-shanks", "caliper"),
        plausible=(6, 45),
    )
    tube_length = length(
        "length along the tube, foot to joint",
        measure="string along the tube",
        tools=("steel-rule",),
        plausible=(20, 800),
    )
    bends = count("bends of 60 degrees and more in the tube", measure="count", tools=("eye",))
    entrance = choice(
        "edge of the tube in the foot", "square", "reentrant", "rounded", measure="look, feel the edge", tools=("eye",)
    )
    screen_open = dimension(
        "open share of the screen's area (0 to 1)",
        "number",
        measure="count wires per 10 mm, caliper a wire: (gap / pitch) squared",
        tools=("caliper",),
        plausible=(0.2, 0.95),
    )
    screen_area = dimension(
        "area of the screen", "area", measure="caliper its length and width", tools=("caliper",), plausible=(300, 15000)
    )
    screen_wire = length(
        "thickness of a wire of the screen",
        measure="caliper on a loose end, or count wires per 10 mm and take the gap off",
        tools=("caliper",),
        plausible=(0.1, 1.5),
    )
    groove_diameter = length(
        "diameter of the ring groove's floor on the spigot",
        measure="caliper, at two angles",
        tools=("caliper",),
        plausible=(6, 44),
    )
    groove_depth = length(
        "depth of the ring groove in the flange (face joint)",
        measure="depth gauge",
        tools=("depth-gauge",),
        plausible=(0.5, 6),
    )
    groove_width = length("width of the ring groove", measure="caliper", tools=("caliper",), plausible=(1, 12))
    groove_from_flange = length(
        "flange face to the middle of the ring groove on the spigot",
        measure="caliper",
        tools=("caliper",),
        plausible=(1, 40),
    )
    spigot_length = length(
        "flange face to the tip of the spigot", measure="depth gauge", tools=("depth-gauge",), plausible=(3, 60)
    )
    flange_bolts = count("bolts that hold the pickup's flange to the pump", measure="count", tools=("eye",))
    flange_lift = length(
        "gap at the far side of the ring with the bolts tight and no ring fitted",
        measure="bolt it up dry, feeler at the side away from the bolt",
        tools=("feeler",),
        plausible=(0, 1.5),
    )
    brace = flag("a bracket to a main stud or a tack holds the tube", measure="look, tug", tools=("eye",))
    top_depth = length(
        "rail plane to the highest point of tube or bracket under the crank",
        measure="straight edge across the rail, depth gauge; above the rail is negative",
        tools=("depth-gauge",),
        plausible=(-80, 250),
    )


class PickupSeal(Kind):
    """Ring between pickup and pump: a suction joint, so a leak draws air and shows no drip."""

    kind = "pickup_seal"
    family = "oil"
    roles = {"pickup_seal": "ring between pickup and pump"}
    cord = length(
        "thickness of the cord, free", measure="caliper, without squashing it", tools=("caliper",), plausible=(1, 8)
    )
    inner_diameter = length(
        "inside diameter, free",
        measure="lay it on a rule, or caliper without stretching",
        tools=("caliper", "steel-rule"),
        plausible=(4, 60),
    )
    material = choice(
        "material", "nitrile", "fluoroelastomer", "silicone", "acrylic", measure="maker's marking", tools=("eye",)
    )


class WindageTray(Kind):
    """Tray between crank and sump; where its rim lies in the joint it lowers the pan."""

    kind = "windage_tray"
    family = "oil"
    roles = {"windage_tray": "tray under the crank"}
    rim_thickness = length(
        "thickness of the rim that lies in the pan joint, its second gasket counted in; 0 where it hangs from studs",
        measure="caliper",
        tools=("caliper",),
        plausible=(0, 6),
    )
    top_depth = length(
        "rail plane to the tray's highest point under the crank",
        measure="straight edge across the rail, depth gauge",
        tools=("depth-gauge",),
        plausible=(-80, 120),
    )
    bottom_depth = length(
        "rail plane to the tray's lowest point",
        measure="straight edge across the rail, depth gauge",
        tools=("depth-gauge",),
        plausible=(-60, 150),
    )
    pickup_way = choice(
        "how the pickup gets past it: through a cut-out, or wholly below it",
        "cut_out",
        "below",
        measure="look: a slot or a hole where the tube comes through",
        tools=("eye",),
    )


class FlangeBolts(Kind):
    """The set of bolts that clamps the pan."""

    kind = "flange_bolts"
    family = "oil"
    roles = {"flange_bolts": "bolts that clamp the pan"}
    thread = text("thread: M6x1, 1/4-20")
    nominal_diameter = length(
        "nominal diameter of the thread",
        measure="caliper over the thread, thread gauge",
        tools=("caliper",),
        plausible=(4, 12),
    )
    torque = dimension(
        "tightening torque", "torque", measure="torque wrench", tools=("torque-wrench",), plausible=(2, 60)
    )
    nut_factor = dimension(
        "torque coefficient K in T = K F d (dry 0.2, oiled about 0.15)", "number", plausible=(0.1, 0.35)
    )
