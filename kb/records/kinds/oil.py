"""Kinds of part of the oil system: pump and its drive, filter, dipstick, and the oil itself."""

from __future__ import annotations

from kb.records._kind import Kind, choice, dimension, flag, length, text
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
