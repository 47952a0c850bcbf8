"""Too tight it whines after the engine has fired, too loose it whines while cranking and chews the ring."""

from kb.roles import starter
from kb.rules._rule import Case, Limit, mm, rule


@rule(
    "starter-mesh-clearance",
    "crank",
    "length",
    "smooth",
    asks="Is the gap between the ring's tips and the pinion's roots right?",
    limits=(
        Limit.at_least(
            0.5 * mm,
            why="tighter than .020 in it whines after firing and breaks the starter's nose",
            harm="wears",
            milestone="crank",
            fix="shims under both ears of the starter",
            source="service-manual",
        ),
        Limit.at_most(
            1.5 * mm,
            why="looser than .060 in only the tips carry, and they chip",
            harm="wears",
            milestone="crank",
            fix="fewer shims, or a shim under the outboard ear only",
            source="service-manual",
        ),
    ),
    cases=(
        Case({"gap": 1.0 * mm}, 1.0 * mm, True, "as given"),
        Case({"gap": 1.5 * mm}, 1.5 * mm, True, "on the limit, .060 in"),
        Case({"gap": 0.2 * mm}, 0.2 * mm, False, "as given"),
        Case({"gap": 2.4 * mm}, 2.4 * mm, False, "as given"),
    ),
    caution="Disconnect the battery before a hand goes near the pinion.",
)
def starter_mesh_clearance(gap=starter.mesh_gap):
    """gap = ring tooth tip to pinion root, at the ring's highest tooth"""
    return gap * 1
