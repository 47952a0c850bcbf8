"""Elementary functions that take a float, a numpy array or a Pint quantity alike.

Rules are called with floats (one combination, no numpy loaded), with arrays (Monte Carlo, search)
and, in the tests, with Pint quantities (unit slips). `x ** 0.5` needs no help; these do.
"""

from __future__ import annotations

import math
from typing import Any


def _is_array(*values: Any) -> bool:
    return any(hasattr(value, "__array__") or hasattr(value, "magnitude") for value in values)


def _call(name: str, value: Any) -> Any:
    if _is_array(value):
        import numpy

        return getattr(numpy, name)(value)
    return getattr(math, name)(value)


def exp(value: Any) -> Any:
    """e to the power of a pure number."""
    return _call("exp", value)


def log(value: Any) -> Any:
    """Natural logarithm of a pure number above zero."""
    return _call("log", value)


def sin(angle: Any) -> Any:
    """Sine of an angle in radians."""
    return _call("sin", angle)


def cos(angle: Any) -> Any:
    """Cosine of an angle in radians."""
    return _call("cos", angle)


def acos(value: Any) -> Any:
    """Angle in radians, 0 to pi, whose cosine is `value`."""
    if _is_array(value):
        import numpy

        return numpy.arccos(value)
    return math.acos(value)


def least(first: Any, *others: Any) -> Any:
    """Element by element, the smallest of the values."""
    if _is_array(first, *others):
        import numpy

        for other in others:
            first = numpy.minimum(first, other)
        return first
    return min((first, *others))


def most(first: Any, *others: Any) -> Any:
    """Element by element, the largest of the values."""
    if _is_array(first, *others):
        import numpy

        for other in others:
            first = numpy.maximum(first, other)
        return first
    return max((first, *others))


def where(condition: Any, then: Any, otherwise: Any) -> Any:
    """`then` where the condition holds, else `otherwise`, element by element."""
    if _is_array(condition, then, otherwise):
        import numpy

        return numpy.where(condition, then, otherwise)
    return then if condition else otherwise


def constant(number: float, unit: str, like: Any) -> Any:
    """A constant of a formula: `number` as it is, or in `unit` (an SI unit) if `like` is a Pint quantity.

    Lets a formula with a built-in length, temperature or gravity take quantities without naming Pint.
    """
    if hasattr(like, "magnitude"):
        return type(like)(number, unit)
    return number


def is_in(value: Any, among: Any) -> Any:
    """1 where the code is in the set, else 0; arrays of codes and of sets element by element."""
    if _is_array(value, among):
        import numpy

        return numpy.vectorize(lambda one, these: int(one in these), otypes=[int])(value, among)
    return int(value in among)


def pair_in(first: Any, second: Any, pairs: frozenset[tuple[str, str]]) -> Any:
    """1 where the two codes together are one of `pairs`, else 0, element by element."""
    if _is_array(first, second):
        import numpy

        return numpy.vectorize(lambda one, other: int((one, other) in pairs), otypes=[int])(first, second)
    return int((first, second) in pairs)
