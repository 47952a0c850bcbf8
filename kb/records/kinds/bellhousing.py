"""Kinds of part behind the block: bellhousing and plates, gearbox, converter or clutch, pilot, starter.

Depths: z rearward from the block's rear face; those of the bellhousing rearward from its own front face, which the plates
between block and bell move back.
"""

from __future__ import annotations

from kb.records._kind import Item, Kind, choice, count, dimension, flag, length, many, text


class Bellhousing(Kind):
    """Bellhousing, loose or cast in one with the gearbox."""

    kind = "bellhousing"
    family = "crank"
    roles = {"bellhousing": "bellhousing, loose or in one with the gearbox"}
    depth = length(
        "front face to the face of the gearbox",
        measure="straight edge across the front, depth gauge or rule to the rear face",
        tools=("depth-gauge", "steel-rule"),
        plausible=(80, 300),
    )
    dowel_holes = count(
        "holes that close on dowels of the block",
        measure="count; an oval or drilled-out hole does not count",
        tools=("eye",),
    )
    bore_runout = length(
        "runout of its rear bore (in one with the gearbox: of the pump's bore), total indicator reading",
        measure="bell bolted to the block on its dowels and plates, dial on the crank's flange, turn once; the offset is half of it",
        tools=("dial-indicator",),
        plausible=(0, 3),
    )
    starter_centre = length(
        "crank's centre line to the centre of the hole or seat that locates the starter",
        measure="bell on the block: caliper from the pilot bore's edge to the hole's edge, add both radii",
        tools=("caliper",),
        plausible=(100, 320),
    )
    starter_face = length(
        "front face of the bell to the face that the starter bolts to, rearward positive",
        measure="straight edge on the front face, depth gauge",
        tools=("depth-gauge",),
        plausible=(-60, 120),
    )


class Plate(Item):
    """One plate between block and bellhousing."""

    id = text("name: dust plate, block plate, mid plate, bell adapter")
    thickness = length("thickness where it is clamped", measure="caliper", tools=("caliper",), plausible=(0.5, 120))
    located = flag(
        "its holes close on the dowels, so that it cannot shift",
        measure="offer it to the dowels: no side play",
        tools=("eye",),
    )


class PlateStack(Kind):
    """All plates and adapters that lie between the block's rear face and the bellhousing; an empty list for none."""

    kind = "plate_stack"
    family = "crank"
    plates = many(Plate, "every plate between block and bell")


class Transmission(Kind):
    """Gearbox, as it meets the engine."""

    kind = "transmission"
    family = "crank"
    sort = choice("what it is", "automatic", "manual", measure="look", tools=("eye",))
    pump_depth = length(
        "automatic: front face of the bell to the place where the converter's hub comes to rest",
        measure="straight edge across the bell, depth gauge into the pump",
        tools=("depth-gauge",),
        plausible=(60, 350),
    )
    pump_gear_width = length(
        "automatic: width of the pump gear that the converter's hub drives (often about 3/4 in)",
        measure="manual, or caliper with the pump apart",
        tools=("caliper",),
        plausible=(8, 40),
    )
    bushing_bore = length(
        "automatic: bore of the bushing that the converter's hub runs in",
        measure="bore gauge",
        tools=("bore-gauge",),
        plausible=(25, 70),
    )
    tip_diameter = length(
        "manual: diameter of the input shaft's tip",
        measure="micrometer",
        tools=("micrometer", "caliper"),
        plausible=(8, 35),
    )
    tip_reach = length(
        "manual: gearbox's front face to the end of the input shaft's tip, forwards",
        measure="straight edge on the face, rule",
        tools=("steel-rule", "depth-gauge"),
        plausible=(60, 350),
    )


class Converter(Kind):
    """Torque converter."""

    kind = "converter"
    family = "crank"
    setback = length(
        "front face of the bell to the face of the pads, converter pushed fully home, before it is pulled forward",
        measure="straight edge across the bell's face, depth gauge to a pad; turn it and feel two or three clunks first",
        tools=("depth-gauge",),
        plausible=(-10, 70),
    )
    height = length(
        "face of the pads to the end of the hub",
        measure="straight edge over the pads, rule",
        tools=("steel-rule", "caliper"),
        plausible=(80, 350),
    )
    hub_engagement = length(
        "how far the hub's drive reaches past the near face of the pump gear with the converter pushed home",
        measure="depth gauge in the pump and on the hub; or maker's drawing",
        tools=("depth-gauge",),
        plausible=(0, 40),
    )
    nose_length = length(
        "face of the pads to the end of the nose, forwards",
        measure="straight edge over the pads, depth gauge",
        tools=("depth-gauge",),
        plausible=(0, 70),
    )
    nose_diameter = length(
        "diameter of the nose", measure="caliper, at two angles", tools=("caliper", "micrometer"), plausible=(20, 80)
    )
    hub_diameter = length(
        "diameter of the hub where the bushing runs",
        measure="micrometer, two angles",
        tools=("micrometer",),
        plausible=(25, 70),
    )
    hub_runout = length(
        "runout of the hub, converter bolted to the flexplate, total indicator reading",
        measure="dial on the hub, turn the crank once",
        tools=("dial-indicator",),
        plausible=(0, 2),
    )
    pads = count("pads or studs", measure="count", tools=("eye",))
    pad_circle = length(
        "diameter of the circle of its bolts",
        measure="opposite pads, or spacing / sin(180 degrees / number)",
        tools=("caliper", "tape"),
        plausible=(150, 400),
    )


