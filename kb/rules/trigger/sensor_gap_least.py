"""At the high tooth the gap is the smallest: if the nose touches there, it breaks."""

from kb.roles import block, crank_sensor, trigger_wheel
from kb.rules._rule import Case, Limit, mm, rule


@rule(
    "sensor-gap-least",
    "trigger",
    "length",
    "linear",
    asks="Does the sensor clear the highest tooth?",
    limits=(
        Limit.at_least(
            0.0,
            why="a tooth that touches the nose breaks it",
            harm="no_start",
            milestone="crank",
            fix="a shim under the sensor",
            source="definition",
        ),
        Limit.at_least(
            crank_sensor.gap_least,
            why="nearer than the sensor's maker allows, heat and bearing play close the gap",
            harm="no_start",
            milestone="fire",
            fix="a shim under the sensor",
            source="service-manual",
            name="makers_least",
        ),
    ),
    cases=(
        Case({"seat": 100 * mm, "wheel": 75 * mm, "nose": 24 * mm, "spacer": 0.0, "runout": 0.1 * mm, "makers_least": 0.5 * mm},
             0.95 * mm, True, "hand sum"),
        Case({"seat": 100 * mm, "wheel": 75 * mm, "nose": 24.45 * mm, "spacer": 0.0, "runout": 0.1 * mm, "makers_least": 0.5 * mm},
             0.5 * mm, True, "on the limit"),
        Case({"seat": 100 * mm, "wheel": 75 * mm, "nose": 26 * mm, "spacer": 0.5 * mm, "runout": 0.0, "makers_least": 0.5 * mm},
             -0.5 * mm, False, "hand sum"),
    ),
    advice="A spacer under the flange adds to the gap. Clay on the nose, one turn by hand, shows it.",
)  # fmt: skip
def sensor_gap_least(
    seat=block.sensor_seat_radius,
    wheel=trigger_wheel.radius,
    nose=crank_sensor.nose_length,
    spacer=crank_sensor.spacer,
    runout=trigger_wheel.runout,
):
    """gap = seat radius - wheel radius - nose + spacer - half the runout"""
    return seat - wheel - nose + spacer - runout / 2
