"""At the low tooth the gap is the widest: a coil's voltage falls fast with it, and at cranking speed there is none to
spare."""

from kb.roles import block, crank_sensor, trigger_wheel
from kb.rules._rule import Case, Limit, mm, rule


@rule(
    "sensor-gap-most",
    "trigger",
    "length",
    "linear",
    asks="Is the lowest tooth still near enough for the sensor?",
    limits=(
        Limit.at_most(
            crank_sensor.gap_most,
            why="farther than this the signal is lost at cranking speed",
            harm="no_start",
            milestone="fire",
            fix="take a spacer out, or trim the bracket under the sensor",
            source="service-manual",
            name="makers_most",
        ),
    ),
    cases=(
        Case({"seat": 100 * mm, "wheel": 75 * mm, "nose": 24 * mm, "spacer": 0.0, "runout": 0.1 * mm, "makers_most": 1.25 * mm},
             1.05 * mm, True, "hand sum"),
        Case({"seat": 100 * mm, "wheel": 75 * mm, "nose": 24 * mm, "spacer": 0.2 * mm, "runout": 0.1 * mm, "makers_most": 1.25 * mm},
             1.25 * mm, True, "on the limit"),
        Case({"seat": 100 * mm, "wheel": 75 * mm, "nose": 22 * mm, "spacer": 0.0, "runout": 0.2 * mm, "makers_most": 1.25 * mm},
             3.1 * mm, False, "hand sum"),
    ),
)  # fmt: skip
def sensor_gap_most(
    seat=block.sensor_seat_radius,
    wheel=trigger_wheel.radius,
    nose=crank_sensor.nose_length,
    spacer=crank_sensor.spacer,
    runout=trigger_wheel.runout,
):
    """gap = seat radius - wheel radius - nose + spacer + half the runout"""
    return seat - wheel - nose + spacer + runout / 2
