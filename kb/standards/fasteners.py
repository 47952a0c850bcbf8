"""Bolts: thread pitch, tensile stress area, proof stress, preload, and threads in shear.

Lengths in metres, stresses in pascals, forces in newtons. Values may be floats, numpy arrays or Pint
quantities; property class, grade and material are always one text.
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


# -- strength, and threads in shear ----------------------------------------------------------------------------------

_KSI = 6.894757293168361e6
_THREE_QUARTERS, _INCH_SIZE = 19.05e-3, 25.4e-3

# Grade as written in records: proof stress and tensile strength in Pa, each up to a diameter and above it, m.
_STRENGTHS: dict[str, tuple[float, tuple[float, float], tuple[float, float]]] = {
    "class_4_6": (16e-3, (225e6, 225e6), (400e6, 400e6)),
    "class_4_8": (16e-3, (310e6, 310e6), (420e6, 420e6)),
    "class_5_6": (16e-3, (280e6, 280e6), (500e6, 500e6)),
    "class_5_8": (16e-3, (380e6, 380e6), (520e6, 520e6)),
    "class_6_8": (16e-3, (440e6, 440e6), (600e6, 600e6)),
    "class_8_8": (16e-3, (580e6, 600e6), (800e6, 830e6)),
    "class_9_8": (16e-3, (650e6, 650e6), (900e6, 900e6)),
    "class_10_9": (16e-3, (830e6, 830e6), (1040e6, 1040e6)),
    "class_12_9": (16e-3, (970e6, 970e6), (1220e6, 1220e6)),
    "grade_2": (_THREE_QUARTERS, (55 * _KSI, 33 * _KSI), (74 * _KSI, 60 * _KSI)),
    "grade_5": (_INCH_SIZE, (85 * _KSI, 74 * _KSI), (120 * _KSI, 105 * _KSI)),
    "grade_8": (_INCH_SIZE, (120 * _KSI, 120 * _KSI), (150 * _KSI, 150 * _KSI)),
    "a2_70": (24e-3, (450e6, 450e6), (700e6, 700e6)),
}
"""Classes: ISO 898-1; grades: SAE J429; A2-70: ISO 3506-1, its 0.2 % stress. From memory but for 8.8 and 10.9."""

GRADES = tuple(_STRENGTHS)

ENGAGEMENT_RULE: dict[str, float] = {"nut": 1.0, "steel": 1.0, "cast_iron": 1.5, "aluminium": 2.0}
"""Engaged length in diameters by metal of the hole: common practice; other sources say 1.5 for steel."""


def _strength(grade: str, diameter: Any, which: int) -> Any:
    if grade not in _STRENGTHS:
        raise unknown("grade", grade, GRADES)
    step, *pairs = _STRENGTHS[grade]
    small, large = pairs[which]
    at = constant(step + 1e-9, "m", diameter)
    return where(diameter <= at, constant(small, "Pa", diameter), constant(large, "Pa", diameter))


def grade_proof_stress(grade: str, diameter: Any) -> Any:
    """Proof stress, Pa, of a bolt of `grade` ("class_8_8", "grade_5") and nominal `diameter`, m.

    Source: ISO 898-1, SAE J429, ISO 3506-1. Raises UnknownName for a grade that is not in the table.
    """
    return _strength(grade, diameter, 0)


def grade_tensile_strength(grade: str, diameter: Any) -> Any:
    """Least tensile strength, Pa, of a bolt of `grade` and nominal `diameter`, m. Sources as for the proof stress."""
    return _strength(grade, diameter, 1)


def engagement_rule(material: str, diameter: Any) -> Any:
    """Engaged length, m, that the rule of thumb wants in a hole of `material`. UnknownName for another material."""
    if material not in ENGAGEMENT_RULE:
        raise unknown("metal of a hole", material, ENGAGEMENT_RULE)
    return ENGAGEMENT_RULE[material] * diameter


def bolt_shear_area(engaged: Any, pitch: Any, hole_minor_most: Any, bolt_pitch_least: Any) -> Any:
    """Area, m2, over which the bolt's thread is sheared off at the hole's minor diameter.

    pi n Le Kn (1/(2n) + 0.57735 (Es - Kn)) with n = 1 / P; Kn the greatest minor diameter of the hole, Es the least
    pitch diameter of the bolt; all in m. Source: FED-STD-H28/2, ASME B1.1.
    """
    return math.pi * engaged / pitch * hole_minor_most * (pitch / 2 + 0.57735 * (bolt_pitch_least - hole_minor_most))


def hole_shear_area(engaged: Any, pitch: Any, bolt_major_least: Any, hole_pitch_most: Any) -> Any:
    """Area, m2, over which the hole's thread is sheared off at the bolt's major diameter.

    pi n Le Ds (1/(2n) + 0.57735 (Ds - En)); Ds the least major diameter of the bolt, En the greatest pitch diameter of
    the hole; all in m. Source: FED-STD-H28/2, ASME B1.1.
    """
    return math.pi * engaged / pitch * bolt_major_least * (pitch / 2 + 0.57735 * (bolt_major_least - hole_pitch_most))


def least_engagement(stress_area: Any, pitch: Any, hole_minor_most: Any, bolt_pitch_least: Any) -> Any:
    """Engaged length, m, at which bolt and hole of equal strength break the bolt before the thread strips.

    Le = 2 At / (pi Kn (1/2 + 0.57735 n (Es - Kn))): the sheared area is twice the tensile stress area, as the shear
    strength is taken as half the tensile one. Source: FED-STD-H28/2.
    """
    return (
        2 * stress_area / (math.pi * hole_minor_most * (0.5 + 0.57735 * (bolt_pitch_least - hole_minor_most) / pitch))
    )


SHEAR_SHARE = 0.5
"""Shear strength over tensile strength, as FED-STD-H28/2 takes it."""
