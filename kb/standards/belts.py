"""Sections of accessory belts: V-ribbed PJ, PK and PL, and the single V-belts of old engines.

A belt's length is called on its *effective line*, which lies at the pulley's effective diameter. The cords run on the
*pitch line*, `pitch_offset` further out (further in where that is negative); ratios are taken there. Lengths in m,
angles in rad. The formulas take floats, numpy arrays or Pint quantities.
"""

from __future__ import annotations

import math
from typing import Any, NamedTuple

from kb.maths import constant

_DEGREE = math.pi / 180.0
INCH = 0.0254


class Section(NamedTuple):
    """One section. pitch: from rib to rib, 0 for a single V. width: of one rib, or of the groove of a single V at the
    effective diameter. pitch_offset: from the effective line out to the pitch line. half_angle: half of the angle that
    wedges the belt. least: recommended smallest effective diameter. origin: source id of width and least diameter.
    """

    code: str
    words: str
    pitch: float
    width: float
    pitch_offset: float
    half_angle: float
    least: float
    origin: str

    @property
    def ribbed(self) -> bool:
        return self.pitch > 0.0


# PK: rib pitch, 45 mm and 2 mm from ISO 9981 (clauses 5.2 and 5.4 read), groove of 40 degrees from SAE J1459. PJ and PL
# as in ISO 9982, from memory. Single V-belts: SAE J636, width, angle and least diameter of 10A, 13A, 15A, 17A, 20A and
# 23A read in a published summary; 11A, and the offset of every one of them (X of that standard), from memory.
_SECTIONS = (
    Section("pj", "V-ribbed, 2.34 mm pitch", 2.34e-3, 2.34e-3, 1.2e-3, 20 * _DEGREE, 20e-3, "memory"),
    Section("pk", "V-ribbed, 3.56 mm pitch", 3.56e-3, 3.56e-3, 2.0e-3, 20 * _DEGREE, 45e-3, "iso-9981"),
    Section("pl", "V-ribbed, 4.70 mm pitch", 4.70e-3, 4.70e-3, 3.0e-3, 20 * _DEGREE, 75e-3, "memory"),
    Section("v10a", "single V, 0.380 in", 0.0, 9.7e-3, -0.06 * INCH, 18 * _DEGREE, 61e-3, "sae-j636"),
    Section("v11a", "single V, 0.440 in", 0.0, 11.2e-3, -0.07 * INCH, 18 * _DEGREE, 70e-3, "memory"),
    Section("v13a", "single V, 0.500 in", 0.0, 12.7e-3, -0.08 * INCH, 18 * _DEGREE, 76e-3, "sae-j636"),
    Section("v15a", "single V, 11/16 in", 0.0, 15.2e-3, 0.0, 18 * _DEGREE, 76e-3, "sae-j636"),
    Section("v17a", "single V, 3/4 in", 0.0, 16.8e-3, -0.02 * INCH, 18 * _DEGREE, 76e-3, "sae-j636"),
    Section("v20a", "single V, 7/8 in", 0.0, 20.0e-3, -0.04 * INCH, 18 * _DEGREE, 89e-3, "sae-j636"),
    Section("v23a", "single V, 1 in", 0.0, 23.1e-3, -0.06 * INCH, 18 * _DEGREE, 102e-3, "sae-j636"),
)

SECTIONS: dict[str, Section] = {each.code: each for each in _SECTIONS}
PROFILES: tuple[str, ...] = tuple(SECTIONS)


def section(code: str) -> Section:
    """The section called `code`; KeyError says which there are."""
    try:
        return SECTIONS[code]
    except KeyError:
        raise KeyError(f"no belt section {code!r}; there are {', '.join(SECTIONS)}") from None


def belt_width(ribs: Any, code: str) -> Any:
    """Nominal width, m, of a belt with `ribs` ribs: n times the rib pitch (ISO 9981, ISO 9982)."""
    return ribs * section(code).width


def pitch_diameter(effective: Any, code: str) -> Any:
    """Diameter, m, of the pitch line on a grooved pulley of this effective diameter: d + 2 x offset (PK: d + 4 mm)."""
    return effective + constant(2 * section(code).pitch_offset, "m", effective)


def effective_from_balls(over_balls: Any) -> Any:
    """Effective diameter, m, of a PK pulley from its diameter over 2.5 mm balls: K - 0.990 mm (SAE J1459)."""
    return over_balls - constant(0.990e-3, "m", over_balls)


def balls_from_effective(effective: Any) -> Any:
    """Diameter, m, over 2.5 mm balls of a PK pulley: `effective_from_balls` turned round."""
    return effective + constant(0.990e-3, "m", effective)
