"""Metric bolts: thread pitch, tensile stress area, proof stress and preload.

Lengths in metres, stresses in pascals, forces in newtons. Values may be floats, numpy arrays or Pint
quantities; the property class is always one text.
"""

from __future__ import annotations

import math
from typing import Any

from kb.errors import unknown
from kb.maths import constant, where

COARSE_PITCH: dict[str, float] = {
    "M3": 0.5e-3,
    "M4": 0.7e-3,
    "M5": 0.8e-3,
    "M6": 1.0e-3,
    "M8": 1.25e-3,
    "M10": 1.5e-3,
    "M12": 1.75e-3,
    "M14": 2.0e-3,
    "M16": 2.0e-3,
    "M18": 2.5e-3,
    "M20": 2.5e-3,
    "M22": 2.5e-3,
    "M24": 3.0e-3,
    "M27": 3.0e-3,
    "M30": 3.5e-3,
}
"""Coarse pitch by nominal size, m. Source: ISO 261, from memory."""

FINE_PITCHES: dict[str, tuple[float, ...]] = {
    "M8": (1.0e-3,),
    "M10": (1.25e-3, 1.0e-3),
    "M12": (1.5e-3, 1.25e-3),
    "M14": (1.5e-3,),
    "M16": (1.5e-3,),
    "M18": (1.5e-3, 2.0e-3),
    "M20": (1.5e-3, 2.0e-3),
    "M22": (1.5e-3, 2.0e-3),
    "M24": (2.0e-3,),
}
"""Common fine pitches by nominal size, m. Source: ISO 261, from memory, not complete."""

_STEP_8_8 = 16e-3
_PROOF_STRESS: dict[str, tuple[float, float]] = {
    "4.6": (225e6, 225e6),
    "4.8": (310e6, 310e6),
    "5.6": (280e6, 280e6),
    "5.8": (380e6, 380e6),
    "6.8": (440e6, 440e6),
    "8.8": (580e6, 600e6),
    "9.8": (650e6, 650e6),
    "10.9": (830e6, 830e6),
    "12.9": (970e6, 970e6),
}
"""Proof stress up to and above 16 mm, Pa. Source: ISO 898-1; 8.8 and 10.9 as checked, the others from memory."""

REUSABLE_PRELOAD = 0.75
"""Preload as a share of the proof load in joints that are taken apart again. Source: Shigley."""

PROPERTY_CLASSES = tuple(_PROOF_STRESS)


def tensile_stress_area(diameter: Any, pitch: Any) -> Any:
    """Nominal tensile stress area of a 60 degree metric thread, m2.

    pi/4 ((d2 + d3)/2)^2 with d2 = d - 0.649519 P and d3 = d - 1.226869 P, so pi/4 (d - 0.938194 P)^2.
    `diameter` and `pitch` in m. Source: ISO 898-1.
    """
    return math.pi / 4 * (diameter - 0.938194 * pitch) ** 2


def inch_stress_area(diameter: Any, pitch: Any) -> Any:
    """Tensile stress area of a unified inch thread, m2: pi/4 (D - 0.9743 P)^2.

    `diameter` and `pitch` in m; the pitch is one inch over the threads per inch. Source: ASME B1.1.
    """
    return math.pi / 4 * (diameter - 0.9743 * pitch) ** 2


def proof_stress(property_class: str, diameter: Any) -> Any:
    """Proof stress, Pa, of a bolt of `property_class` (such as "8.8") and nominal `diameter`, m.

    Class 8.8 has 580 MPa up to and including 16 mm and 600 MPa above it. Source: ISO 898-1.
    Raises UnknownName for a class that is not in the table.
    """
    try:
        small, large = _PROOF_STRESS[property_class.strip()]
    except KeyError:
        raise unknown("property class", property_class, PROPERTY_CLASSES) from None
    step = constant(_STEP_8_8 + 1e-9, "m", diameter)
    return where(diameter <= step, constant(small, "Pa", diameter), constant(large, "Pa", diameter))


def proof_load(property_class: str, diameter: Any, pitch: Any) -> Any:
    """Proof load, N: proof stress times the tensile stress area. Source: ISO 898-1."""
    return proof_stress(property_class, diameter) * tensile_stress_area(diameter, pitch)


def preload(property_class: str, diameter: Any, pitch: Any, share: Any = REUSABLE_PRELOAD) -> Any:
    """Preload, N, at `share` of the proof load (0.75 for a reusable joint). Source: Shigley."""
    return share * proof_load(property_class, diameter, pitch)


def pitch_mismatch(pitch: Any, reference: Any) -> Any:
    """How far `pitch` is off `reference`, as a fraction of the reference; both in m.

    Follows from the definition. Two threads that start to turn together and differ by more than a few
    percent bind after some turns.
    """
    return (pitch - reference) / reference
