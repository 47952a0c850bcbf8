"""Old mounts sag: what cleared the steering and the hood last year sits lower today, and the pipe with it."""

from kb.roles import engine_bay
from kb.rules._rule import Case, Limit, mm, rule


@rule(
    "mount-sag",
    "chassis",
    "length",
    "linear",
    asks="Is room left at the steering once the mounts have sagged as far again?",
    limits=(
        Limit.at_least(
            0.0,
            why="when the mounts sag as far again, the engine or its pipe rests on the steering",
            harm="fire",
            milestone="drive",
            fix="new mounts, or mounts raised by what they have sagged",
            source="definition",
        ),
        Limit.at_least(
            15 * mm,
            why="rock and heat use up what room is left",
            harm="fire",
            milestone="drive",
            fix="new mounts, or mounts raised by what they have sagged",
            source="memory",
        ),
    ),
    cases=(
        Case({"gap": 40 * mm, "sag": 3 * mm}, 37 * mm, True, "hand sum"),
        Case({"gap": 20 * mm, "sag": 5 * mm}, 15 * mm, True, "on the usual limit"),
        Case({"gap": 12 * mm, "sag": 4 * mm}, 8 * mm, None, "hand sum"),
        Case({"gap": 6 * mm, "sag": 11 * mm}, -5 * mm, False, "hand sum"),
    ),
    caution="A steering that can jam is not driven, not even across the yard. Work under a car only on stands, wheels chocked.",
)
def mount_sag(gap=engine_bay.steering_gap, sag=engine_bay.mount_sag):
    """room = gap at the steering today - how far the mounts have sagged already"""
    return gap - sag
