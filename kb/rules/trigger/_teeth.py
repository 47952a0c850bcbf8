"""Wheels held against what controllers expect: order of the teeth, not the name of the pattern."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from kb.errors import NotationFault
from kb.standards.patterns import Match, Pattern, parse_pattern, same_pattern

# Steps read off a card with degrees are true to half a degree or so; spelt-out codes are exact.
_CARD = 0.5
_EXACT = 0.01


class Setting:
    """A decoder for worked cases."""

    def __init__(self, teeth: str, cam: str = "", shaft: str = "crank", id: str = "") -> None:
        self.teeth, self.cam, self.shaft, self.id = teeth, cam, shaft, id or teeth


def _read(code: str) -> Pattern | None:
    try:
        return parse_pattern(code)
    except NotationFault:
        return None


def compare(counted: str, expected: str) -> Match:
    """How the counted teeth lie to the expected ones; names that are no tooth patterns compare as names."""
    mine, other = _read(counted), _read(expected)
    if mine is None or other is None:
        return Match("same" if counted.strip() == expected.strip() else "different")
    listed = not (mine.positions and other.positions)
    return same_pattern(mine, other, min(_CARD, min(mine.pitch, other.pitch) / 8) if listed else _EXACT)


def reading(teeth: str, shaft: str, known: Sequence[Any]) -> list[Any]:
    """The controller's settings that read this wheel on this shaft; a clocked wheel is read, a mirrored one is not."""
    return [
        setting
        for setting in known
        if setting.shaft == shaft and compare(teeth, setting.teeth).sort in ("same", "clocked")
    ]


def told(teeth: str, shaft: str, known: Sequence[Any]) -> list[str]:
    """Sentences on how the wheel lies to the settings: read, clocked, back to front, or near misses."""
    found, misses = [], []
    mine = _read(teeth)
    for setting in known:
        match, other = compare(teeth, setting.teeth), _read(setting.teeth)
        if match.sort == "different":
            if mine and other and mine.pulses == other.pulses:
                misses.append(f"{setting.id} has as many teeth ({mine.pulses}), with other gaps between them")
            elif mine and other and mine.positions and mine.positions == other.positions:
                misses.append(
                    f"{setting.id} has the same pitch, with {other.pulses} teeth where {mine.pulses} were counted"
                )
        elif setting.shaft != shaft:
            misses.append(f"{setting.id} is this wheel on the {setting.shaft}, and it turns with the {shaft}")
        elif match.sort == "mirrored":
            misses.append(f"{setting.id} is this wheel back to front: turn it over")
        elif match.sort == "clocked":
            found.append(f"read as {setting.id}, {match}: the angle is another question")
        else:
            found.append(f"read as {setting.id}")
    return found or misses or ["none of its settings comes near this wheel"]
