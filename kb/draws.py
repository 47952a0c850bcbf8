"""Monte Carlo: the reference that every shortcut is compared with, and the answer where none is trusted.

numpy is imported by the functions here, never by the module.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING, Any, NamedTuple

from kb.measure import Dimension, Term

if TYPE_CHECKING:
    import numpy
    from numpy.typing import NDArray

    Array = NDArray[numpy.float64]


class Sample(NamedTuple):
    """Drawn values of a quantity; NaN where it has no real value, which counts as outside every limit."""

    values: Array

    def p(self, low: float, high: float) -> tuple[float, float]:
        """Share of the draws within low..high (inclusive) and its standard error, which is never zero."""
        count = len(self.values)
        inside = int(((self.values >= low) & (self.values <= high)).sum())
        # The (k + 1) / (n + 2) share keeps the standard error honest where all draws agree.
        held = (inside + 1.0) / (count + 2.0)
        return inside / count, math.sqrt(held * (1.0 - held) / count)


def draw(dimensions: Mapping[str, Dimension], *, draws: int, seed: int) -> dict[str, Array]:
    """`draws` values of each named dimension, shape (draws,); an exact one gives a constant array.

    Each name has its own stream, made from the seed and a fixed hash of the name: the same dimension gives the same
    draws in every rule and in any order, so rules that share it stay correlated.
    """
    import numpy

    return {
        name: numpy.full(draws, dimension.value) + _errors(dimension.terms, draws, seed, name)
        for name, dimension in dimensions.items()
    }


def monte_carlo(
    f: Callable[..., Any],
    values: Sequence[float],
    terms: Sequence[Sequence[Term]],
    *,
    draws: int,
    seed: int,
    keys: Sequence[str] = (),
    vectorised: bool = True,
) -> Sample:
    """f of drawn inputs; f is called once with arrays, or once a draw with floats if not `vectorised`.

    `keys` name the inputs as in `draw`; without them the inputs are independent, one stream each.
    """
    import numpy

    names = list(keys) or [f"input {i}" for i in range(len(values))]
    columns = [
        numpy.full(draws, float(value)) + _errors(group, draws, seed, name)
        for value, group, name in zip(values, terms, names, strict=True)
    ]
    if vectorised:
        with numpy.errstate(all="ignore"):
            found = numpy.broadcast_to(numpy.asarray(f(*columns), dtype=float), (draws,))
        return Sample(found)
    return Sample(numpy.array([_real(f, row) for row in zip(*(c.tolist() for c in columns), strict=True)], dtype=float))


def _real(f: Callable[..., Any], row: Sequence[float]) -> float:
    try:
        y = f(*row)
    except (ArithmeticError, ValueError):
        return math.nan
    return math.nan if isinstance(y, complex) else float(y)


def _errors(terms: Sequence[Term], draws: int, seed: int, name: str) -> Array:
    import zlib

    import numpy

    stream = numpy.random.Generator(numpy.random.PCG64([seed, zlib.crc32(name.encode())]))
    total = numpy.zeros(draws)
    for term in terms:
        if term.shape == "normal":
            total += stream.normal(0.0, term.u, draws) if term.u else 0.0
        elif term.shape == "rectangular":
            total += stream.uniform(-1.0, 1.0, draws) * term.half_width
        elif term.shape == "triangular":
            total += (stream.random(draws) - stream.random(draws)) * term.half_width
        else:
            raise ValueError(f"no error has the shape {term.shape!r}")
    return total
