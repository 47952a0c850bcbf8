"""Which of the materials that fuel touches do not stand it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from kb.sources import source
from kb.standards.fuel_materials import MATERIALS, blend_class, stands

_FUELS = {"petrol": "petrol", "low": "petrol with a little ethanol", "high": "mostly ethanol"}


NO_FUEL = -1.0  # stands for the ethanol of a second fuel that there is not


def touched(materials: Any) -> list[str]:
    """The codes of a part; one alone where a missing choice is being tried."""
    return [materials] if isinstance(materials, str) else sorted(materials)


def found(parts: Iterable[tuple[str, Any]], ethanols: Iterable[float], verdict: str) -> list[str]:
    """'float in petrol: cork' for every pair of a part's material and a fuel with this verdict, each once."""
    words = []
    classes = dict.fromkeys(blend_class(ethanol) for ethanol in ethanols if ethanol >= 0)
    shares = {"petrol": 0.0, "low": 0.1, "high": 1.0}
    for part, materials in parts:
        for material in touched(materials):
            for each in classes:
                if stands(material, shares[each]) == verdict:
                    row = MATERIALS[material]
                    words.append(f"{part}: {row.words} in {_FUELS[each]} ({source(row.source).title})")
    return words


def notes(parts: Iterable[tuple[str, Any]], ethanols: Iterable[float]) -> dict[str, Any]:
    """Notes for a finding: what does not stand, else what to watch."""
    parts, ethanols = list(parts), list(ethanols)
    bad = [f"{words}: does not stand it" for words in found(parts, ethanols, "bad")]
    return {"notes": bad + [f"{words}: watch it" for words in found(parts, ethanols, "watch")]}
