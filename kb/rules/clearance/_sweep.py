"""What the crank sweeps, seen from the pan rail."""

from __future__ import annotations

from typing import Any

from kb.maths import most


def sweep_depth(drop: Any, counterweight: Any, big_end: Any) -> Any:
    """Depth (m) below the rail of the lowest point that crank and rods sweep in a turn.

    drop: crank centre below the rail (negative when above); the two radii in m.
    """
    return drop + most(counterweight, big_end)
