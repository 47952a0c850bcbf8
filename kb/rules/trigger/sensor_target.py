"""Each sensor sees one sort of target: a coil wants iron teeth, a bare Hall chip wants magnets, a slot wants a vane."""

from kb.maths import pair_in
from kb.roles import crank_sensor, trigger_wheel
from kb.rules._rule import Case, Limit, rule

# Trade knowledge, gathered from service manuals: which sensor sees which target.
SEES = frozenset(
    {
        ("reluctor_coil", "iron_teeth"),
        ("reluctor_coil", "slotted_plate"),
        ("hall_biased", "iron_teeth"),
        ("hall_biased", "slotted_plate"),
        ("hall_bare", "magnet_ring"),
        ("magnetoresistive", "magnet_ring"),
        ("hall_slot", "vane"),
    }
)


@rule(
    "sensor-target",
    "trigger",
    "number",
    "count",
    asks="Can this sensor see this wheel?",
    limits=(
        Limit.at_least(
            1,
            why="the sensor is blind to such a target: the speed reads zero",
            harm="no_start",
            milestone="fire",
            fix="the sensor made for this wheel, or the other wheel",
            source="service-manual",
        ),
    ),
    cases=(
        Case({"sense": "reluctor_coil", "target": "iron_teeth"}, 1, True, "on the limit, from the table"),
        Case(
            {"sense": "reluctor_coil", "target": "magnet_ring"}, 0, False, "service manual: a magnet ring is invisible"
        ),
        Case({"sense": "hall_bare", "target": "iron_teeth"}, 0, False, "from the table"),
    ),
    caution="A magnet ring is spoiled by knocks, solvent and chips; keep magnets away from swarf.",
)
def sensor_target(sense=crank_sensor.sense, target=trigger_wheel.target):
    """sees = 1 if the pair is one that works, else 0"""
    return pair_in(sense, target, SEES)
