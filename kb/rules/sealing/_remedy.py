"""What the sealing rules show beside the one figure: every station, and remedies that the same computation re-checks."""

from __future__ import annotations

from typing import Any

from kb.rules.sealing._joint import NO_CLAMP, Joint
from kb.standards.seating import sealing
from kb.standards.seating_remedies import remedies

WANTED = 0.2  # squeeze that a remedy must reach: the lower end of the usual range for a rubber bead (from memory)
_SORT = {"bead": "gasket"}


def joint_detail(joint: Joint, passages: bool) -> dict[str, Any]:
    """`stations` with gap and squeeze, `worst` by name, `notes`, and `remedies` where the worst does not seal."""
    if joint.bottomed:
        return {"stations": [], "worst": "", "notes": ["the stop is as thick as the free gasket: nothing is squeezed"]}
    result = joint.result
    judged = sealing(joint.stations, result, squeeze_min=WANTED)
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
    index = judged.worst_passage if passages else judged.worst_rail
    mine = [squeeze for _, squeeze in joint.squeezes(passages)]
    details: dict[str, Any] = {"stations": rows, "worst": rows[index]["id"] if index is not None else "", "notes": []}
    if index is None:
        return details
    worst = rows[index]
    if min(mine) <= 0:
        details["notes"].append(_words(worst))
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


def _words(worst: dict[str, Any]) -> str:
    name = f"{worst['id']}" + (f" (passage {worst['passage']})" if worst["passage"] else "")
    if not worst["clamped"] and worst["passage"]:
        return f"{name} is not sealed: it lies {1000 * worst['outside']:.1f} mm outside what the bolts clamp"
    return (
        f"{name} is not sealed: the gap is {1000 * worst['gap']:.2f} mm, {1000 * worst['missing']:.2f} mm more than the free "
        f"gasket; the bolts could draw in {1000 * worst['closable']:.2f} mm of a rigid gap of {1000 * worst['gap_rigid']:.2f} mm"
    )


__all__ = ["NO_CLAMP", "WANTED", "joint_detail"]
