"""What is not ticked on a list, in words."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any


def still_open(*names: str) -> Callable[..., dict[str, Any]]:
    """A rule's `detail`: notes that name which of its ticks, in the order of its parameters, are not so."""

    def words(*ticks: bool) -> dict[str, Any]:
        missing = [name for name, so in zip(names, ticks, strict=True) if not so]
        return {"notes": [f"not yet: {', '.join(missing)}"] if missing else []}

    return words
