"""The stack on the filter pad: block, adapter, filter."""

from __future__ import annotations


def plain(name: str) -> str:
    """A thread's name without blanks and case, so that "M20 x 1.5" and "M20x1.5" are one."""
    return "".join(name.lower().split())


def thread_faults(pad: str, adapter: str, nipple: str, spin_on: str) -> list[str]:
    """Words for every pair of threads in the stack that differ; `adapter` is empty without an adapter."""
    pairs = [("filter", spin_on, "pad", pad)]
    if adapter:
        pairs = [("adapter", adapter, "pad", pad), ("filter", spin_on, "adapter's nipple", nipple)]
    return [f"{part} {mine} on the {other} {its}" for part, mine, other, its in pairs if plain(mine) != plain(its)]


def seat(inner: float, outer: float, land_inner: float, land_outer: float) -> float:
    """How far a ring lies inside its land, m: the narrower of its two edges; negative where it hangs over."""
    return min(inner - land_inner, land_outer - outer) / 2
