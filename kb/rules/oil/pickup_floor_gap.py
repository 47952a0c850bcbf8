"""Too near the floor chokes the screen, too far lets it see air on a slope or in a turn: the foot must hang a
finger's breadth above the floor under it, not above the deepest point of the pan."""

from kb.roles import pan, pan_gasket, pickup, windage_tray
from kb.rules._rule import Case, Limit, mm, optional, rule


@rule(
    "pickup-floor-gap",
    "oil",
    "length",
    "linear",
    asks="Does the pickup foot hang at the right height above the floor under it?",
    limits=(
        Limit.at_least(
            1.5 * mm,
            why="nearer than this the floor chokes the screen, and a dent in the pan closes it",
            harm="destroys",
            milestone="prime",
            fix="a pickup that hangs less deep, a deeper pan, or a thicker gasket",
            source="trade-page",
        ),
        Limit.at_most(
            12.7 * mm,
            why="farther than this the foot sees air on a slope or in a turn",
            harm="destroys",
            milestone="drive",
            fix="a pickup that hangs deeper or a shallower pan; never re-bend a brazed tube cold",
            source="practice",
        ),
    ),
    cases=(
        Case({"depth": 190 * mm, "gasket": 1.5 * mm, "tray": 0.0, "hang": 185 * mm}, 6.5 * mm, True, "hand sum"),
        Case(
            {"depth": 188 * mm, "gasket": 1.0 * mm, "tray": 0.5 * mm, "hang": 188 * mm}, 1.5 * mm, True, "on the limit"
        ),
        Case({"depth": 175 * mm, "gasket": 1.5 * mm, "tray": 0.0, "hang": 181 * mm}, -4.5 * mm, False, "hand sum"),
        Case({"depth": 205 * mm, "gasket": 1.5 * mm, "tray": 1.0 * mm, "hang": 181 * mm}, 26.5 * mm, False, "hand sum"),
    ),
    advice="Aim at 6.4 mm (1/4 in), 9.5 mm (3/8 in) at most in a shallow pan: common practice, no published source.",
)
def pickup_floor_gap(
    depth=pan.sump_depth,
    gasket=pan_gasket.installed_thickness,
    tray=optional(windage_tray.rim_thickness, absent=0.0),
    hang=pickup.hang,
):
    """gap = depth under the foot + clamped gasket + tray rim - hang of the foot"""
    return depth + gasket + tray - hang
