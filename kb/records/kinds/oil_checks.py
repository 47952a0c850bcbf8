"""Kinds around the oil system that are looked at once: drive gears, cam bearings, gauge readings."""

from __future__ import annotations

from kb.records._kind import Item, Kind, choice, dimension, length, many, text

GEARS = ("cast_iron", "billet_steel", "bronze", "polymer")
_GEAR = "file test, casting texture, magnet: bronze and polymer do not hold it"


class CamGear(Kind):
    """Gear on the camshaft that turns the distributor and, through it, the oil pump."""

    kind = "cam_gear"
    family = "oil"
    material = choice("its metal", *GEARS, measure=_GEAR, tools=("eye",))


class DriveGear(Kind):
    """Gear that meshes with the cam gear: on the distributor or on the pump's drive."""

    kind = "drive_gear"
    family = "oil"
    material = choice("its metal", *GEARS, measure=_GEAR, tools=("eye",))
    seat_to_face = length(
        "seat of the distributor's base to the lower face of the gear, shaft pushed down",
        measure="depth gauge from the base to the gear's face",
        tools=("depth-gauge",),
        plausible=(20, 300),
    )
    shim = length(
        "shims under the gear; 0 for none", measure="micrometer", tools=("micrometer", "caliper"), plausible=(0, 3)
    )


class FeedHole(Item):
    """Where one cam bearing takes its oil."""

    id = text("name of the bearing: cam-1, cam-2")
    bearing_hole = length(
        "diameter of the hole in the bearing", measure="drill shanks", tools=("drill-shanks",), plausible=(2, 15)
    )
    block_hole = length(
        "diameter of the feed in the block", measure="drill shanks", tools=("drill-shanks",), plausible=(2, 20)
    )
    offset = length(
        "distance between the middles of the two holes, as the bearing is pressed in",
        measure="torch down the feed; scribe both on a rod, caliper between the marks",
        tools=("caliper", "eye"),
        plausible=(0, 30),
    )


class CamBearings(Kind):
    """Cam bearings as pressed into this block."""

    kind = "cam_bearings"
    family = "oil"
    back = choice(
        "whether a groove behind the bearing, or around the journal, leads the oil to the hole",
        "grooved",
        "plain",
        measure="look",
        tools=("eye",),
    )
    feeds = many(FeedHole, "the bearings, each with its hole")
    bore = length(
        "bore of the tightest bearing, pressed in",
        measure="bore gauge, at two angles",
        tools=("bore-gauge",),
        plausible=(25, 80),
    )
    journal = length(
        "journal of the cam in that bearing", measure="micrometer", tools=("micrometer",), plausible=(25, 80)
    )


class OilReadings(Kind):
    """What a mechanical gauge at the gallery showed: on the stand, in the yard, or after the first runs."""

    kind = "oil_readings"
    family = "oil"
    roles = {"oil_readings": "what the oil gauge showed"}
    hot_idle = dimension(
        "oil pressure at idle, oil hot", "pressure", measure="mechanical gauge at the gallery, oil at 80 degC or more",
        tools=("pressure-gauge",), plausible=(0, 900),
    )  # fmt: skip
    idle_speed = dimension("speed of that idle", "speed", measure="tachometer", plausible=(400, 1500))
    hot_running = dimension(
        "oil pressure well above idle, oil hot", "pressure", measure="the same gauge, held at a steady speed",
        tools=("pressure-gauge",), plausible=(0, 1200),
    )  # fmt: skip
    running_speed = dimension("speed of that reading", "speed", measure="tachometer", plausible=(1500, 8000))
    cold_highest = dimension(
        "highest oil pressure just after a cold start", "pressure", measure="watch the gauge for the first minute",
        tools=("pressure-gauge",), plausible=(0, 2000),
    )  # fmt: skip


__all__ = ["GEARS", "CamBearings", "CamGear", "DriveGear", "FeedHole", "OilReadings"]
