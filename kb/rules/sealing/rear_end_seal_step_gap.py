"""The strip in the rear arch must fill the gap under the cap, not hang in it and not hold the pan down."""

from kb.roles import block, pan, rear_end_seal
from kb.rules._rule import Case, Limit, mm, percent, rule


@rule(
    "rear-end-seal-step-gap",
    "sealing",
    "percent",
    "smooth",
    asks="Is the rear end seal squeezed between the arches as rubber must be?",
    limits=(
        Limit.at_least(
            0.0,
            why="the strip does not touch both arches and the oil runs out",
            harm="leaks",
            milestone="prime",
            fix="the thicker of the two seals in the set",
            source="definition",
            name="touches",
        ),
        Limit.at_most(
            100 * percent,
            why="the arches leave no room for any strip",
            harm="leaks",
            milestone="prime",
            fix="the pan or the cover of the other depth",
            source="definition",
            name="room",
        ),
        Limit.at_least(
            10 * percent,
            why="a strip squeezed less does not seal",
            harm="leaks",
            milestone="fire",
            fix="the thicker of the two seals in the set, sealant at the junctions only",
            source="memory",
        ),
        Limit.at_most(
            50 * percent,
            why="a strip squeezed more bows the pan and lifts the gasket beside it",
            harm="leaks",
            milestone="fire",
            fix="the thinner of the two seals in the set",
            source="memory",
        ),
    ),
    when={block.rear_seal: ("two_piece",)},
    cases=(
        Case({"in_pan": 52 * mm, "above": 45 * mm, "seal": 10 * mm}, 0.3, True, "gap 7 mm, 3 of 10 mm squeezed"),
        Case({"in_pan": 52 * mm, "above": 43 * mm, "seal": 10 * mm}, 0.1, True, "on the limit"),
        Case({"in_pan": 52 * mm, "above": 48 * mm, "seal": 10 * mm}, 0.6, None, "gap 4 mm: bows the pan"),
        Case(
            {"in_pan": 52 * mm, "above": 45 * mm, "seal": 6 * mm},
            -1 / 6,
            False,
            "the thin seal in the gap of the thick one",
        ),
    ),
    advice="Aim at 20 to 40 % (from memory). Where rubber and cork ends overlap is the weak spot.",
)
def rear_end_seal_step_gap(in_pan=pan.rear_arch_radius, above=block.rear_arch_radius, seal=rear_end_seal.thickness):
    """squeeze = (seal - gap) / seal, gap = radius of the pan's arch - radius of the arch above"""
    return (seal - (in_pan - above)) / seal
