"""Kinds of part on the two ends of the crank: flywheel or flexplate and its bolts, what sits on the snout, timing pointer.

Depths at the rear, in every kind: z rearward from the block's rear face, to which the bellhousing or the first plate bolts.
"""

from __future__ import annotations

from kb.records._kind import Item, Kind, choice, count, dimension, flag, length, many, text
from kb.standards.threads import DESIGNATIONS


class DrivePlate(Kind):
    """Flexplate (automatic) or flywheel (manual) on the crank's flange, with its ring gear."""

    kind = "drive_plate"
    family = "crank"
    roles = {"drive_plate": "flexplate or flywheel on the crank's flange"}
    sort = choice("what it is", "flexplate", "flywheel", measure="look", tools=("eye",))
    balance = choice(
        "external balance that it belongs to",
        vocabulary="balance",
        measure="part label; look for a welded weight and for cut-outs",
        tools=("eye",),
    )
    imbalance = dimension(
        "imbalance that it carries for the crank, mass times radius; 0 for a neutral one",
        "imbalance",
        measure="stamped or on the label (oz-in); a balancing shop tells it",
        plausible=(-60_000, 60_000),
    )
    bolts = count("bolt holes to the crank", measure="count", tools=("eye",))
    offset_hole = flag(
        "one of these holes stands out of the even spacing",
        measure="measure each pair of neighbours",
        tools=("caliper",),
    )
    pin_hole = flag("hole for a locating pin of the crank's flange", measure="look", tools=("eye",))
    hole_spacing = length(
        "centre to centre of two neighbouring bolt holes, not the offset one",
        measure="caliper hole edge to hole edge, plus one hole diameter",
        tools=("caliper",),
        plausible=(15, 120),
    )
    circle = length(
        "diameter of the bolt circle to the crank",
        measure="from the spacing of the holes; or opposite holes, edge to edge, plus one hole diameter",
        tools=("caliper",),
        plausible=(40, 140),
    )
    bolt_hole = length(
        "diameter of the bolt holes to the crank",
        measure="caliper or drill shanks",
        tools=("caliper", "drill-shanks"),
        plausible=(6, 20),
    )
    register_bore = length(
        "hole that centres it on the crank",
        measure="bore gauge or caliper, two angles",
        tools=("bore-gauge", "caliper"),
        plausible=(20, 120),
    )
    thickness = length(
        "thickness under the heads of the crank bolts", measure="caliper", tools=("caliper",), plausible=(1.5, 45)
    )
    head_room = length(
        "seat of the crank bolts' heads to the nearest thing opposite: converter, clutch hub, or block and cap where the heads look forward",
        measure="clay on what lies opposite, assemble, turn once, caliper the clay",
        tools=("clay",),
        plausible=(3, 80),
    )
    ring_teeth = count(
        "teeth of the ring gear", measure="paint one tooth, turn the crank once and count", tools=("eye",)
    )
    ring_diametral_pitch = dimension(
        "diametral pitch of the ring gear: teeth over pitch diameter",
        "per_length",
        measure="maker's figure; or teeth plus two over the outside diameter",
        plausible=(6, 16),
    )
    ring_module = length(
        "module of the ring gear: pitch diameter over teeth, which is 25.4 mm over the diametral pitch",
        measure="outside diameter over (teeth + 2); check with a tape over ten teeth: ten times pi times the module",
        tools=("tape", "caliper"),
        plausible=(1.5, 4.5),
    )
    ring_face_offset = length(
        "seat on the crank's flange to the face of the ring gear where the pinion enters, rearward positive",
        measure="straight edge on the seat, depth gauge",
        tools=("depth-gauge",),
        plausible=(-40, 60),
    )
    ring_width = length("width of the ring gear's teeth", measure="caliper", tools=("caliper",), plausible=(6, 30))
    pad_offset = length(
        "seat on the crank's flange to the rear face where the converter's pads bolt, rearward positive",
        measure="plate on a flat table, depth gauge",
        tools=("depth-gauge",),
        plausible=(-20, 50),
    )
    pad_thickness = length(
        "thickness where the converter's pads bolt", measure="caliper", tools=("caliper",), plausible=(1.5, 12)
    )
    pads = count("holes for the converter's bolts, of one pattern", measure="count", tools=("eye",))
    pad_circle = length(
        "diameter of the circle of the converter's bolt holes",
        measure="opposite holes, or spacing / sin(180 degrees / number)",
        tools=("caliper", "tape"),
        plausible=(150, 400),
    )
    pad_hole = length(
        "diameter of the converter's bolt holes; of a slot, its width",
        measure="caliper",
        tools=("caliper",),
        plausible=(6, 20),
    )
    friction_height = length(
        "seat on the crank's flange to the friction face of a flywheel, rearward positive",
        measure="straight edge on the friction face, depth gauge to the seat",
        tools=("depth-gauge",),
        plausible=(0, 60),
    )


