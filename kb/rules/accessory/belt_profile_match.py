"""A belt of another section rides high, low or on the wrong angle, and a ribbed one with a rib too many has nowhere to
put it."""

from typing import Any

from kb.roles import belt, belt_layout
from kb.rules._rule import Case, Limit, rule
from kb.rules.accessory._drive import Wheel


def _given(*wheels: Any, profile: Any = "pk", ribs: Any = 6) -> Any:
    return {"pulleys": list(wheels), "tensioners": [], "profile": profile, "ribs": ribs}


@rule(
    "belt-profile-match",
    "accessory",
    "number",
    "count",
    asks="Do section and ribs of the belt suit every pulley?",
    limits=(
        Limit.at_most(
            0,
            why="the belt does not lie in the grooves: it rides on its edge or its tips, squeals and wears out soon",
            harm="wears",
            milestone="drive",
            fix="the belt that is made for these grooves, or the pulley with the other section",
            source="sae-j1459",
        ),
    ),
    cases=(
        Case(_given(Wheel("crank"), Wheel("idler", side="back", profile="flat")), 0, True, "on the limit: all alike"),
        Case(_given(Wheel("crank"), Wheel("alternator", grooves=5)), 1, False, "five grooves for six ribs"),
        Case(_given(Wheel("crank", profile="v13a"), Wheel("pump", profile="v10a"), profile="v10a", ribs=1), 1, False,
             "a narrow V in a wide groove runs on its floor"),
        Case(_given(Wheel("crank"), Wheel("pump", side="back")), 1, False, "grooves under the belt's back"),
        Case(_given(Wheel("crank"), Wheel("idler", profile="flat")), 1, False, "ribs on a flat face"),
    ),
    detail=lambda *given: {"notes": _faults(*given)},
    advice="A pulley with a groove more than the belt has ribs will do if the belt runs in those that its plane was taken from.",
)  # fmt: skip
def belt_profile_match(
    pulleys=belt_layout.pulleys.of("side", "profile", "grooves"),
    tensioners=belt_layout.tensioners.of("side", "profile", "grooves"),
    profile=belt.profile,
    ribs=belt.ribs,
):
    """unlike = pulleys whose section is not the belt's, or that have fewer grooves than it has ribs"""
    return len(_faults(pulleys, tensioners, profile, ribs))


def _faults(pulleys: Any, tensioners: Any, profile: Any, ribs: Any) -> Any:
    found = []
    for each in (*pulleys, *tensioners):
        due = "flat" if each.side == "back" else profile
        if each.profile != due:
            where = "the belt's back runs on" if each.side == "back" else f"a {profile} belt runs on"
            found.append(f"{each.id}: {where} {each.profile}")
        elif each.grooves < ribs:
            found.append(f"{each.id}: {each.grooves} grooves for {ribs} ribs")
    return found
