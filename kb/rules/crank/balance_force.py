"""What is left over between the weight that a crank asks for and the weight that it gets turns with it, and its pull grows with
the square of the speed."""

from __future__ import annotations

from typing import Any

from kb.roles import crank, damper, drive_plate, duty
from kb.rules._rule import Case, Limit, rule
from kb.standards.crank_train import imbalance_force

_OZ_IN = 0.000720077887375  # kg.m; one ounce at one inch
_BAD = imbalance_force(21.8 * _OZ_IN, 3000 / 60)


def _ends(front: Any, front_due: Any, rear: Any, rear_due: Any, speed: Any) -> list[tuple[str, Any]]:
    return [
        ("front", imbalance_force(front - front_due, speed)),
        ("rear", imbalance_force(rear - rear_due, speed)),
    ]


def _words(front, front_due, rear, rear_due, speed):
    notes = []
    for name, has, due in (("front", front, front_due), ("rear", rear, rear_due)):
        error = has - due
        if abs(error) > 0.05 * _OZ_IN:
            forces = ", ".join(f"{abs(imbalance_force(error, n / 60)):.0f} N at {n} rpm" for n in (1000, 3000, 6000))
            notes.append(f"{name}: {error / _OZ_IN:+.1f} oz-in against what the crank asks for, which is {forces}")
    return {"notes": [*notes, "both weights are taken to stand where the crank's key or pin puts them"]}


@rule(
    "balance-force",
    "crank",
    "force",
    "stations",
    asks="How hard does the imbalance left at each end pull at the rev limit?",
    limits=(
        Limit.at_most(
            _BAD,
            name="known_bad",
            why="a rotating force as large as the well-known wrong plate gives at 3000 rpm, twice the speed at which that shook",
            harm="destroys",
            milestone="drive",
            fix="the damper or plate of this crank's balance, or have the set rebalanced together",
            source="trade-page",
        ),
        Limit.at_least(
            -_BAD,
            name="known_bad_missing",
            why="weight missing: a rotating force as large as the well-known wrong plate gives at 3000 rpm",
            harm="destroys",
            milestone="drive",
            fix="the damper or plate of this crank's balance, or have the set rebalanced together",
            source="trade-page",
        ),
        Limit.at_most(
            500.0,
            name="felt",
            why="a rotating force of about 500 N was felt as a shake",
            harm="wears",
            milestone="drive",
            fix="have it rebalanced",
            source="trade-page",
            usual=True,
        ),
        Limit.at_least(
            -500.0,
            name="felt_missing",
            why="weight missing: a rotating force of about 500 N was felt as a shake",
            harm="wears",
            milestone="drive",
            fix="have it rebalanced",
            source="trade-page",
            usual=True,
        ),
    ),
    cases=(
        Case({"front": 0.0, "front_due": 0.0, "rear": 0.3e-3, "rear_due": 0.0, "speed": 5500 / 60}, 99.5189, True,
             "0.3e-3 kg.m x (576 rad/s)^2, from the definition", 1e-3),
        Case({"front": 0.0, "front_due": 0.0, "rear": 21.8 * _OZ_IN, "rear_due": 0.0, "speed": 3000 / 60}, _BAD, None,
             "on the limit: 21.8 oz-in is 1.5 kN at 3000 rpm"),
        Case({"front": 28.2 * _OZ_IN, "front_due": 28.2 * _OZ_IN, "rear": 50 * _OZ_IN, "rear_due": 28.2 * _OZ_IN, "speed": 6000 / 60},
             6197.2, False, "trade page: 50 on 28.2; 21.8 oz-in is 6.2 kN at 6000 rpm", 0.1),
    ),
    detail=_words,
    worst="most",
)  # fmt: skip
def balance_force(
    front=damper.imbalance,
    front_due=crank.front_imbalance,
    rear=drive_plate.imbalance,
    rear_due=crank.rear_imbalance,
    speed=duty.rev_limit,
):
    """force at each end = (imbalance fitted - imbalance due) x (2 pi speed)^2"""
    return _ends(front, front_due, rear, rear_due, speed)
