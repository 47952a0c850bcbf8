"""Entries of lists for worked cases, their sums, and words that several rules share."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

MM = 1000.0


class Piece:
    """A plate, or a piece on the snout."""

    def __init__(self, thickness: float, id: str = "plate", located: bool = True) -> None:
        self.thickness, self.id, self.located = thickness, id, located


def total(pieces: Iterable[Any]) -> Any:
    """Thickness of them all, m; 0 for none."""
    return sum(each.thickness for each in pieces)


def shown(length: Any) -> str:
    """A length for a note."""
    return f"{float(length) * MM:.2f} mm"


def stack_notes(pieces: Iterable[Any]) -> list[str]:
    """What the plates add up to, one by one."""
    listed = [f"{each.id} {shown(each.thickness)}" for each in pieces]
    return [f"plates counted in: {', '.join(listed)}"] if listed else []
