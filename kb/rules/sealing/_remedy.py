"""What the sealing rules show beside the one figure: every station, and remedies that the same computation re-checks."""

from __future__ import annotations

from typing import Any

from kb.rules.sealing._joint import NO_CLAMP, Joint
from kb.standards.seating_remedies import remedies

WANTED = 0.2  # squeeze that a remedy must reach: the lower end of the usual range for a rubber bead (from memory)
_SORT = {"bead": "gasket"}


def joint_detail(joint: Joint, passages: bool) -> dict[str, Any]:
    """`stations` with gap and squeeze, `worst` by name; where that does not seal, its row `unsealed`; `remedies`
    where it is squeezed less than wanted.
    """
    if joint.bottomed:
        return {"stations": [], "worst": "", "notes": ["the stop is as thick as the free gasket: nothing is squeezed"]}
    result = joint.result
    rows = [
        {
            "id": station.id,
            "x": station.x,
            "y": station.y,
            "bolt": station.load > 0,
            "passage": station.passage,
            "face": station.face,
            "gap": each.gap,
            "gap_rigid": each.gap_rigid,
            "closable": each.closable,
            "squeeze": each.squeeze,
            "clamped": each.clamped,
            "outside": each.outside,
            "sealed": each.squeeze > 0 and (each.clamped or not station.passage),
            "missing": max(0.0, each.gap - station.free),
        }
        for station, each in zip(joint.stations, result.stations, strict=True)
    ]
    mine = [at for at, station in enumerate(joint.stations) if joint.judged(station, passages)]
    index = min(mine, key=lambda at: result.stations[at].counted, default=None)
    details: dict[str, Any] = {"stations": rows, "worst": rows[index]["id"] if index is not None else ""}
    if index is None:
        return details
    worst = rows[index]
    least = result.stations[index].counted
    if least <= 0:
        details["unsealed"] = worst
    if least < WANTED:
        details["remedies"] = [
            {
                "sort": _SORT.get(each.kind, each.kind),
                "station": each.station,
                "amount": each.amount,
                "squeeze": each.worst_squeeze_after,
                "holds": each.holds,
            }
            for each in remedies(joint.stations, index, squeeze_min=WANTED, stiffness_ei=joint.ei)
        ]
    return details


__all__ = ["NO_CLAMP", "WANTED", "joint_detail"]
