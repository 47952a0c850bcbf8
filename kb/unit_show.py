"""SI floats to workshop notation: millimetres, decimal inches, or the nearest 1/64 in with what is left over."""

from __future__ import annotations

from math import floor, gcd, isfinite, log10

from kb.errors import unknown
from kb.unit_table import KINDS, NUMBER, Unit, decimal, factor, resolve

SYSTEMS = ("mm", "in", "in64")


def _system(system: str) -> str:
    if system not in SYSTEMS:
        raise unknown("system of units", system, SYSTEMS, list_with=", ".join(SYSTEMS))
    return system


_STIFF = 1e7  # Pa: from here on a pressure is a strength or a stiffness, and nobody reads it in kPa


def _shown_unit(kind: str, system: str) -> Unit:
    if kind not in KINDS:
        raise unknown("kind of quantity", kind, KINDS)
    word = KINDS[kind].metric if _system(system) == "mm" else KINDS[kind].inch
    return resolve(word, kind) if word else NUMBER


def show_unit(kind: str, system: str = "mm") -> tuple[str, float]:
    """Unit word and SI units in it, for columns of plain numbers: ("mm", 0.001).

    A temperature has no plain factor to degC, so its column is in kelvins.
    """
    if kind == "temperature":
        _system(system)
        return "K", 1.0
    unit = _shown_unit(kind, system)
    above, below = factor(unit)
    return unit.word, above / below


def show(value: float, kind: str, system: str = "mm", *, digits: int | None = None) -> str:
    """`value` (SI) in workshop notation that `parse` reads back.

    `system`: "mm", "in" (decimal inch) or "in64" (lengths to the nearest 1/64 in, with what is left over in mm; other
    kinds as "in"). `digits`: decimals; without it a length has up to 3 (in inches always 3) and the others 4 figures.
    """
    unit = _shown_unit(kind, system)
    if kind == "pressure" and system == "mm" and digits is None and isfinite(value) and abs(value) >= _STIFF:
        unit = resolve("GPa" if abs(value) >= 1e9 else "MPa", kind)
    if not isfinite(value):
        return "not known" if value != value else "without limit" if value > 0 else "without lower limit"
    if kind == "length" and system == "in64":
        return _sixty_fourths(value)
    above, below = factor(unit)
    offset = decimal(unit.offset)
    number = value * below / above - offset[0] / offset[1]
    if digits is not None:
        plain = f"{number:.{digits}f}"
    elif kind == "length":
        plain = f"{number:.3f}" if system == "in" else _trimmed(number, 3)
    else:
        plain = _trimmed(number, 1) if kind == "temperature" else _figures(number, 4)
    if float(plain) == 0:
        plain = plain.lstrip("-")
    return f"{plain} {unit.word}".rstrip()


def _trimmed(number: float, places: int) -> str:
    plain = f"{number:.{places}f}"
    return plain.rstrip("0").rstrip(".") if "." in plain else plain


def _figures(number: float, count: int) -> str:
    if number == 0:
        return "0"
    power = floor(log10(abs(number)))
    if not -6 <= power <= 12:
        return f"{number:.{count - 1}e}"
    return _trimmed(number, max(0, count - 1 - power))


def _sixty_fourths(value: float) -> str:
    count = round(value / 0.0254 * 64)
    left = f"{(value - count * 0.0254 / 64) * 1000:+.3f}"
    whole, part = divmod(abs(count), 64)
    shared = gcd(part, 64)
    fraction = f"{part // shared}/{64 // shared}" if part else ""
    plain = " ".join(piece for piece in (str(whole) if whole or not part else "", fraction) if piece)
    sign = "-" if count < 0 else ""
    return f"{sign}{plain} in" + (f" ({left} mm)" if float(left) else "")
