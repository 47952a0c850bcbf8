"""The two big roles against each other: for each candidate of one a strip of the sorted other.

For every choice of the core roles this gives, for each candidate of A, from where to where on the sorted candidates of
B the combination fits, from where to where nothing condemns it, and the few cells beside these in which that is asked
rule by rule.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy

from kb.search._cells import CONDEMNED, FITTING, Cells
from kb.search._clashes import ClashCells
from kb.search._gaps import Span, cells_of, gaps
from kb.search._places import Places
from kb.search._scenes import MAY_FIT, Scenes
from kb.search._split import Small, Split, in_batches
from kb.search._threshold import EVERYWHERE, LEAST, MOST, Place, Unranged, Window, Windows, windows
from kb.search.columns import Columns

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Bools = NDArray[numpy.bool_]
    Index = NDArray[numpy.int64]
    Floats = NDArray[numpy.float64]

GROUPS = 400  # groups of B that differ in one figure alone
VAGUE = 40_000_000  # cells asked one by one before the search is made another way
BATCH = 500_000
SORTED = 50_000  # candidates of A from which it is worth sorting them


class Group(NamedTuple):
    """Candidates of B that differ in one figure alone, sorted by it.

    at: their places among B's standing candidates. figures: the different figures, none where none is recorded; starts:
    where each begins in `at`, and the end. first: one of them, place among all candidates.
    """

    at: Index
    figures: Floats
    starts: Index
    first: int
    places: Places

    def span(self, window: Window, shape: tuple[int, int]) -> Span:
        """A window as places in the group."""
        if not len(self.figures):
            sure = (window.sure_low == -math.inf) & (window.sure_high == math.inf)
            maybe = (window.maybe_low == -math.inf) & (window.maybe_high == math.inf)
            none = numpy.zeros((1, 1), dtype=numpy.int64)
            ends = [numpy.where(each, len(self.at), none) for each in (sure, maybe)]
            return Span(*(numpy.broadcast_to(each, shape) for each in (none, none, *ends)))
        off = window.off
        low = self._place(window.maybe_low - off, "left")
        high = self._place(window.maybe_high + off, "right")
        sure_low, sure_high = low, high
        if off or window.sure_low is not window.maybe_low:
            sure_low = self._inner(low, window.sure_low + off, "left")
        if off or window.sure_high is not window.maybe_high:
            sure_high = self._inner(high, window.sure_high - off, "right")
        # Most often both bounds come to the same place.
        begin, end = self.starts[low], self.starts[high]
        sure_begin = begin if sure_low is low else self.starts[sure_low]
        sure_end = end if sure_high is high else self.starts[sure_high]
        return Span(*(numpy.broadcast_to(each, shape) for each in (sure_begin, begin, sure_end, end)))

    def _place(self, bound: Any, side: Any) -> Index:
        if isinstance(bound, float):
            return numpy.asarray(numpy.searchsorted(self.figures, bound, side=side), dtype=numpy.int64)
        return self.places.find(bound, side == "left")

    def _inner(self, found: Index, bound: Any, side: Any) -> Index:
        """The place of the surer bound; what was found for the other one where it is the same everywhere."""
        left = side == "left"
        place, bound = numpy.broadcast_arrays(found, bound)
        inside = place < len(self.figures) if left else place > 0
        next_ = self.figures[numpy.clip(place if left else place - 1, 0, len(self.figures) - 1)]
        moved = inside & ((next_ < bound) if left else (next_ > bound))
        if not moved.any():
            return found
        place = place.copy()
        place[moved] = numpy.searchsorted(self.figures, bound[moved], side=side)
        return place


class Strip(NamedTuple):
    """One choice of the core roles, its number, and one group of B.

    fits, allows: from where to where it surely fits, and surely is
    not condemned, as (low, high) in `group.at`; empty where high <= low. cells: (row, place in the group) of the cells
    beside these, whether each fits, and whether it is not condemned, where `allows` does not say so already.
    """

    choice: int
    group: Group
    fits: tuple[Index, Index]
    allows: tuple[Index, Index]
    cells: list[tuple[Index, Index, Bools, Bools]]


class _Open(NamedTuple):
    """Cells of one choice that are to be asked: whether each may fit, and whether it surely is not condemned."""

    choice: int
    row: Index
    place: Index
    maybe: Bools
    allowed: Bools


class Strips:
    """The pair rules of a split search."""

    def __init__(self, split: Split) -> None:
        self.split = split
        pair = [each for each in split.together if set(split.big) <= set(each.roles)]
        self.pair = [each for each in pair if isinstance(each, Cells)]
        self.clashes = [each for each in pair if isinstance(each, ClashCells)]
        self.one, self.other, self.path = self._sides()
        self.groups = self._groups()
        self.choices = split.core_choices()
        self.vague = 0

    def _sides(self) -> tuple[str, str, str]:
        """A, B, and the figure of B that rules over both read."""
        names = self.split.big
        found: list[tuple[int, int, str, str, str]] = []
        for one, other in ((names[0], names[-1]), (names[-1], names[0])):
            columns = self.split.domains[other]
            read = {name for cells in self.pair for name in cells.axes[cells.roles.index(other)].facts}  # type: ignore[union-attr]
            figures = sorted(name for name in read if columns.facts[name].value is not None)
            most = max(figures, key=lambda name: _variety(columns, name), default="")
            found.append((len(figures), len(read), one, other, most))
        return min(found)[2:]

    def _groups(self) -> list[Group]:
        columns, alive = self.split.domains[self.other], self.split.alive[self.other]
        read = {name for cells in self.pair for name in cells.axes[cells.roles.index(self.other)].facts}  # type: ignore[union-attr]
        rest = sorted(read - {self.path})
        if any(_variety(columns, name) > GROUPS for name in rest if columns.facts[name].value is not None):
            raise Unranged
        alike = columns.groups([*rest, *([self.path] if self.path else ())], True, alive)
        number = alike.number.astype(numpy.int64)
        for name in rest:
            if columns.facts[name].value is not None:
                _, equal = numpy.unique(columns.facts[name].value[alive], return_inverse=True)  # type: ignore[index]
                _, number = numpy.unique(number * (int(equal.max(initial=0)) + 1) + equal, return_inverse=True)
        for clash in self.clashes:
            classes = clash.axes[clash.roles.index(self.other)].classes[alive]
            _, number = numpy.unique(number * (int(classes.max(initial=0)) + 1) + classes, return_inverse=True)
        count = int(number.max(initial=-1)) + 1
        if count > GROUPS:
            raise Unranged
        made = []
        for at in range(count):
            some = numpy.flatnonzero(number == at) if count > 1 else numpy.arange(len(alive))
            figures = columns.facts[self.path].value[alive[some]] if self.path else numpy.zeros(0)  # type: ignore[index]
            if len(figures) and math.isnan(figures[0]):
                figures = numpy.zeros(0)
            starts = numpy.zeros(1, dtype=numpy.int64)
            if len(figures):
                order = numpy.argsort(figures, kind="stable")
                some, figures = some[order], figures[order]
                new = numpy.flatnonzero(numpy.diff(figures) > 0.0) + 1
                starts = numpy.concatenate(([0], new, [len(some)]))
                figures = figures[starts[:-1]]
            made.append(Group(some, figures, starts, int(alive[some[0]]), Places(figures)))
        return made

    # -- windows -------------------------------------------------------------------------------------------------

    def _windows(self, group: Group, rows: Index, some: Index) -> Windows:
        """Where all rules over both big roles fit, and where none condemns: a row a choice, a column for each of A."""
        whole = EVERYWHERE
        for cells in self.pair:
            found, number = self._asked(cells, group, rows, some)
            if self.split.refused != CONDEMNED:
                found = Windows(found.fits, found.fits)
            if len(some) > 1 and not self._in_order(number):
                found = _turned(found, number)
            whole = whole.both(found)
        for clash in self.clashes:
            whole = whole.both(self._clashing(clash, group, rows, some))
        return whole

    def _clashing(self, cells: ClashCells, group: Group, rows: Index, chosen: Index) -> Windows:
        """The same of a recorded clash, which says one thing of all of a group."""
        one, other = cells.roles.index(self.one), cells.roles.index(self.other)
        fixed, number = self.split.core_classes(cells, self.choices[chosen])
        along = cells.axes[one].classes[self.split.alive[self.one][rows]]
        shape = (max((len(each) for each in fixed.values()), default=1), len(along))
        which = [numpy.zeros(0, dtype=numpy.int64)] * len(cells.roles)
        which[one] = numpy.broadcast_to(along, shape).reshape(-1)
        which[other] = numpy.full(which[one].shape, cells.axes[other].classes[group.first])
        for at, classes in fixed.items():
            which[at] = numpy.repeat(classes, len(along))
        codes = cells.codes(which).reshape(shape)[number]
        if (codes <= FITTING).all():
            return EVERYWHERE
        fits = numpy.where(codes <= FITTING, LEAST, MOST)
        allows = numpy.where(codes < self.split.refused, LEAST, MOST)
        return Windows(Window(fits, fits, MOST, MOST), Window(allows, allows, MOST, MOST))

    @staticmethod
    def _in_order(number: Index) -> bool:
        return bool((number == numpy.arange(len(number))).all())

    def _asked(self, cells: Cells, group: Group, rows: Index, chosen: Index) -> tuple[Windows, Index]:
        """The same of one rule, a row for each different choice of the cores that it reads."""
        split = self.split
        one, other = cells.roles.index(self.one), cells.roles.index(self.other)
        rest, number = split.core_classes(cells, self.choices[chosen])
        low, high = (float(group.figures[0]), float(group.figures[-1])) if len(group.figures) else (0.0, 0.0)
        classes = cells.axes[one].classes[split.alive[self.one][rows]]
        across = _by_shape(numpy.stack([cells.axes[at].shapes[each] for at, each in rest.items()])) if rest else [None]
        along = _by_shape(cells.axes[one].shapes[classes][None, :])
        made: list[tuple[Index, Any, Windows]] = []
        for some in along:
            for few in across:
                inner = {at: each if few is None else each[few] for at, each in rest.items()}
                cell = [0] * len(cells.roles)
                cell[one], cell[other] = int(classes[some[0]]), int(cells.axes[other].classes[group.first])
                for at, each in inner.items():
                    cell[at] = int(each[0])
                place = Place(one, classes[some], other, self.path, cell[other], inner)
                made.append((some, few, windows(cells.block(cell), place, low, high)))
        if len(made) == 1:
            return made[0][2], number
        return _merged(made, max((len(each) for each in rest.values()), default=1), len(classes)), number

    # -- strips --------------------------------------------------------------------------------------------------

    def in_order(self, rows: Index) -> Index:
        """The same of A, sorted by where their strips start: places are found sooner one beside the other."""
        if len(rows) < SORTED or not self.pair:
            return rows
        low = self._windows(self.groups[0], rows, numpy.zeros(1, dtype=numpy.int64)).fits.maybe_low
        return rows if isinstance(low, float) else rows[numpy.argsort(low[0], kind="stable")]

    def strips(self, rows: Index, some: Index, scenes: Scenes, family: int) -> Iterator[Strip]:
        """One group of B and one choice after another. rows: of A, some: of the choices, so few that both together fit
        into memory. family: whether those that may fit are asked for, or all."""
        shape = (len(some), len(rows))
        for group in self.groups:
            found = self._windows(group, rows, some)
            allows = group.span(found.allows, shape)
            fits = allows if found.fits is found.allows else group.span(found.fits, shape)
            waiting: list[tuple[int, Span, Span, list[_Open]]] = []
            size = 0
            for at, choice in enumerate(some.tolist()):
                allow = allows.row(at)
                fit = allow if fits is allows else fits.row(at)
                open_ = list(self._open(choice, group, rows, fit, allow, scenes, family))
                waiting.append((choice, fit, allow, open_))
                size += sum(len(each.row) for each in open_)
                if size >= BATCH or at + 1 == shape[0]:
                    yield from self._asked_together(waiting, group, rows)
                    waiting, size = [], 0

    def _open(
        self, choice: int, group: Group, rows: Index, fits: Span, allows: Span, scenes: Scenes, family: int
    ) -> Iterator[_Open]:
        """The cells of one choice that no window decides."""
        ranges = list(gaps(fits, allows))
        if not ranges:
            return
        stands = scenes.row(self.one, family, choice)[rows] > 0
        may_fit = stands & (scenes.row(self.one, MAY_FIT, choice)[rows] > 0)
        here = scenes.row(self.other, family, choice)[group.at] > 0
        for each in ranges:
            for at, place in cells_of(*each, BATCH):
                surely = (place >= fits.sure_low[at]) & (place < fits.sure_high[at])
                allowed = (place >= allows.sure_low[at]) & (place < allows.sure_high[at])
                maybe = may_fit[at] & (place >= fits.low[at]) & (place < fits.high[at])
                wanted = numpy.flatnonzero(here[place] & stands[at] & ~surely & (~allowed | maybe))
                self.vague += len(wanted)
                if self.vague > VAGUE:
                    raise Unranged
                if len(wanted):
                    yield _Open(choice, at[wanted], place[wanted], maybe[wanted], allowed[wanted])

    def _asked_together(
        self, waiting: Sequence[tuple[int, Span, Span, list[_Open]]], group: Group, rows: Index
    ) -> Iterator[Strip]:
        """The strips of several choices, their open cells asked at once: a rule is as soon asked of many as of few."""
        several = [each for *_, open_ in waiting for each in open_]
        worst = numpy.zeros(0, dtype=numpy.int8)
        if several:
            choice = numpy.repeat([each.choice for each in several], [len(each.row) for each in several])
            row = numpy.concatenate([each.row for each in several])
            place = numpy.concatenate([each.place for each in several])
            worst = self._codes(choice, rows[row], group.at[place])
        start = 0
        for number, fit, allow, open_ in waiting:
            cells = []
            for each in open_:
                codes = worst[start : start + len(each.row)]
                start += len(each.row)
                allowed = ~each.allowed & (codes < self.split.refused)
                cells.append((each.row, each.place, each.maybe & (codes <= FITTING), allowed))
            yield Strip(number, group, (fit.sure_low, fit.sure_high), (allow.sure_low, allow.sure_high), cells)

    def _codes(self, choice: Index, one: Index, other: Index) -> Any:
        """The worst verdict of the rules over both, of standing candidates of each."""
        split = self.split
        worst = numpy.zeros(len(one), dtype=numpy.int8)
        left = numpy.arange(len(one))
        every: list[Cells | ClashCells] = [*self.pair, *self.clashes]
        for cells in every:
            which = []
            for name, axis in zip(cells.roles, cells.axes, strict=True):
                if name == self.one:
                    which.append(axis.classes[split.alive[name][one[left]]])
                elif name == self.other:
                    which.append(axis.classes[split.alive[name][other[left]]])
                else:
                    role = split.roles[name]
                    assert isinstance(role, Small)
                    chosen = self.choices[choice[left], split.cores.index(role)]
                    which.append(axis.classes[role.first[chosen]])
            worst[left] = numpy.maximum(worst[left], in_batches(cells, which))
            left = left[worst[left] < split.refused]
            if not len(left):
                break
        return worst


def _variety(columns: Columns, name: str) -> int:
    value = columns.facts[name].value
    if value is None:
        return 0
    some = value if len(value) <= 4096 else value[:4096]
    return len(numpy.unique(some[~numpy.isnan(some)]))


def _by_shape(shapes: Index) -> list[Any]:
    """Places of equal columns; one that takes all where they are alike."""
    if (shapes == shapes[:, :1]).all():
        return [numpy.arange(shapes.shape[1])]
    _, number = numpy.unique(shapes, axis=1, return_inverse=True) if len(shapes) > 1 else (0, shapes[0])
    number = number.reshape(-1)
    return [numpy.flatnonzero(number == at) for at in numpy.flatnonzero(numpy.bincount(number))]


def _turned(found: Windows, number: Index) -> Windows:
    """A row for every choice."""
    kept: dict[int, Any] = {}

    def turned(bound: Any) -> Any:
        if isinstance(bound, float):
            return bound
        if id(bound) not in kept:
            rows = max(len(bound), int(number.max()) + 1)
            kept[id(bound)] = numpy.broadcast_to(bound, (rows, bound.shape[1]))[number]
        return kept[id(bound)]

    def whole(window: Window) -> Window:
        low, high = (
            (turned(window.sure_low), turned(window.maybe_low)),
            (turned(window.maybe_high), turned(window.sure_high)),
        )
        return Window(*low, *high, window.off)

    allows = whole(found.allows)
    return Windows(allows if found.fits is found.allows else whole(found.fits), allows)


def _merged(made: Sequence[tuple[Index, Any, Windows]], rows: int, count: int) -> Windows:
    """Windows of the shapes of A and of the cores, put together."""
    kept: dict[tuple[int, ...], Any] = {}

    def whole(family: int, side: int) -> Any:
        several = [each[family][side] for _, _, each in made]
        if all(isinstance(each, float) for each in several) and len(set(several)) == 1:
            return several[0]
        key = tuple(id(each) for each in several)
        if key not in kept:
            kept[key] = numpy.empty((rows, count))
            for (some, few, _), each in zip(made, several, strict=True):
                kept[key][numpy.ix_(few if few is not None else numpy.arange(rows), some)] = each
        return kept[key]

    off = max(each[family].off for _, _, each in made for family in (0, 1))
    allows = Window(whole(1, 0), whole(1, 1), whole(1, 2), whole(1, 3), off)
    if all(each.fits is each.allows for _, _, each in made):
        return Windows(allows, allows)
    return Windows(Window(whole(0, 0), whole(0, 1), whole(0, 2), whole(0, 3), off), allows)
