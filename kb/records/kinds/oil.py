"""Kinds of part of the oil system: pump, pump drive, pan, gasket, pickup, its seal, tray, filter, dipstick, bolts."""

from __future__ import annotations

from kb.records._kind import Item, Kind, choice, count, dimension, flag, length, many, position, text
from kb.records.kinds.engine import Port
from kb.standards.threads import DESIGNATIONS


class OilPump(Kind):
    """Oil pump: where the pickup enters, what it moves, how it is driven."""

    kind = "oil_pump"
    family = "oil"
    roles = {"oil_pump": "oil pump"}
    inlet_joint = choice(
        "how the pickup meets the pump",
        "radial",
        "face",
        "press",
        measure="a plain bore takes a "
        "ringed spigot; a flat face takes a flange with a ring; a press-in tube has neither",
        tools=("eye",),
    )
    inlet_bore = length(
        "bore of the inlet",
        measure="caliper or bore gauge, at two angles",
        tools=("bore-gauge", "caliper"),
        plausible=(8, 45),
    )
    inlet_chamfer = length(
        "depth of the lead-in chamfer at the mouth of the inlet bore",
        measure="depth gauge from the face to where the straight bore begins",
        tools=("depth-gauge",),
        plausible=(0, 5),
    )
    inlet_bore_depth = length(
        "depth of the straight inlet bore to its floor or step",
        measure="depth gauge",
        tools=("depth-gauge",),
        plausible=(4, 60),
    )
    inlet_depth = length(
        "centre of the pump inlet below the rail plane; above it is negative",
        measure="straight edge across the rail, depth gauge to the inlet",
        tools=("depth-gauge",),
        plausible=(-120, 120),
    )
    displacement = dimension(
        "oil moved by one turn of the pump",
        "volume",
        measure="maker's figure, or from the rotor: caliper its size and width",
        tools=("caliper",),
        plausible=(0.004, 0.08),
    )
    speed_ratio = dimension(
        "turns of the pump for one turn of the crank",
        "number",
        measure="turn the crank once and count",
        tools=("eye",),
        plausible=(0.4, 1.6),
    )
    depression_allowed = dimension(
        "pressure below atmosphere at the inlet that the pump still fills against",
        "pressure",
        measure="maker's figure; else your own limit",
        plausible=(10, 60),
    )
    drive = choice(
        "what turns the pump",
        "shaft",
        "keyed_nose",
        "flats_nose",
        "clamped_nose",
        measure="look at the crank nose: key, flats, or plain (then the damper's clamp alone drives it)",
        tools=("eye",),
    )
    drive_end = choice(
        "form of the socket for the drive shaft",
        "hex_8",
        "hex_5_16",
        "hex_1_4",
        "tang",
        "none",
        measure="caliper across the flats",
        tools=("caliper",),
    )
    socket_depth = length(
        "depth of the pump's drive socket", measure="depth gauge", tools=("depth-gauge",), plausible=(4, 40)
    )
    volume_class = choice(
        "what it moves against the factory's pump", "standard", "high_volume", measure="width of the rotor or gears against the factory's", tools=("caliper",),
    )  # fmt: skip


class PumpDrive(Kind):
    """Shaft that turns the oil pump from the distributor or the cam gear."""

    kind = "pump_drive"
    family = "oil"
    roles = {"pump_drive": "shaft that turns the oil pump"}
    drive_end = choice(
        "form of the end that enters the pump",
        "hex_8",
        "hex_5_16",
        "hex_1_4",
        "tang",
        measure="caliper across the flats",
        tools=("caliper",),
    )
    shaft_length = length(
        "overall length of the shaft", measure="caliper or rule end to end", tools=("caliper",), plausible=(40, 400)
    )
    upper_socket_depth = length(
        "depth of the socket in the distributor or gear that takes the upper end",
        measure="depth gauge",
        tools=("depth-gauge",),
        plausible=(4, 40),
    )


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


class OilFilterAdapter(Kind):
    """Adapter or cooler plate on the filter pad."""

    kind = "oil_filter_adapter"
    family = "oil"
    roles = {"oil_filter_adapter": "adapter or cooler plate on the filter pad"}
    bypass = flag("it carries a bypass valve", measure="marker or wire through: a sprung disc gives", tools=("eye",))
    order = choice(
        "which the oil meets first",
        "filter_first",
        "cooler_first",
        "filter_only",
        measure="blow through each port and mark it",
        tools=("eye",),
    )
    thread = text("thread to the block: 3/4-16, M20x1.5")
    ring_inner = length(
        "inside diameter of the ring towards the block", measure="caliper", tools=("caliper",), plausible=(30, 120)
    )
    ring_outer = length(
        "outside diameter of the ring towards the block", measure="caliper", tools=("caliper",), plausible=(40, 140)
    )
    ring_cord = length(
        "thickness of that ring, free", measure="caliper, without squashing it", tools=("caliper",), plausible=(1.5, 10)
    )
    groove_depth = length(
        "depth of the groove that holds it", measure="depth gauge", tools=("depth-gauge",), plausible=(0.5, 10)
    )
    filter_thread = choice(
        "thread of its nipple for the filter", *DESIGNATIONS, measure="caliper and thread gauge on the nipple", tools=("caliper", "thread-gauge"),
    )  # fmt: skip
    land_inner = length(
        "inside diameter of its land for the filter", measure="caliper", tools=("caliper",), plausible=(30, 120)
    )
    land_outer = length(
        "outside diameter of its land for the filter", measure="caliper", tools=("caliper",), plausible=(40, 140)
    )


class OilFilter(Kind):
    """Oil filter."""

    kind = "oil_filter"
    family = "oil"
    roles = {"oil_filter": "oil filter"}
    bypass = flag(
        "it carries a bypass valve",
        measure="look down the centre hole for the sprung disc at the far end",
        tools=("eye",),
    )
    thread = text("thread: 3/4-16, M20x1.5")
    ring_inner = length("inside diameter of its ring", measure="caliper", tools=("caliper",), plausible=(30, 120))
    ring_outer = length("outside diameter of its ring", measure="caliper", tools=("caliper",), plausible=(40, 140))


class Dipstick(Kind):
    """Dipstick with its tube, seated."""

    kind = "dipstick"
    family = "oil"
    roles = {"dipstick": "dipstick with its tube"}
    full_mark_depth = length(
        "rail plane to the full mark, stick seated",
        measure="pan off, stick seated, depth gauge or rule from the rail",
        tools=("depth-gauge", "steel-rule"),
        plausible=(-40, 300),
    )
    low_mark_depth = length(
        "rail plane to the low mark, stick seated",
        measure="pan off, stick seated, depth gauge or rule from the rail",
        tools=("depth-gauge", "steel-rule"),
        plausible=(-20, 320),
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


class Oil(Kind):
    """The oil that will be in the engine."""

    kind = "oil"
    family = "oil"
    roles = {"oil": "the oil that goes in"}
    grade = text("grade as on the can: 10W-40")
    viscosity_40 = dimension(
        "kinematic viscosity at 40 degC", "viscosity", measure="maker's data sheet", plausible=(20, 300)
    )
    viscosity_100 = dimension(
        "kinematic viscosity at 100 degC", "viscosity", measure="maker's data sheet", plausible=(3, 30)
    )
    density_15 = dimension("density at 15 degC", "density", measure="maker's data sheet", plausible=(820, 920))
