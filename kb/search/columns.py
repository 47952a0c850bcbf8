"""Candidates of one role as columns of facts: no object a part, so that a million of them fit into memory.

made = Columns("pan", ids, price, {"sump_depth": Column.exact(depths), "rail_pattern": Column.coded(codes, names)})
made = Columns.of(candidates)
made.part(17).facts["sump_depth"]
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from functools import cached_property
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy

from kb.measure import Dimension, Term
from kb.records.part import Part
from kb.search._spread import Column as Spread
from kb.search._spread import column as spread_of

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from kb.search.candidates import Candidate

    Ints = NDArray[numpy.int64]
    Floats = NDArray[numpy.float64]
    Terms = tuple[Term, ...]

CENT = 1_000_000  # prices are added as whole millionths, so that equal sums are equal


class Column:
    """One feature of many parts.

    codes: for each part the place of its value in `told`. Of a dimension `value` holds the figures, SI, NaN where none
    is recorded, and `told` the errors (tuples of terms); of everything else `value` is None and `told` holds the
    values, None where nothing is recorded.
    """

    __slots__ = ("_inside", "_keys", "codes", "told", "value")

    def __init__(self, codes: NDArray[numpy.int32], told: Sequence[Any], value: Floats | None = None) -> None:
        self.codes: Any = codes
        self.told = tuple(told)
        self.value = value
        self._keys: dict[bool, tuple[Any, int]] = {}
        self._inside: dict[tuple[str, str], Spread] = {}

    @classmethod
    def exact(cls, value: Floats) -> Column:
        """Figures without errors."""
        return cls(numpy.broadcast_to(numpy.int32(0), value.shape), ((),), value)

    @classmethod
    def figures(cls, value: Floats, codes: Any, errors: Sequence[Terms]) -> Column:
        """Figures with errors: the place of each one's errors among `errors`."""
        return cls(numpy.asarray(codes, dtype=numpy.int32), errors, value)

    @classmethod
    def coded(cls, codes: Any, told: Sequence[Any]) -> Column:
        """Anything but a dimension: the place of each value among those that are told."""
        return cls(numpy.asarray(codes, dtype=numpy.int32), told)

    def at(self, place: int) -> Any:
        """One part's value."""
        if self.value is None:
            return self.told[int(self.codes[place])]
        figure = float(self.value[place])
        return None if math.isnan(figure) else Dimension(figure, self.told[int(self.codes[place])])

    def keys(self, whole: bool) -> tuple[Any, int]:
        """Numbers that tell parts apart by this feature, and how many there are; no numbers where there is but one.

        whole: by all that is not the figure of a dimension of the part itself; else by shape alone
        (`kb.search._reads.shape`): figures inside lists and sizes of errors count for nothing.
        """
        if whole not in self._keys:
            self._keys[whole] = self._told_apart(whole)
        return self._keys[whole]

    def _told_apart(self, whole: bool) -> tuple[Any, int]:
        if self.value is None:
            if len(self.told) == 1:
                return None, 1
            if whole or not any(isinstance(each, tuple) for each in self.told):
                return self.codes, len(self.told)
            alike: dict[Any, int] = {}
            table = [alike.setdefault(_shape(each), len(alike)) for each in self.told]
            return (numpy.array(table, dtype=numpy.int32)[self.codes], len(alike)) if len(alike) > 1 else (None, 1)
        known = ~numpy.isnan(self.value)
        if len(self.told) == 1 or not (whole or any(self.told)):
            return (None, 1) if known.all() else (known, 2)
        if whole:
            return numpy.where(known, 1 + self.codes, 0), 1 + len(self.told)
        spread = numpy.array([1 + bool(terms) for terms in self.told], dtype=numpy.int8)
        return numpy.where(known, spread[self.codes], 0), 3

    def spread(self) -> Spread:
        """The figures and their errors as the screen takes them."""
        assert self.value is not None
        if not any(self.told):
            zero = numpy.broadcast_to(0.0, self.value.shape)
            return Spread(self.value, zero, numpy.zeros((len(self.value), 0)), zero)
        one = spread_of([Dimension(0.0, terms) for terms in self.told])
        return Spread(self.value, one.variance[self.codes], one.halves[self.codes], one.box[self.codes])

    def inside(self, entry: str, field: str) -> Spread:
        """The same of a figure in one entry of a list, for each list that is told."""
        if (entry, field) not in self._inside:
            made = []
            for told in self.told:
                found = next((each.get(field) for each in told or () if each["id"] == entry), None)
                made.append(found if isinstance(found, Dimension) else None)
            self._inside[entry, field] = spread_of(made)
        return self._inside[entry, field]


