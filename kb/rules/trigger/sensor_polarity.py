"""A coil sensor wired backwards still gives a signal, but the edge that the controller times by wanders with speed, and
at the gap it counts a tooth too many."""

from kb.roles import controller, crank_sensor, sensor_loom, trigger_wheel
from kb.rules._rule import Case, Limit, rule


@rule(
    "sensor-polarity",
    "trigger",
    "number",
    "count",
    asks="Is the coil sensor wired the right way round for this wheel?",
    limits=(
        Limit.at_least(
            1,
            why="the controller times by the edge that moves with speed: it starts, then loses its place",
            harm="no_start",
            milestone="fire",
            fix="swap the sensor's two leads at the plug, or set the other edge",
            source="controller-docs",
        ),
    ),
    when={crank_sensor.sense: ("reluctor_coil",)},
    cases=(
        Case({"marked": "positive", "wired": "as_marked", "cut": "missing_teeth", "edge": "falling"}, 1, True,
             "on the limit; controller documentation: positive as iron comes near, for missing teeth"),
        Case({"marked": "positive", "wired": "swapped", "cut": "missing_teeth", "edge": "falling"}, 0, False, "swapped"),
        Case({"marked": "positive", "wired": "swapped", "cut": "missing_slots", "edge": "falling"}, 1, True,
             "controller documentation: reversed for missing slots"),
        Case({"marked": "negative", "wired": "as_marked", "cut": "missing_teeth", "edge": "rising"}, 1, True,
             "the mirror image, timed by the other edge"),
        Case({"marked": "negative", "wired": "as_marked", "cut": "even", "edge": "either"}, 1, True, "the edge can be set"),
    ),
    advice="The good edge is the steep one, where a tooth's middle stands under the nose.",
    detail=lambda marked, wired, cut, edge: {
        "notes": [f"+ lead {marked} as iron comes near, wired {wired.replace('_', ' ')}, wheel with {cut.replace('_', ' ')}, timed by the {edge} edge"]
    },
)  # fmt: skip
def sensor_polarity(
    marked=crank_sensor.marked_polarity, wired=sensor_loom.polarity, cut=trigger_wheel.cut, edge=controller.edge
):
    """right = 1 if an even number of marking, wiring, gap and edge are the other way from the usual, or the edge is free"""
    others = (marked != "positive") + (wired != "as_marked") + (cut == "missing_slots") + (edge == "rising")
    return int(edge == "either" or others % 2 == 0)