class PlateBolts(Kind):
    """Bolts of flexplate or flywheel to the crank, or of the converter to the flexplate."""

    kind = "plate_bolts"
    family = "crank"
    roles = {
        "flywheel_bolts": "bolts of flexplate or flywheel to the crank",
        "converter_bolts": "bolts of the converter to the flexplate",
    }
    thread = choice(
        "thread",
        *DESIGNATIONS,
        measure="caliper over the crests, thread gauge in the thread",
        tools=("caliper", "thread-gauge"),
    )
    diameter = length("diameter of the shank", measure="caliper", tools=("caliper",), plausible=(6, 20))
    head_height = length("height of the head", measure="caliper", tools=("caliper",), plausible=(2, 20))
    under_head = length(
        "washer or clamp ring under the heads; 0 for none", measure="caliper", tools=("caliper",), plausible=(0, 8)
    )
    length = length("length under the head", measure="caliper", tools=("caliper",), plausible=(6, 80))


class CrankSpacer(Kind):
    """Spacer between the crank's flange and flexplate or flywheel."""

    kind = "crank_spacer"
    family = "crank"
    thickness = length("thickness", measure="caliper", tools=("caliper",), plausible=(0.5, 40))


class NosePiece(Item):
    """One piece on the crank's snout behind the damper."""

    id = text("name: timing gear, pump gear, slinger, sleeve, spacer, trigger wheel")
    thickness = length(
        "thickness along the crank, as it stacks", measure="caliper", tools=("caliper",), plausible=(0.5, 80)
    )


class NoseStack(Kind):
    """What sits on the crank's snout between its shoulder and the damper's hub: gears, slinger, sleeves, spacers."""

    kind = "nose_stack"
    family = "crank"
    pieces = many(NosePiece, "the pieces, in order from the shoulder")
    drive = choice(
        "what turns the gears on the snout",
        "keyed",
        "friction",
        measure="look for a key and its slot in every gear; a slot without a key in use counts as friction",
        tools=("eye",),
    )


class TimingPointer(Kind):
    """Pointer or tab that the damper's mark is read against, and what a piston stop showed there."""

    kind = "timing_pointer"
    family = "crank"
    family_mark = choice(
        "front-cover family that the pointer is placed for",
        vocabulary="timing_mark",
        measure="which cover it came with; clock position seen from the front",
        tools=("eye",),
    )
    proved = flag(
        "true top dead centre has been proved against it with a piston stop",
        measure="piston stop in cylinder 1, turn by hand both ways",
        tools=("eye",),
    )
    stop_before = dimension(
        "reading at the piston stop turning forwards, degrees after the mark for TDC: negative before it",
        "angle",
        measure="piston stop in cylinder 1, degree tape on the damper",
        tools=("protractor",),
        plausible=(-120, 30),
    )
    stop_after = dimension(
        "reading at the piston stop turning backwards, degrees after the mark for TDC",
        "angle",
        measure="piston stop in cylinder 1, degree tape on the damper",
        tools=("protractor",),
        plausible=(-30, 120),
    )


class CrankFloat(Kind):
    """Readings of the crank's end float, before and after the gearbox is bolted on."""

    kind = "crank_float"
    family = "crank"
    without_gearbox = length(
        "end float with the gearbox off",
        measure="dial on the damper, or feeler at the thrust bearing; lever gently both ways",
        tools=("dial-indicator", "feeler"),
        plausible=(0, 1.5),
    )
    with_gearbox = length(
        "end float with the gearbox bolted up and the converter or clutch connected",
        measure="dial on the damper, lever gently both ways",
        tools=("dial-indicator",),
        plausible=(0, 1.5),
    )
