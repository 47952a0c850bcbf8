"""Kinds of part of the accessory drive: belt, its layout, water pump, fan, brackets.

Directions, used by every kind here: seen from the front of the engine, x to your right, y up, both from the crank's
centre; planes count forward from the front face of the block. Clockwise is as you see it standing in front.
"""

from __future__ import annotations

from kb.records._kind import Item, Kind, choice, count, dimension, length, many, text
from kb.standards.belts import PROFILES

DRIVES = (
    "crank", "water_pump", "alternator", "steering_pump", "air_pump", "air_conditioning", "vacuum_pump", "supercharger",
    "fan", "idler",
)  # fmt: skip
WAYS = ("clockwise", "anticlockwise")


class BeltPulley(Item):
    """What is the same for every pulley of a layout."""

    id = text("name of the pulley: crank, alternator, idler-top")
    drives = choice("what sits behind it", *DRIVES, measure="look", tools=("eye",))
    diameter = length(
        "effective diameter; of a pulley that runs on the belt's back, its outside diameter",
        measure="V-ribbed: caliper over two 2.5 mm balls in one groove, take off 0.99 mm; single V: where the groove is as wide as its section; back: over the face",
        tools=("caliper",),
        plausible=(30, 320),
    )
    side = choice(
        "which side of the belt runs on it", "rib", "back", measure="trace the belt's way on the sketch", tools=("eye",)
    )
    profile = choice(
        "section of its grooves",
        *PROFILES,
        "flat",
        measure="caliper the width, count, compare with a belt",
        tools=("caliper",),
    )
    grooves = count(
        "grooves; of a flat face how many ribs of belt fit on it",
        measure="count; flat: width over rib pitch",
        tools=("eye",),
    )
    turns = choice(
        "the way it must turn: of the crank the way it does turn",
        *WAYS,
        "either",
        measure="arrow on the body, shape of the impeller or of the fan blades; idlers: either",
        tools=("eye",),
    )
    mount_face = length(
        "front face of the block to the face that the accessory or its bracket is bolted to; behind is negative",
        measure="straight edge across the block's front face, depth gauge",
        tools=("depth-gauge", "straight-edge-feeler"),
        plausible=(-300, 250),
    )
    bracket = length(
        "how far the bracket brings it forward; 0 without one",
        measure="caliper over the bracket from face to face",
        tools=("caliper",),
        plausible=(-150, 250),
    )
    shim = length("shims between them; 0 for none", measure="caliper", tools=("caliper",), plausible=(0, 30))
    hub = length(
        "the accessory's own mounting face to the seat of its pulley; of a crank the shoulder to the pulley's seat",
        measure="depth gauge from the seat to the mounting face",
        tools=("depth-gauge", "caliper"),
        plausible=(-100, 250),
    )
    offset = length(
        "seat of the pulley to the middle of the belt on it; behind the seat is negative",
        measure="caliper from the seat to both edges of the grooves, take the mean",
        tools=("caliper",),
        plausible=(-80, 120),
    )
    load_torque = dimension(
        "largest torque that it asks of the belt; 0 for the crank and for idlers",
        "torque",
        measure="maker's sheet: power / (2 pi x turns a second); a torque wrench on the shaft's nut gives the drag alone",
        tools=("torque-wrench",),
        plausible=(0, 80),
    )
    speed_least = dimension(
        "speed that it needs at idle to do its work; 0 if none", "speed", measure="maker's sheet", plausible=(0, 4000)
    )
    speed_most = dimension(
        "highest speed that its maker allows for long; of an idler that of its bearing",
        "speed",
        measure="maker's sheet",
        plausible=(2000, 25000),
    )


class LayoutPulley(BeltPulley):
    """A pulley whose centre stays where it is."""

    x = length(
        "centre to the right of the crank's, seen from the front",
        measure="level a straight edge over the crank's centre, plumb line and rule; or a photo square-on with a rule in it",
        tools=("steel-rule", "tape"),
        plausible=(-700, 700),
    )
    y = length(
        "centre above the crank's",
        measure="as x",
        tools=("steel-rule", "tape"),
        plausible=(-400, 900),
    )


class Tensioner(BeltPulley):
    """A pulley that swings to hold the belt tight: a spring tensioner, or an accessory that swings on its bolt."""

    after = text("name of the pulley that comes before it along the belt")
    pivot_x = length(
        "pivot to the right of the crank's centre", measure="as x", tools=("steel-rule", "tape"), plausible=(-700, 700)
    )
    pivot_y = length(
        "pivot above the crank's centre", measure="as y", tools=("steel-rule", "tape"), plausible=(-400, 900)
    )
    arm = length("pivot to the pulley's centre", measure="caliper", tools=("caliper",), plausible=(20, 400))
    free = dimension(
        "arm's angle at the stop that the spring pushes it to with no belt on; against the clock from x",
        "angle",
        measure="protractor on the arm against a level; count on past 360 rather than jump",
        tools=("protractor",),
        plausible=(-360, 720),
    )
    wound = dimension(
        "arm's angle at the other stop, wound back to put the belt on",
        "angle",
        measure="wind it back with a bar and hold it; protractor as before",
        tools=("protractor",),
        plausible=(-360, 720),
    )


class StockLength(Item):
    """A length in which this belt is sold."""

    id = text("name or number of that size")
    effective_length = length("effective length", measure="list", plausible=(500, 3500))


