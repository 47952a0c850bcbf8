"""The engine rocks on its mounts: what is fixed beside it must stay clear of every accessory."""

from kb.roles import engine_bay
from kb.rules._rule import Case, Limit, mm, rule


@rule(
    "side-room",
    "chassis",
    "length",
    "linear",
    asks="Do accessories and exhaust clear wing and frame when the engine rocks?",
    limits=(
        Limit.at_least(
            15 * mm,
            why="the engine rocks against the wing or the frame and chews it",
            harm="wears",
            milestone="drive",
            fix="a torque strap or mount stop, a shorter belt or another bracket",
            source="builders-guide",
        ),
    ),
    cases=(
        Case({"gap": 30 * mm}, 30 * mm, True, "as given"),
        Case({"gap": 15 * mm}, 15 * mm, True, "on the limit"),
        Case({"gap": 4 * mm}, 4 * mm, False, "as given"),
    ),
    advice="A wood block of the least gap is gauge enough.",
)
def side_room(gap=engine_bay.side_gap):
    """gap = nearest accessory or pipe to wing or frame, as measured in the car"""
    return gap
