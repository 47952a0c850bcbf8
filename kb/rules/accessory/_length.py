"""What the belt-length rule shows beside the one figure."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from kb.rules.accessory._drive import Drive, crank_of

LOW, HIGH = 0.2, 0.8  # the middle 60 % of the travel


def length_detail(drive: Drive, stock: Sequence[Any] = ()) -> dict[str, Any]:
    """`travel` as figures, the drawing, and `notes`: where the arm stands, which lengths suit, which of the stock."""
    shortest, longest = sorted(drive.length_at(share) for share in (LOW, HIGH))
    middle = drive.length_at(0.5)
    arm = drive.arms[0]
    angle = math.degrees(arm.free + drive.at * (arm.wound - arm.free))
    suits = sorted(
        (abs(each.effective_length - middle), each.id, each.effective_length)
        for each in stock
        if shortest <= each.effective_length <= longest
    )
    notes = [
        f"with this belt the arm stands at {angle:.0f} deg; the way round is {_mm(drive.length_at(0.0))} at the free "
        f"stop and {_mm(drive.length_at(1.0))} at the wound one",
        f"effective lengths from {_mm(shortest)} to {_mm(longest)} keep the arm in the middle 60 % of its travel; "
        f"{_mm(middle)} is the middle",
    ]
    if stock:
        named = ", ".join(f"{id} ({_mm(length)})" for _, id, length in suits)
        notes.append(f"of the lengths it is sold in, best first: {named}" if named else "no length it is sold in suits")
    notes.extend(_tight_side(drive))
    return {
        "travel": {
            "share": drive.share, "free": drive.length_at(0.0), "wound": drive.length_at(1.0), "middle": middle,
            "least": shortest, "most": longest, "suits": [id for _, id, _ in suits],
        },
        "notes": notes,
        **drive.drawn(),
    }  # fmt: skip


def _mm(value: float) -> str:
    return f"{value * 1e3:.1f} mm"


def _tight_side(drive: Drive) -> list[str]:
    """A word where the arm stands between the crank and the last thing that the belt drives: the tight side."""
    entries = drive.entries
    try:
        crank = crank_of(entries)
        along = drive.travels_along()
    except ValueError:
        return []
    step = -1 if along else 1
    at = (crank + step) % len(entries)
    while entries[at].drives == "idler" and at != crank:
        if hasattr(entries[at], "arm"):
            return [f"{entries[at].id} stands in the tight side of the belt, where the load pushes its arm back"]
        at = (at + step) % len(entries)
    return []
