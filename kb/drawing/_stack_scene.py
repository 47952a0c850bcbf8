"""What the crank-to-converter drawing shows: places along the crank and radii, as the rules see them."""

from __future__ import annotations

from typing import Any, NamedTuple

from kb.build import Build
from kb.drawing._values import Known, ask
from kb.roles import bellhousing, block, converter, crank, crank_spacer, drive_plate, pilot, plate_stack, transmission
from kb.rules._rule import optional
from kb.rules.crank._parts import total

_PLATES = optional(plate_stack.plates.of("thickness"), absent=frozenset())
_SPACER = optional(crank_spacer.thickness, absent=0.0)


class Stack(NamedTuple):
    """Places in m rearward of the block's rear face, radii in m; None where a role is empty or nothing can be said.

    seat: where the plate lies on crank or spacer. pads: the pads bolted up; home: pushed fully home. gear: near face of
    the pump gear. hub, hub_home: end of the hub. tip: forward end of a manual gearbox's input shaft.
    """

    flange: Known | None
    seat: Known | None
    spacer: Known | None
    thickness: Known | None
    pads: Known | None
    pad_thickness: Known | None
    plates: Known | None
    proud: Known | None
    mouth: Known | None
    bottom: Known | None
    nose: Known | None
    home: Known | None
    gap: Known | None
    hub: Known | None
    hub_home: Known | None
    gear: Known | None
    gear_width: Known | None
    bearing: Known | None
    bearing_length: Known | None
    tip: Known | None
    friction: Known | None
    flange_radius: Known | None
    register_radius: Known | None
    bore_radius: Known | None
    nose_radius: Known | None
    hub_radius: Known | None
    pad_radius: Known | None
    tip_radius: Known | None
    bearing_bore: Known | None


def stack_of(build: Build) -> Stack:
    """The stack at the rear of this build's crank."""

    def found(function: Any, *wanted: Any) -> Known | None:
        return ask(build, function, *wanted)

    def half(feature: Any) -> Known | None:
        return found(_half, feature)

    flange, offset, setback = crank.flange_position, drive_plate.pad_offset, converter.setback
    has = build.parts
    flexplate = "drive_plate" in has and has["drive_plate"].facts.get("sort") != "flywheel"
    turning = "converter" in has
    automatic = "transmission" in has and has["transmission"].facts.get("sort") != "manual"
    manual = "transmission" in has and has["transmission"].facts.get("sort") == "manual"
    rest = found(lambda plates, depth: total(plates) + depth, _PLATES, transmission.pump_depth) if automatic else None
    if turning and (rest is None or not rest.sure):
        other = found(lambda plates, back, tall: total(plates) + back + tall, _PLATES, setback, converter.height)
        rest = other if other is not None and (other.sure or rest is None) else rest
    hub = found(_sum, flange, _SPACER, offset, converter.height) if turning and flexplate else None
    gap = found(_gap, setback, _PLATES, flange, _SPACER, offset) if turning and flexplate else None
    if (hub is None or not hub.sure) and rest is not None and rest.sure and gap is not None and gap.sure:
        hub = _ahead(rest, gap)
    return Stack(
        flange=found(_same, flange),
        seat=found(_sum, flange, _SPACER),
        spacer=found(_same, crank_spacer.thickness),
        thickness=found(_same, drive_plate.thickness),
        pads=found(_sum, flange, _SPACER, offset) if flexplate else None,
        pad_thickness=found(_same, drive_plate.pad_thickness) if flexplate else None,
        plates=found(total, plate_stack.plates.of("thickness")),
        proud=found(_same, block.rear_proud),
        mouth=found(_less, flange, crank.pilot_mouth),
        bottom=found(_less, flange, crank.pilot_depth),
        nose=found(lambda a, b, c, d: a + b + c - d, flange, _SPACER, offset, converter.nose_length)
        if turning
        else None,
        home=found(lambda plates, back: total(plates) + back, _PLATES, setback) if turning else None,
        gap=gap,
        hub=hub,
        hub_home=rest if turning else None,
        gear=_ahead(rest, found(_same, converter.hub_engagement)) if turning and automatic else None,
        gear_width=found(_same, transmission.pump_gear_width) if automatic else None,
        bearing=found(_less, flange, pilot.recess) if _seated(build) else None,
        bearing_length=found(_same, pilot.length) if _seated(build) else None,
        tip=found(_tip, _PLATES, bellhousing.depth, transmission.tip_reach) if manual else None,
        friction=found(_sum, flange, drive_plate.friction_height) if "drive_plate" in has and not flexplate else None,
        flange_radius=half(crank.flange_circle),
        register_radius=half(drive_plate.register_bore),
        bore_radius=half(crank.pilot_bore),
        nose_radius=half(converter.nose_diameter),
        hub_radius=half(converter.hub_diameter),
        pad_radius=half(converter.pad_circle if turning else drive_plate.pad_circle),
        tip_radius=half(transmission.tip_diameter) if manual else None,
        bearing_bore=half(pilot.bore),
    )


def _seated(build: Build) -> bool:
    """Whether a bearing, bush or sleeve is known to sit in the bore."""
    return "pilot" in build.parts and build.parts["pilot"].facts.get("sort") in ("bearing", "bush", "sleeve")


def _half(value: Any) -> Any:
    return value / 2


def _same(value: Any) -> Any:
    return value


def _sum(*values: Any) -> Any:
    return sum(values)


def _less(value: Any, other: Any) -> Any:
    return value - other


def _gap(setback: Any, plates: Any, flange: Any, spacer: Any, offset: Any) -> Any:
    return setback + total(plates) - (flange + spacer + offset)


def _tip(plates: Any, depth: Any, reach: Any) -> Any:
    return total(plates) + depth - reach


def _ahead(place: Known | None, by: Known | None) -> Known | None:
    """A place that lies `by` ahead of another."""
    if place is None or by is None:
        return None
    low, high = place.low - by.high, place.high - by.low
    spread = (place.u**2 + by.u**2) ** 0.5
    return Known(place.value - by.value, spread, place.sure and by.sure, "", low, high)