class BeltLayout(Kind):
    """The way of one belt round the front of the engine: pulleys in belt order, and what holds it tight."""

    kind = "belt_layout"
    family = "accessory"
    pulleys = many(LayoutPulley, "pulleys with fixed centres, in the order in which the belt meets them")
    tensioners = many(Tensioner, "pulleys that swing to tighten it, each after its neighbour; empty for none")
    tension = dimension(
        "pull in the belt beside the tensioner; without one, the mean pull at rest",
        "force",
        measure="belt tension gauge; or the spring's torque over twice the arm times the sine of half the wrap",
        plausible=(50, 1500),
    )


class Belt(Kind):
    """Accessory belt: section, ribs, length."""

    kind = "belt"
    family = "accessory"
    profile = choice("section", *PROFILES, measure="marking; caliper width and rib pitch", tools=("caliper",))
    ribs = count("ribs; 1 for a single V", measure="count", tools=("eye",))
    effective_length = length(
        "effective length",
        measure="marking; or on two equal pulleys pulled apart: twice the centres plus one effective circumference",
        tools=("tape",),
        plausible=(500, 3500),
    )
    back_offset = length(
        "how far the back stands outside the pulley's effective diameter",
        measure="belt pressed into a pulley: caliper over the belt less the effective diameter, halved",
        tools=("caliper",),
        plausible=(0, 8),
    )
    friction = dimension(
        "coefficient of friction on the pulleys, at the worst you drive in",
        "number",
        measure="maker's figure; dry rubber about 0.3 to 0.5, wet about half",
        plausible=(0.1, 1),
    )
    stock = many(StockLength, "other lengths in which it is sold; empty for none")


class WaterPump(Kind):
    """Water pump with its cover and hub."""

    kind = "water_pump"
    family = "accessory"
    hub_height = length(
        "mounting face to the seat of the pulley on the hub",
        measure="straight edge over the hub, depth gauge to the face; gasket not counted",
        tools=("depth-gauge", "straight-edge-feeler"),
        plausible=(40, 250),
    )
    turns = choice(
        "the way its impeller must turn, seen from the front",
        *WAYS,
        measure="cover off: vanes trail, hollow side behind; or the volute opens that way; the part number decides, not the bolts",
        tools=("eye",),
    )


class Fan(Kind):
    """Radiator fan with its shroud; several equal ones side by side count as one part."""

    kind = "fan"
    family = "accessory"
    drive = choice("what turns it", "mechanical", "electric", measure="look", tools=("eye",))
    carried_by = choice(
        "whose pulley carries a mechanical fan; electric: none",
        *DRIVES,
        "none",
        measure="look",
        tools=("eye",),
    )
    turns = choice(
        "the way it does turn, seen from the front of the car; of a mechanical one it follows from the belt's way",
        *WAYS,
        measure="run it a moment and watch it stop; hands out",
        tools=("eye",),
    )
    throws = choice(
        "the way to turn, seen from the front of the car, in which the slope of its blades throws air to the rear",
        *WAYS,
        measure="the edge that leads is the one nearer the front of the car",
        tools=("eye",),
    )
    cupped = choice(
        "the way to turn, seen from the front of the car, that puts the hollow side of each blade behind the air it pushes",
        *WAYS,
        measure="the hollow side looks to where the air is to go and pushes it; compare with an arrow on the hub",
        tools=("eye",),
    )
    fans = count("equal fans or shroud openings side by side", measure="count", tools=("eye",))
    shape = choice(
        "what bounds the air at the core",
        "shroud",
        "ring",
        measure="a shroud is a box close round the core; a ring only circles the blades",
        tools=("eye",),
    )
    cover_width = length(
        "width at the core of one shroud; of a bare fan or ring its diameter",
        measure="tape",
        tools=("tape", "steel-rule"),
        plausible=(100, 1000),
    )
    cover_height = length(
        "height at the core of one shroud; of a bare fan or ring its diameter",
        measure="tape",
        tools=("tape", "steel-rule"),
        plausible=(100, 800),
    )
    core_width = length(
        "width of the finned core", measure="tape, tanks not counted", tools=("tape",), plausible=(150, 1100)
    )
    core_height = length(
        "height of the finned core", measure="tape, tanks not counted", tools=("tape",), plausible=(150, 900)
    )


class BracketBolt(Item):
    """A bolt that holds a bracket to this very head or block."""

    id = text("name of the bolt as on the sketch: upper, lower-left")
    bolt_length = length("length under the head", measure="caliper", tools=("caliper",), plausible=(8, 250))
    shank = length(
        "plain length under the head, to the first full thread",
        measure="caliper",
        tools=("caliper",),
        plausible=(0, 220),
    )
    clamped = length(
        "what it clamps: bracket, spacers, shims and washers",
        measure="caliper over all of it at this bolt",
        tools=("caliper",),
        plausible=(2, 220),
    )
    thread_depth = length(
        "how far such a bolt screws into this hole by hand, bracket off",
        measure="screw the bolt in until it binds, mark it at the face, measure from the mark to its end",
        tools=("caliper", "depth-gauge"),
        plausible=(0, 100),
    )


class Bracket(Kind):
    """Accessory bracket with its bolts."""

    kind = "bracket"
    family = "accessory"
    bolts = many(BracketBolt, "every bolt that holds it")
    feet_step = length(
        "largest gap under one foot when the others stand on a flat plate",
        measure="on a glass or surface plate, feeler under the foot that stands off; then check that the holes' faces agree likewise",
        tools=("straight-edge-feeler", "feeler"),
        plausible=(0, 5),
    )
    feet_distance = length(
        "distance of that foot from the line through the nearest two others",
        measure="rule",
        tools=("steel-rule",),
        plausible=(20, 500),
    )


__all__ = ["Belt", "BeltLayout", "BeltPulley", "Bracket", "BracketBolt", "Fan", "LayoutPulley", "StockLength",
           "Tensioner", "WaterPump"]  # fmt: skip
