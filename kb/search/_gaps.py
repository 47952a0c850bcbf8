"""Windows as places in a sorted row, and the places that they leave open."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, NamedTuple

import numpy

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Index = NDArray[numpy.int64]


class Span(NamedTuple):
    """For each choice and each of A: surely from sure_low up to sure_high (without it), perhaps from low up to high."""

    sure_low: Index
    low: Index
    sure_high: Index
    high: Index

    def row(self, at: int) -> Span:
        return Span(*(each[at] for each in self))


def gaps(fits: Span, allows: Span) -> Iterator[tuple[Index, Index, Index]]:
    """Rows and the ranges of places in them that some window leaves open, none of them twice.

    From below: what is perhaps not condemned, what perhaps fits, and both once more from above.
    """
    last = numpy.maximum(allows.low, allows.high)
    first_end = _end(allows, last)
    ranges = [(allows.low, first_end)]
    if fits is not allows:
        top = numpy.maximum(numpy.minimum(fits.high, last), first_end)
        begin = numpy.where(fits.high > fits.low, numpy.maximum(fits.low, first_end), first_end)
        top = numpy.where(fits.high > fits.low, top, begin)
        end = numpy.maximum(_end(fits, top), begin)
        again = numpy.maximum(fits.sure_high, end)
        first_end = numpy.maximum(top, again)
        ranges += [(begin, end), (again, first_end)]
    ranges.append((numpy.maximum(allows.sure_high, first_end), last))
    for begin, end in ranges:
        some = numpy.flatnonzero(end > begin)
        if len(some):
            yield some, begin[some], end[some]


def _end(span: Span, last: Index) -> Index:
    """Where the open places at the lower side of a span end: at all of them where nothing is sure."""
    return numpy.where(span.sure_high > span.sure_low, numpy.clip(span.sure_low, span.low, last), last)


def cells_of(at: Index, begin: Index, end: Index, batch: int) -> Iterator[tuple[Index, Index]]:
    """Rows and places of these ranges, about so many at a time."""
    size = end - begin
    edges = numpy.concatenate(([0], numpy.cumsum(size)))
    start = 0
    while start < len(at):
        stop = max(start + 1, int(numpy.searchsorted(edges, edges[start] + batch, side="right")) - 1)
        some = numpy.repeat(numpy.arange(start, stop), size[start:stop])
        place = numpy.arange(len(some)) + edges[start] - edges[some] + begin[some]
        yield at[some], place
        start = stop
