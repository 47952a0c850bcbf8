"""What milling does to the intake of a V engine: ports that no longer meet, a manifold that rides higher or lower.

Seen from the end: a cylinder leans outwards by b, half the angle between the banks; a flange of the manifold leans
outwards by p, half the angle between its two flanges. Metal taken off head or deck lets the head come down along the
cylinder. Angles in rad, lengths in m; floats, arrays and quantities alike. Derived from geometry; for a 90 degree V
with flanges at 110 degrees it gives the factors 1.23 (side) and 1.71 (end) of the trade's tables, which are from
memory.
"""

from __future__ import annotations

from typing import Any

from kb.maths import cos, sin


def manifold_lift(cut: Any, side_cut: Any, bank_angle: Any, face_angle: Any) -> Any:
    """How far the manifold rises, m; negative when it comes down: (cut sin(b - p) - side cut) / sin p.

    cut: off head and deck together; side_cut: off each flange of the manifold. Derived from geometry.
    """
    bank, lean = bank_angle / 2, face_angle / 2
    return (cut * sin(bank - lean) - side_cut) / sin(lean)


def port_offset(cut: Any, side_cut: Any, bank_angle: Any, face_angle: Any) -> Any:
    """How far the head's ports lie below the manifold's, along the flange, m: cut sin b / sin p - side cut / tan p.

    Arguments as for `manifold_lift`. Derived from geometry.
    """
    bank, lean = bank_angle / 2, face_angle / 2
    return (cut * sin(bank) - side_cut * cos(lean)) / sin(lean)


def side_cut_for_ports(cut: Any, bank_angle: Any, face_angle: Any) -> Any:
    """What to mill off each flange of the manifold so that the ports meet again, m: cut sin b / cos p."""
    return cut * sin(bank_angle / 2) / cos(face_angle / 2)


def end_cut_for_gap(cut: Any, bank_angle: Any, face_angle: Any) -> Any:
    """What to mill off the end rails besides, so that their gap is as it was, m: cut cos(b - p) / cos p."""
    bank, lean = bank_angle / 2, face_angle / 2
    return cut * cos(bank - lean) / cos(lean)