class Pilot(Kind):
    """What sits in the bore at the crank's rear end: nothing, a sleeve for a converter's nose, a bearing or bush."""

    kind = "pilot"
    family = "crank"
    sort = choice(
        "what sits there; look with a lamp, a leftover part counts",
        "none",
        "sleeve",
        "bearing",
        "bush",
        measure="lamp and depth gauge",
        tools=("eye",),
    )
    outer = length("outside diameter", measure="micrometer", tools=("micrometer", "caliper"), plausible=(15, 80))
    bore = length(
        "bore that takes the nose or the tip; with nothing fitted, the crank's own bore",
        measure="bore gauge or caliper",
        tools=("bore-gauge", "caliper"),
        plausible=(8, 80),
    )
    recess = length(
        "crank's flange face to its near edge, forwards",
        measure="depth gauge",
        tools=("depth-gauge",),
        plausible=(-10, 60),
    )
    length = length("length along the crank", measure="caliper", tools=("caliper",), plausible=(4, 60))


class Clutch(Kind):
    """Clutch cover with its disc."""

    kind = "clutch"
    family = "crank"
    finger_height = length(
        "flywheel's friction face to the tips of the fingers, cover bolted down on a new disc, rearward",
        measure="straight edge over the fingers, depth gauge",
        tools=("depth-gauge",),
        plausible=(15, 90),
    )
    finger_depth = length(
        "gearbox face of the bell to the tips of the fingers, forwards",
        measure="straight edge across the bell's rear face, depth gauge to the fingers",
        tools=("depth-gauge",),
        plausible=(5, 200),
    )
    release_travel = length("travel of the fingers that frees the disc", measure="maker's figure", plausible=(3, 20))


class ReleaseBearing(Kind):
    """Release bearing with its fork or concentric slave."""

    kind = "release_bearing"
    family = "crank"
    style = choice(
        "how it stands when the pedal is up",
        "gap",
        "preload",
        measure="maker's sheet: with a gap, or always lightly touching",
        tools=("eye",),
    )
    stand = length(
        "gearbox face to the face of the bearing, pushed fully back, shims counted in",
        measure="straight edge from the gearbox face, depth gauge or rule",
        tools=("depth-gauge", "steel-rule"),
        plausible=(5, 200),
    )
    travel = length(
        "travel of the bearing at full pedal",
        measure="helper on the pedal, rule at the bearing",
        tools=("steel-rule",),
        plausible=(3, 40),
    )


class Starter(Kind):
    """Starter motor, as it meets the ring gear."""

    kind = "starter"
    family = "crank"
    pinion_teeth = count("teeth of the pinion", measure="count", tools=("eye",))
    diametral_pitch = dimension(
        "diametral pitch of the pinion: teeth over pitch diameter",
        "per_length",
        measure="maker's figure; or teeth plus two over the outside diameter (pinions are often cut long: prefer the maker's)",
        plausible=(6, 16),
    )
    module = length(
        "module of the pinion: pitch diameter over teeth, which is 25.4 mm over the diametral pitch",
        measure="maker's figure; or roll it over clay and measure ten teeth: ten times pi times the module",
        tools=("caliper",),
        plausible=(1.5, 4.5),
    )
    axis_offset = length(
        "how much farther from the crank the pinion's axis lies than the centre of the locating seat; 0 when concentric",
        measure="caliper from the seat's rim to the pinion",
        tools=("caliper",),
        plausible=(-30, 30),
    )
    shim_thickness = length(
        "shims that move the pinion away from the crank, all together; 0 for none",
        measure="caliper",
        tools=("caliper",),
        plausible=(0, 6),
    )
    shim_style = choice(
        "sort of shim",
        "none",
        "full_1_mm",
        "outboard_third_mm",
        measure="caliper and look: under both ears, or only at the outboard one",
        tools=("caliper", "eye"),
    )
    shims = count("number of shims", measure="count", tools=("eye",))
    mesh_gap = length(
        "tip of a ring tooth to the root between two pinion teeth, pinion pulled out by hand, at the ring's highest tooth",
        measure="wire of known diameter or drill shank between them; battery disconnected",
        tools=("drill-shanks", "feeler"),
        plausible=(-2, 8),
    )
    throws = choice("which way the pinion moves to engage", "rearward", "forward", measure="look", tools=("eye",))
    rest_reach = length(
        "face of the starter that bolts to the bell to the near edge of the pinion at rest, rearward positive",
        measure="caliper or depth gauge",
        tools=("depth-gauge", "caliper"),
        plausible=(-120, 120),
    )
    travel = length(
        "travel of the pinion from rest to its stop",
        measure="pull it out by hand, caliper",
        tools=("caliper",),
        plausible=(5, 50),
    )
