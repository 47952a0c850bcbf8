"""A mount that sags or an exhaust that grows when hot jams the column, under throttle, in a bend."""

from kb.roles import engine_bay
from kb.rules._rule import Case, Limit, mm, rule


@rule(
    "steering-room",
    "chassis",
    "length",
    "linear",
    asks="Do engine, mounts and exhaust clear the steering, lock to lock, with the engine levered both ways?",
    limits=(
        Limit.at_least(
            0.0,
            why="something touches the steering: it can jam",
            harm="fire",
            milestone="drive",
            fix="raise or brace the mounts, reroute the pipe; do not drive it so",
            source="definition",
        ),
        Limit.at_least(
            25 * mm,
            why="mounts sag, pipes grow and joints wear: less room than this is not left for long",
            harm="fire",
            milestone="drive",
            fix="raise or brace the mounts, reroute the pipe, shield it",
            source="memory",
        ),
    ),
    cases=(
        Case({"gap": 40 * mm}, 40 * mm, True, "as given"),
        Case({"gap": 25 * mm}, 25 * mm, True, "on the limit"),
        Case({"gap": -2 * mm}, -2 * mm, False, "as given"),
    ),
    caution="A steering that can jam is not driven, not even across the yard. Work under a car only on stands, wheels chocked.",
)
def steering_room(gap=engine_bay.steering_gap):
    """gap = nearest part to the steering, as measured in the car"""
    return gap
