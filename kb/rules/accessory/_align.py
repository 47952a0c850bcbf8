"""Planes of the pulleys, and what brings each back, re-checked by the same computation."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from kb.rules.accessory._drive import Drive, crank_of, plane_of
from kb.standards.belt_drive import misalignment

WANTED = math.radians(0.25)  # what a remedy must reach: the lower end of the aim for ribbed belts (from memory)
_ROUND = 1e-4  # shims are offered in tenths of a millimetre
DRAWN = "drawn in the layout"  # hub height of the pump when no pump is chosen


def planes_of(entries: Sequence[Any], pump_hub: Any) -> list[float]:
    """Planes, m, in list order; the pump that was chosen stands in with its own hub height."""
    return [
        plane_of(each) + (pump_hub - each.hub if each.drives == "water_pump" and pump_hub != DRAWN else 0.0)
        for each in entries
    ]


def angles(planes: Sequence[float], spans: Sequence[float]) -> list[float]:
    """Misalignment, rad, over each span; positive where the second pulley stands ahead."""
    others = [*planes[1:], planes[0]]
    # Sums of like figures in another order differ by less than an atom: no angle.
    steps = [round(there - here, 12) for here, there in zip(planes, others, strict=True)]
    return [misalignment(0.0, step, span) for step, span in zip(steps, spans, strict=True)]


def alignment_detail(drive: Drive, pump_hub: Any) -> dict[str, Any]:
    """`planes` and `askew` as figures; where a span is askew, `notes` with the shims or spacers that cure it."""
    planes = planes_of(drive.entries, pump_hub)
    spans = drive.route.spans
    found = angles(planes, spans)
    names = [each.id for each in drive.entries]
    detail: dict[str, Any] = {
        "planes": [{"id": name, "plane": plane} for name, plane in zip(names, planes, strict=True)],
        "askew": [
            {"span": name, "length": span, "angle": angle}
            for name, span, angle in zip(drive.span_names, spans, found, strict=True)
        ],
    }
    if max(map(abs, found)) > WANTED:
        single = _single(drive, planes)
        detail["notes"] = [*single, *_to_the_crank(drive, planes, bool(single))]
    return detail


def _single(drive: Drive, planes: list[float]) -> list[str]:
    """The pulleys of which moving just one makes the whole drive true, the least move first."""
    cures = []
    for at, each in enumerate(drive.entries):
        rest = [plane for other, plane in enumerate(planes) if other != at]
        move = _rounded((max(rest) + min(rest)) / 2 - planes[at])
        moved = [*planes[:at], planes[at] + move, *planes[at + 1 :]]
        worst = max(map(abs, angles(moved, drive.route.spans)))
        if move and worst <= WANTED:
            cures.append((abs(move), f"one move cures it: {_words(each, move)} {_checked(worst)}"))
    return [words for _, words in sorted(cures)[:2]]


def _to_the_crank(drive: Drive, planes: list[float], cured: bool) -> list[str]:
    """Every pulley brought to the crank's plane; nothing where one move that is named already does it."""
    try:
        target = planes[crank_of(drive.entries)]
    except ValueError:
        target = planes[0]
    moves = [_rounded(target - plane) for plane in planes]
    moved = [plane + move for plane, move in zip(planes, moves, strict=True)]
    worst = max(map(abs, angles(moved, drive.route.spans)))
    todo = [_words(each, move) for each, move in zip(drive.entries, moves, strict=True) if move]
    if cured and len(todo) < 2:
        return []
    return [f"to bring all to the crank's plane: {'; '.join(todo)} {_checked(worst)}"]


def _rounded(move: float) -> float:
    return round(move / _ROUND) * _ROUND


def _checked(worst: float) -> str:
    return f"(re-checked: the worst span is then {math.degrees(worst):.2f} deg askew)"


def _words(entry: Any, move: float) -> str:
    amount = f"{abs(move) * 1e3:.1f} mm"
    if entry.drives == "crank":
        return f"a spacer of {amount} behind the crank pulley" if move > 0 else f"{amount} off the crank pulley's seat"
    if entry.drives == "water_pump" and move > 0:
        return f"a spacer of {amount} behind the pulley of {entry.id}"
    if move > 0:
        return f"shims of {amount} under all feet of {entry.id}, or a spacer as thick behind its pulley"
    if entry.shim >= -move - 1e-9:
        return f"{amount} of the shims out from under {entry.id}"
    return f"{entry.id} back by {amount}: shims out, bracket or hub faced, or a pulley of other depth"
