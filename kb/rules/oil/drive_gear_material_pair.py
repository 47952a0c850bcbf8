"""Cam gear and distributor gear must suit each other: the harder one eats the other and sends the chips to the bearings."""

from kb.maths import pair_in
from kb.roles import cam_gear, drive_gear
from kb.rules._rule import Case, Limit, rule

# Cam gear, drive gear. Read in two trade pages: like for like, bronze or polymer on a hard steel cam.
_GOOD = frozenset({
    ("cast_iron", "cast_iron"), ("billet_steel", "bronze"), ("billet_steel", "polymer"), ("cast_iron", "polymer"),
    ("cast_iron", "bronze"), ("billet_steel", "billet_steel"),
})  # fmt: skip


@rule(
    "drive-gear-material-pair",
    "oil",
    "number",
    "count",
    asks="Do the metals of cam gear and drive gear suit each other?",
    limits=(
        Limit.at_least(
            1,
            why="the harder gear strips the other, often within the first half hour, and the chips reach the bearings",
            harm="destroys",
            milestone="fire",
            fix="a drive gear in the metal that the cam's maker names: iron on iron, bronze or polymer on billet steel",
            source="trade-page",
        ),
    ),
    cases=(
        Case({"cam": "cast_iron", "gear": "cast_iron"}, 1, True, "on the limit, trade page: like for like"),
        Case({"cam": "billet_steel", "gear": "bronze"}, 1, True, "trade page: bronze is the exception, and wears"),
        Case({"cam": "billet_steel", "gear": "cast_iron"}, 0, False, "trade page"),
    ),
    advice="A bronze gear is a wearing part: look at it each season. Blue the teeth once and see that they bear in the middle.",
)
def drive_gear_material_pair(cam=cam_gear.material, gear=drive_gear.material):
    """suited = 1 if the two metals are a pair that lasts, else 0"""
    return pair_in(cam, gear, _GOOD)
