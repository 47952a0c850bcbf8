"""The block's firing order against the controller's outputs and the leads on them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any


class Spark:
    """A place of the firing order for worked cases."""

    def __init__(self, id: str, cylinder: int) -> None:
        self.id, self.cylinder = id, cylinder


class Lead:
    """A lead for worked cases."""

    def __init__(self, output: int, cylinder: int) -> None:
        self.id, self.output, self.cylinder = f"{output}-{cylinder}", output, cylinder


def order(*cylinders: int) -> list[Spark]:
    """A firing order for worked cases."""
    return [Spark(str(at), cylinder) for at, cylinder in enumerate(cylinders, start=1)]


def leads(*cylinders: int, pairs: int = 0) -> list[Lead]:
    """Leads for worked cases: output 1 on the first cylinder and so on, round again after `pairs` outputs."""
    return [Lead(at % (pairs or len(cylinders)) + 1, cylinder) for at, cylinder in enumerate(cylinders)]


def due(firing: Sequence[Any], mode: str) -> dict[int, int]:
    """The output that must fire each cylinder: the second half of the order repeats the outputs with wasted spark, and a
    distributor has them all on one."""
    period = max(1, {"distributor": 1, "wasted": (len(firing) + 1) // 2, "sequential": len(firing)}[mode])
    return {step.cylinder: at % period + 1 for at, step in enumerate(firing)}


def wrong(firing: Sequence[Any], wiring: Sequence[Any], mode: str) -> list[str]:
    """Words for every cylinder whose spark comes by another output than is due, by two, or not at all."""
    wanted = due(firing, mode)
    found = []
    for cylinder, output in wanted.items():
        have = sorted({lead.output for lead in wiring if lead.cylinder == cylinder})
        if not have:
            found.append(f"cylinder {cylinder} has no lead: it belongs on output {output}")
        elif len(have) > 1:
            found.append(f"cylinder {cylinder} has leads of outputs {' and '.join(map(str, have))}")
        elif have[0] != output:
            found.append(f"cylinder {cylinder} is on output {have[0]} and belongs on {output}")
    found += [f"a lead goes to cylinder {lead.cylinder}, which this block does not have"
              for lead in wiring if lead.cylinder not in wanted]  # fmt: skip
    return found


def pattern_of(firing: Sequence[Any], wiring: Sequence[Any], mode: str) -> str:
    """What is wrong as a whole, if it is one thing: every lead so many places late, or the order run backwards."""
    wanted = due(firing, mode)
    have = {lead.cylinder: lead.output for lead in wiring}
    count = max(wanted.values(), default=0)
    if set(have) != set(wanted) or count < 2:
        return ""
    shifts = {(have[cylinder] - output) % count for cylinder, output in wanted.items()}
    if len(shifts) == 1 and shifts != {0}:
        return f"every lead is {shifts.pop()} outputs along: the order is right and its beginning is not"
    sums = {(have[cylinder] + output) % count for cylinder, output in wanted.items()}
    if len(sums) == 1 and have != wanted:
        return "the leads run through the firing order backwards"
    return ""
