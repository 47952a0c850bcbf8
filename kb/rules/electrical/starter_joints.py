"""One bad crimp spoils a good cable: a tenth of a volt across a joint while the starter turns is warm to the hand."""

from kb.roles import battery_circuit, feed_cable, return_cable
from kb.rules._rule import Case, Limit, optional, rule
from kb.rules.electrical._cable import Joint


@rule(
    "starter-joints",
    "electrical",
    "voltage",
    "stations",
    asks="Does every single joint in the starter's cables lose little enough?",
    limits=(
        Limit.at_most(
            0.1,
            why="a joint that loses more heats up, and gets worse by it",
            harm="no_start",
            milestone="crank",
            fix="clean it to bright metal, crimp a new lug, tighten, and seal it",
            source="service-manual",
        ),
    ),
    cases=(
        Case({"current": 200.0, "out": [Joint(0.0002)], "back": [Joint(0.0003)]}, 0.06, True, "Ohm's law"),
        Case({"current": 200.0, "out": [Joint(0.0005)], "back": []}, 0.1, True, "on the limit"),
        Case(
            {"current": 200.0, "out": [Joint(0.0002)], "back": [Joint(0.01)]}, 2.0, False, "ele-04 of the check values"
        ),
    ),
    worst="most",
    caution="A joint that is hot to the touch can light the jacket of its cable.",
)
def starter_joints(
    current=battery_circuit.cranking_current,
    out=feed_cable.joints.of("resistance"),
    back=optional(return_cable.joints.of("resistance"), absent=()),
):
    """drop = current x resistance, at each joint"""
    found = [(f"feed {joint.id}", current * joint.resistance) for joint in out]
    found += [(f"return {joint.id}", current * joint.resistance) for joint in back]
    return found or [("no joint", 0 * current)]
