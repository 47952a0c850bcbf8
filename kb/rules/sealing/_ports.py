"""Oil passages that cross the pan joint: what meets what."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any


class Hole:
    """A hole for worked cases."""

    def __init__(
        self, id: str, duty: str = "feed", closed: bool = False, land: float = 0.004, bore: float = 0.01
    ) -> None:
        self.id, self.duty, self.closed, self.land, self.bore = id, duty, closed, land, bore


def unmated(block_side: Sequence[Any], pan_side: Sequence[Any]) -> list[str]:
    """Words for every feed or suction passage that is open on one face and has neither mate nor plug on the other."""
    upper = {each.id: each for each in block_side}
    lower = {each.id: each for each in pan_side}
    faults = []
    for mine, other, mine_name, other_name in ((upper, lower, "block", "pan"), (lower, upper, "pan", "block")):
        for name, port in mine.items():
            if port.closed or port.duty not in ("feed", "suction"):
                continue
            if name not in other:
                faults.append(f"{name}: open in the {mine_name}, nothing meets it in the {other_name}")
    return faults


def closed_passages(block_side: Sequence[Any]) -> frozenset[str]:
    """Names of the passages of the block that end in a plug or a blank wall: no oil crosses the joint there."""
    return frozenset(each.id for each in block_side if each.closed)


def plugged(block_side: Sequence[Any], pan_side: Sequence[Any]) -> list[str]:
    """Words for every open feed or suction passage that meets a plug on the other face."""
    upper = {each.id: each for each in block_side}
    lower = {each.id: each for each in pan_side}
    return [
        f"{name} is open in the {mine_name} and ends at a plug in the {other_name}: only where the block's maker allows that"
        for mine, other, mine_name, other_name in ((upper, lower, "block", "pan"), (lower, upper, "pan", "block"))
        for name, port in mine.items()
        if not port.closed and port.duty in ("feed", "suction") and name in other and other[name].closed
    ]


def covered(block_side: Sequence[Any], holes: Sequence[Any]) -> list[str]:
    """Names of the open passages of the block for which the gasket has no hole."""
    open_in_gasket = {each.id for each in holes}
    return [each.id for each in block_side if not each.closed and each.id not in open_in_gasket]
