"""A fan follows the belt's way, or its wires: turned against its blades it blows out of the nose, and a small bare fan
draws through a patch of the core only."""

from math import pi
from typing import Any

from kb.maths import is_in, pair_in
from kb.roles import fan
from kb.rules._rule import Case, Limit, percent, rule

_SAME = frozenset({("clockwise", "clockwise"), ("anticlockwise", "anticlockwise")})


def _given(
    turns: Any = "clockwise",
    throws: Any = "clockwise",
    cupped: Any = "clockwise",
    fans: Any = 1,
    shape: Any = "shroud",
    width: Any = 0.6,
    height: Any = 0.42,
) -> Any:
    return {
        "turns": turns, "throws": throws, "cupped": cupped, "fans": fans, "shape": shape, "width": width,
        "height": height, "core_width": 0.6, "core_height": 0.45,
    }  # fmt: skip


@rule(
    "fan-direction-and-cover",
    "accessory",
    "percent",
    "smooth",
    asks="Does the fan turn the way of its blades, and draw through enough of the core?",
    limits=(
        Limit.at_least(
            70 * percent,
            why="too little of the core has air drawn through it: the engine boils in traffic",
            harm="destroys",
            milestone="drive",
            fix="turning wrong: swap the two wires, turn the blades round or fit the fan of the other hand; else a shroud "
            "over the core, or a larger fan",
            source="practice",
        ),
    ),
    cases=(
        Case(_given(), 0.42 / 0.45, True, "hand sum"),
        Case(_given(width=0.45), 70 * percent, True, "on the limit: 0.45 x 0.42 of 0.6 x 0.45"),
        Case(
            _given(shape="ring", width=0.305, height=0.305), pi / 4 * 0.305**2 / 0.27, False, "a bare 12 in fan", 1e-12
        ),
        Case(
            _given(fans=2, shape="ring", width=0.35, height=0.35), pi / 2 * 0.35**2 / 0.27, True, "two of 350 mm", 1e-12
        ),
        Case(_given(turns="anticlockwise"), 0.0, False, "wires swapped: it blows forward"),
        Case(_given(cupped="anticlockwise"), 0.0, False, "blades back to front: it still pulls, but weakly"),
    ),
    detail=lambda *given: {"notes": _told(*given[:3])},
    advice="Paper held against the grille tells at once: it must be drawn in.",
    caution="Keep hands and sleeves out; an electric fan may start with the ignition off.",
)
def fan_direction_and_cover(
    turns=fan.turns,
    throws=fan.throws,
    cupped=fan.cupped,
    fans=fan.fans,
    shape=fan.shape,
    width=fan.cover_width,
    height=fan.cover_height,
    core_width=fan.core_width,
    core_height=fan.core_height,
):
    """cover = fans x shroud (or circle) area / core area if it turns the way of its blades, else 0"""
    right = pair_in(turns, throws, _SAME) * pair_in(turns, cupped, _SAME)
    face = pi / 4 + (1 - pi / 4) * is_in(shape, ("shroud",))
    return right * fans * face * width * height / (core_width * core_height)


def _told(turns: Any, throws: Any, cupped: Any) -> Any:
    notes = []
    if turns != throws:
        notes.append(f"it turns {turns} and its blades throw to the rear turning {throws}: it blows out of the nose")
    if turns != cupped:
        notes.append(f"it turns {turns} and its blades are cupped for {cupped}: it moves little air")
    return notes