class Columns:
    """Candidates of one kind. ids: strings, ascending where prices are equal means first; price: NaN for unknown."""

    def __init__(self, kind: str, ids: Sequence[str], price: Floats, facts: Mapping[str, Column]) -> None:
        self.kind = kind
        self.ids = ids
        self.price = price
        self.facts = dict(facts)
        self._groups: dict[tuple[tuple[str, ...], bool, bool], Groups] = {}

    def __len__(self) -> int:
        return len(self.price)

    @classmethod
    def of(cls, candidates: Sequence[Candidate]) -> Columns:
        """The same as columns. Every candidate has a part."""
        parts = [each.part for each in candidates if each.part is not None]
        assert len(parts) == len(candidates)
        names = dict.fromkeys(name for part in parts for name in part.facts)
        price = numpy.array([math.nan if each.price is None else each.price for each in candidates], dtype=float)
        facts = {name: _column([part.facts.get(name) for part in parts]) for name in names}
        return cls(parts[0].kind if parts else "", [part.id for part in parts], price, facts)

    def part(self, at: int, names: Sequence[str] | None = None) -> Part:
        """One of them as a part, with these facts, or all."""
        some = self.facts if names is None else {name: self.facts[name] for name in names if name in self.facts}
        facts = {name: value for name, column in some.items() if (value := column.at(at)) is not None}
        price = float(self.price[at])
        return Part(self.ids[at], self.kind, self.ids[at], price=None if math.isnan(price) else price, facts=facts)

    def take(self, places: NDArray[numpy.int64]) -> Columns:
        """Some of them."""
        facts = {
            name: Column(each.codes[places], each.told, None if each.value is None else each.value[places])
            for name, each in self.facts.items()
        }
        return Columns(self.kind, [self.ids[at] for at in places.tolist()], self.price[places], facts)

    @cached_property
    def order(self) -> NDArray[numpy.int64]:
        """Places by price and then id, unknown prices last."""
        if not isinstance(self.ids, list) or self.ids == sorted(self.ids):
            return numpy.argsort(self.price, kind="stable")
        return numpy.lexsort((numpy.asarray(self.ids), self.price))

    @cached_property
    def rank(self) -> NDArray[numpy.int64]:
        """For each one its place in that order."""
        found: NDArray[numpy.int64] = numpy.empty(len(self), dtype=numpy.int64)
        found[self.order] = numpy.arange(len(self))
        return found

    @cached_property
    def every(self) -> NDArray[numpy.int64]:
        """The places of all of them."""
        return numpy.arange(len(self))

    @cached_property
    def costs(self) -> Ints:
        """Prices in whole millionths; unknown ones count as nothing here."""
        found: Ints = numpy.rint(numpy.nan_to_num(self.price) * CENT).astype(numpy.int64)
        return found

    def groups(
        self, names: Iterable[str], whole: bool, only: NDArray[numpy.int64] | None = None, *, figures: bool = False
    ) -> Groups:
        """Those that are alike in these facts (`Column.keys`), in their figures too; of the candidates `only`, or all.

        Those of all are kept: the next search asks for the same.
        """
        if only is not None:
            return self._grouped(names, whole, only, figures)
        asked = (tuple(names), whole, figures)
        if asked not in self._groups:
            self._groups[asked] = self._grouped(asked[0], whole, None, figures)
        return self._groups[asked]

    def _grouped(self, names: Iterable[str], whole: bool, only: NDArray[numpy.int64] | None, figures: bool) -> Groups:
        key: Any = numpy.broadcast_to(numpy.int64(0), len(self) if only is None else len(only))
        size = 1
        for name in names:
            column = self.facts.get(name)
            if column is None:
                continue
            several = [column.keys(whole)]
            if figures and column.value is not None:
                _, equal = numpy.unique(column.value, return_inverse=True)
                several.append((equal, int(equal.max(initial=0)) + 1))
            for looks, many in several:
                if many == 1:
                    continue
                key = key * many + (looks if only is None else looks[only])
                size *= many
                if size > 1 << 22:
                    _, key = numpy.unique(key, return_inverse=True)
                    size = int(key.max(initial=0)) + 1
        return Groups.of(key, size)


class Groups(NamedTuple):
    """number: for each candidate the number of its group. first: one candidate of each group."""

    number: NDArray[numpy.int64]
    first: NDArray[numpy.int64]

    @classmethod
    def of(cls, key: NDArray[numpy.int64], size: int) -> Groups:
        """Numbered in the order of the keys, which lie below `size`."""
        if size == 1 or not len(key):
            none = numpy.broadcast_to(numpy.int64(0), key.shape)
            return cls(none, numpy.zeros(min(1, len(key)), dtype=numpy.int64))
        first = numpy.full(size, -1, dtype=numpy.int64)
        first[key[::-1]] = numpy.arange(len(key) - 1, -1, -1)
        there = numpy.flatnonzero(first >= 0)
        number: Any = numpy.empty(size, dtype=numpy.int8 if len(there) < 128 else numpy.int32)
        number[there] = numpy.arange(len(there))
        return cls(number[key], first[there])


def _column(values: Sequence[Any]) -> Column:
    """Any values of one feature of several parts."""
    told: dict[Any, int] = {}
    if any(isinstance(each, Dimension) for each in values):
        figures = numpy.array([each.value if each is not None else math.nan for each in values])
        codes = [told.setdefault(each.terms if each is not None else (), len(told)) for each in values]
        return Column.figures(figures, codes, list(told))
    plain: list[Any] = []
    found = []
    for each in values:
        key = _key(each)
        if key not in told:
            told[key] = len(plain)
            plain.append(each)
        found.append(told[key])
    return Column.coded(found, plain)


def _shape(value: Any) -> Any:
    """A list without the figures in it."""
    if isinstance(value, Dimension):
        return "dimension", bool(value.terms)
    if isinstance(value, tuple):
        return tuple(tuple((name, _shape(each)) for name, each in entry.items()) for entry in value)
    return type(value).__name__, value


def _key(value: Any) -> Any:
    """What values are compared by: an entry of a list is a dict, and True is not 1 here."""
    if isinstance(value, Dimension):
        return value.value, value.terms
    if isinstance(value, tuple):
        return tuple(tuple((name, _key(each)) for name, each in entry.items()) for entry in value)
    return type(value).__name__, value
