"""Limits of a hose on a spigot, the same at each of its four ends."""

from __future__ import annotations

from typing import Any

from kb.rules._rule import Limit, percent

LIMITS = (
    Limit.at_least(
        -4 * percent,
        why="a clamp folds the slack of so large a hose instead of closing it, and it leaks",
        harm="leaks",
        milestone="fire",
        fix="a stepped hose, a sleeve over the spigot, or the hose of the right size",
        source="practice",
        name="slack",
    ),
    Limit.at_least(
        0.0,
        why="a hose larger than its spigot is held by the clamp alone",
        harm="leaks",
        milestone="fire",
        fix="a stepped hose or a sleeve over the spigot",
        source="memory",
    ),
    Limit.at_most(
        12 * percent,
        why="a hose stretched more than this does not go on past the bead, or splits at its end",
        harm="leaks",
        milestone="drive",
        fix="a stepped hose",
        source="memory",
    ),
    Limit.at_most(
        30 * percent,
        why="no hose of rubber and cloth goes on a spigot so much larger",
        harm="leaks",
        milestone="fire",
        fix="a stepped hose, or a reducer of metal between two hoses",
        source="practice",
        name="burst",
    ),
)


def stretch(bore: Any, spigot: Any) -> Any:
    """How much the hose stretches on its spigot, pure; negative for a loose one."""
    return (spigot - bore) / bore
