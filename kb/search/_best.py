"""The best rows of a search, kept while it runs: the rest is counted and let go."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import product
from typing import TYPE_CHECKING, Any, NamedTuple, Protocol

import numpy

if TYPE_CHECKING:
    from numpy.typing import NDArray


class Member(NamedTuple):
    """A candidate within its class: price, place in the order of price and id, place among the candidates."""

    price: float | None
    rank: int
    at: int


class Members(Protocol):
    """What the rows are made of: for each class its members, cheapest first."""

    members: list[list[Member]]


Key = tuple[Any, ...]


class Best:
    """At most `limit` rows. order: 'margin' (score, then price), 'price' (price, then score), 'open' (as margin).

    under: rows that cost more, or nobody knows what, are left out. A greater score is better. Of prices those with the
    fewest unknown ones come first. Ties go by price, then by the candidates' places in the order of the roles asked.
    """

    def __init__(self, limit: int, order: str, positions: Sequence[int], under: float = math.inf) -> None:
        self.limit = limit
        self.under = under
        self.order = order
        self.positions = positions
        self._kept: list[tuple[Key, float, tuple[int, ...]]] = []

    def add(
        self, picked: Sequence[NDArray[numpy.intp]], sides: Sequence[Members], score: NDArray[numpy.float64]
    ) -> None:
        """Combinations of classes: one array of classes a side, and their scores."""
        price, unknown = self._prices(picked, sides)
        primary = (-score, unknown, price) if self.order != "price" else (unknown, price, -score)
        at = numpy.flatnonzero(self._cheap(price, unknown))
        if len(self._kept) == self.limit:
            last = self._kept[-1][0]
            at = at[primary[0] <= last[0]]
            at = at[(primary[0][at] < last[0]) | (primary[1][at] <= last[1])]
        if len(at) > self.limit:
            ranks = [self._ranks(sides, place)[picked[place][at]] for place in self.positions]
            keys = [*(each[at] for each in primary), *ranks]
            at = at[numpy.lexsort(keys[::-1])[: self.limit]]
        for one in at.tolist():
            self._expand([int(each[one]) for each in picked], sides, float(score[one]))
        self._kept.sort(key=lambda row: row[0])
        del self._kept[self.limit :]

    def _cheap(self, price: Any, unknown: Any) -> Any:
        """Whether a row costs little enough."""
        return (unknown == 0) & (price <= self.under + 1e-9) if self.under < math.inf else price == price

    def rows(self, sides: Sequence[Members]) -> list[tuple[float, tuple[int, ...]]]:
        """(score, a candidate a side), best first."""
        return [(score, row) for _, score, row in self._kept]

    def _prices(
        self, picked: Sequence[NDArray[numpy.intp]], sides: Sequence[Members]
    ) -> tuple[NDArray[numpy.float64], NDArray[numpy.int64]]:
        total = numpy.zeros(len(picked[0]))
        unknown = numpy.zeros(len(picked[0]), dtype=numpy.int64)
        for classes, side in zip(picked, sides, strict=True):
            price = numpy.array([each[0].price if each[0].price is not None else math.nan for each in side.members])
            some = price[classes]
            unknown += numpy.isnan(some)
            total += numpy.nan_to_num(some)
        return total, unknown

    @staticmethod
    def _ranks(sides: Sequence[Members], place: int) -> NDArray[numpy.int64]:
        return numpy.array([each[0].rank for each in sides[place].members], dtype=numpy.int64)

    def _expand(self, classes: Sequence[int], sides: Sequence[Members], score: float) -> None:
        """The best rows of one combination of classes."""
        members = [side.members[one] for side, one in zip(sides, classes, strict=True)]
        for places in product(*[range(min(self.limit, len(each))) for each in members]):
            if math.prod(place + 1 for place in places) > self.limit:
                continue  # so many rows of the same classes are better
            row = [each[place] for each, place in zip(members, places, strict=True)]
            unknown = sum(each.price is None for each in row)
            price = sum(each.price or 0.0 for each in row)
            if self.under < math.inf and not self._cheap(price, unknown):
                continue
            ranks = tuple(row[place].rank for place in self.positions)
            primary = (-score, unknown, price) if self.order != "price" else (unknown, price, -score)
            self._kept.append(((*primary, ranks), score, tuple(each.at for each in row)))
