"""A controller that reads two wheels knows them as a pair: the right crank wheel beside the wrong cam wheel reads double,
or never finds cylinder 1."""

from typing import Any

from kb.roles import cam_wheel as wheel
from kb.roles import controller, trigger_wheel
from kb.rules._rule import Case, Limit, rule
from kb.rules.trigger._teeth import Setting, compare, reading


def _pairs(teeth: str, shaft: str, cam: str, known: Any) -> list[Any]:
    return [
        each for each in reading(teeth, shaft, known) if each.cam and compare(cam, each.cam).sort in ("same", "clocked")
    ]


def _told(teeth: str, shaft: str, cam: str, known: Any) -> dict[str, Any]:
    read = reading(teeth, shaft, known)
    if _pairs(teeth, shaft, cam, known):
        return {"notes": [f"read as {each.id}" for each in _pairs(teeth, shaft, cam, known)]}
    if not read:
        return {"notes": ["no setting reads the crank wheel, so that none reads the pair"]}
    return {"notes": [f"{each.id} expects {each.cam or 'no cam wheel'}, not {cam}" for each in read]}


@rule(
    "cam-wheel",
    "trigger",
    "number",
    "count",
    asks="Does the controller know this cam wheel beside this crank wheel?",
    limits=(
        Limit.at_least(
            1,
            why="with another cam wheel it counts double, or never finds cylinder 1",
            harm="no_start",
            milestone="fire",
            fix="the cam wheel or vane of one of its settings, or wasted spark without the cam",
            source="controller-docs",
        ),
    ),
    cases=(
        Case({"teeth": "60-2", "shaft": "crank", "cam": "1", "known": [Setting("60-2", "1"), Setting("60-2", "4-1")]}, 1, True,
             "on the limit, from the definition"),
        Case({"teeth": "60-2", "shaft": "crank", "cam": "3", "known": [Setting("60-2", "1")]}, 0, False, "from the definition"),
        Case({"teeth": "60-2", "shaft": "crank", "cam": "1", "known": [Setting("60-2")]}, 0, False, "reads the crank only"),
    ),
    detail=_told,
)  # fmt: skip
def cam_wheel(
    teeth=trigger_wheel.teeth,
    shaft=trigger_wheel.shaft,
    cam=wheel.teeth,
    known=controller.decoders.of("teeth", "shaft", "cam"),
):
    """settings = number of the controller's settings that expect this crank wheel and this cam wheel together"""
    return len(_pairs(teeth, shaft, cam, known))
