"""From which value of one figure on a rule over two roles holds: found by asking the rule, never from its formula.

One role's candidates (B) differ, within a group, in one figure alone. Where a margin runs one way along that figure it
holds on one side of a threshold, and each candidate of the other role (A) has its own. The thresholds of all of A are
found together: two figures give a line, and where the rule is no line its own answers beside the threshold have to
change, else the place is halved until they do. Errors move a margin by no more than between two corners of their box:
there are two thresholds then, and what lies between them is asked cell by cell.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy

from kb.build import NO_FIGURE
from kb.search._cells import CONDEMNED, FITTING, NOT_ASKED, Block

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from kb.search._screen import Screen

    Floats = NDArray[numpy.float64]
    Index = NDArray[numpy.int64]
    Margin = Callable[[Any], Floats]

_GUARD = 1e-12  # of the figures' size: nearer than this to a threshold a cell is asked by itself
_HALVINGS = 70
_TRIED = 24  # candidates and figures on a grid of which a curved rule is seen to run one way
# Odds from the box of errors, see `kb.search._range` and `kb.search._box`: nearer to 0 and 1 nothing is sure.
_CLEAR = {"linear": 1e-3, "smooth": 7e-3, "rough": 1e-3}


class Unranged(Exception):
    """This search has no such thresholds: it has to be made another way."""


class Window(NamedTuple):
    """For each choice of the rest and each of A the figures of B, from `low` to `high`, with which something holds.

    sure: within it holds; maybe: outside it does not; of exact parts both are one. off: how far each bound may be from
    where it stands. Arrays (a row a choice) or plain floats.
    """

    sure_low: Any
    maybe_low: Any
    maybe_high: Any
    sure_high: Any
    off: float = 0.0

    def both(self, other: Window) -> Window:
        """Where both hold."""
        if other is ALWAYS:
            return self
        if self is ALWAYS:
            return other
        low = _tighter(numpy.maximum, self.maybe_low, other.maybe_low, -math.inf)
        high = _tighter(numpy.minimum, self.maybe_high, other.maybe_high, math.inf)
        sure_low, sure_high = low, high
        if self.sure_low is not self.maybe_low or other.sure_low is not other.maybe_low:
            sure_low = _tighter(numpy.maximum, self.sure_low, other.sure_low, -math.inf)
        if self.sure_high is not self.maybe_high or other.sure_high is not other.maybe_high:
            sure_high = _tighter(numpy.minimum, self.sure_high, other.sure_high, math.inf)
        return Window(sure_low, low, high, sure_high, max(self.off, other.off))


def _tighter(choose: Any, one: Any, other: Any, none: float) -> Any:
    """The tighter of two bounds; the very other one where one is none."""
    if isinstance(one, float) and one == none:
        return other
    if isinstance(other, float) and other == none:
        return one
    return choose(one, other)


LEAST, MOST = -math.inf, math.inf
ALWAYS = Window(LEAST, LEAST, MOST, MOST)
NEVER = Window(MOST, MOST, LEAST, LEAST)
UNKNOWN = Window(MOST, LEAST, MOST, LEAST)


class Windows(NamedTuple):
    """Where a rule fits, and where it does not condemn."""

    fits: Window
    allows: Window  # the same window where no limit is soft

    def both(self, other: Windows) -> Windows:
        allows = self.allows.both(other.allows)
        if self.fits is self.allows and other.fits is other.allows:
            return Windows(allows, allows)
        return Windows(self.fits.both(other.fits), allows)


EVERYWHERE = Windows(ALWAYS, ALWAYS)


class Place(NamedTuple):
    """The cells in question. one: axis of A, and the classes along it; other: axis of B, the path of the figure that
    differs, and a class of the group; rest: of every other axis the classes that are chosen in turn.

    What is found has a row for each choice and a column for each class of A.
    """

    one: int
    classes: Index
    other: int
    path: str
    group: int
    rest: Mapping[int, Index]

    @property
    def shape(self) -> tuple[int, int]:
        return max((len(each) for each in self.rest.values()), default=1), len(self.classes)


def windows(block: Block, place: Place, low: float, high: float) -> Windows:
    """Of one rule, for the candidates of A in one block, figures of B from `low` to `high`; all open if it has none."""
    if block.constant is not None:
        if block.constant in (NOT_ASKED, FITTING):
            return EVERYWHERE
        return Windows(NEVER, NEVER) if block.constant == CONDEMNED else Windows(NEVER, ALWAYS)
    screen = block.screen
    if screen is None or screen.question.missing:
        return Windows(UNKNOWN, UNKNOWN)
    with numpy.errstate(all="ignore"):
        try:
            return _Search(screen, place, low, high).windows()
        except (Unranged, *NO_FIGURE, TypeError, KeyError, IndexError, AttributeError):
            return Windows(UNKNOWN, UNKNOWN)


class _Search:
    """One bound question, with A's values as arrays and one figure of B left open."""

    def __init__(self, screen: Screen, place: Place, low: float, high: float) -> None:
        self.screen = screen
        self.low, self.high = low, high
        self.shape = place.shape
        self.base: list[Any] = list(screen.question.nominal)
        self.open = -1  # the leaf that holds B's figure
        self.box: dict[int, Any] = {}
        for leaf, (axis, whole) in screen.live.items():
            at = self._cut(place, axis)
            self.base[leaf] = whole.value[at]
            if axis == place.other and screen.question.leaves[leaf].path == place.path:
                self.open = leaf
            if leaf in screen.question.spread:
                self.box[leaf] = whole.box[at]
        for leaf, one in screen.fixed.items():
            self.box[leaf] = one.box[0]
        self.form = screen.question.form
        size = max(abs(low), abs(high), *(float(numpy.max(numpy.abs(each), initial=0.0)) for each in self._figures()))
        self.guard = _GUARD * size
        settings = screen.settings
        clear = _CLEAR.get(self.form, 1.0)
        if self.box and (settings.fits_at > 1.0 - clear or settings.not_at < clear):
            raise Unranged

    @staticmethod
    def _cut(place: Place, axis: int) -> Any:
        """The classes of an axis, laid along A, along the choices, or the one of B's group."""
        if axis == place.one:
            return place.classes[None, :]
        return place.group if axis == place.other else place.rest[axis][:, None]

    def _figures(self) -> list[Any]:
        """The lengths among the leaves: what rounding is measured by."""
        return [self.base[leaf] for leaf in self.screen.live if leaf != self.open]

    def _values(self, figure: Any, moved: Mapping[int, Any] | None = None, way: float = 0.0) -> list[Any]:
        values = list(self.base)
        if self.open >= 0:
            values[self.open] = figure
        for leaf, pull in (moved or {}).items():
            values[leaf] = values[leaf] + way * pull
        return values

    def _margin(self, index: int, values: Sequence[Any], quantity: Any = None) -> Floats:
        if quantity is None:
            quantity = self.screen.question.quantity(values)
        found = self.screen.odds.margin(index, quantity, values)
        if numpy.iscomplexobj(found):
            raise ValueError("no real figures")
        return numpy.asarray(found, dtype=float)

    def windows(self) -> Windows:
        if self.open < 0:
            self.high = self.low
        if self.form != "linear":
            self._one_way()
        ends = self._ends() if not self.box else None
        fits = allows = ALWAYS
        for index in self.screen.hard:
            fits = allows = allows.both(self._window(index, ends))
        for index in self.screen.all:
            if index not in self.screen.hard:
                fits = fits.both(self._window(index, ends))
        return Windows(fits, allows)

    def _ends(self) -> tuple[tuple[list[Any], Any], tuple[list[Any], Any]]:
        """Values and quantities at both ends of B's figures, which all limits share."""
        made = []
        for figure in (self.low, self.high):
            values = self._values(figure)
            made.append((values, self.screen.question.quantity(values)))
        return made[0], made[1]

    def _window(self, index: int, ends: Any) -> Window:
        if ends is not None:
            first, last = (self._margin(index, values, quantity) for values, quantity in ends)
            return self._solved(index, first, last, lambda figure: self._margin(index, self._values(figure)))
        pulls = self._pulls(index)
        corners = []
        for way in (-1.0, 1.0):

            def ask(figure: Any, way: float = way) -> Floats:
                return self._margin(index, self._values(figure, pulls, way))

            corners.append(self._solved(index, ask(self.low), ask(self.high), ask))
        worst, best = corners
        return Window(worst.sure_low, best.maybe_low, best.maybe_high, worst.sure_high, max(worst.off, best.off))

    def _pulls(self, index: int) -> dict[int, Any]:
        """How far, and which way, the errors of each leaf raise the margin at most, about where the limit is met."""
        first, last = (self._margin(index, self._values(figure)) for figure in (self.low, self.high))
        figure = self.low + (-self.screen.slack - first) * ((self.high - self.low) / (last - first))
        figure = numpy.where(numpy.isfinite(figure), numpy.clip(figure, self.low, self.high), self.high)
        made = {}
        for leaf, box in self.box.items():
            up, down = (self._margin(index, self._values(figure, {leaf: box}, way)) for way in (1.0, -1.0))
            made[leaf] = numpy.where(up < down, -box, box)
        return made

    def _solved(self, index: int, first: Floats, last: Floats, ask: Margin) -> Window:
        """The threshold of one margin that runs one way, `first` to `last`, along the figure.

        Where the margin holds, or breaks, at both ends the line through them meets the limit beyond them, or never.
        """
        more = last - first
        if not numpy.isfinite(more).all():
            return self._solved_in_part(index, first, last, ask)
        rises = bool(more.max() > 0.0)
        if rises and bool(more.min() < 0.0):
            raise Unranged
        target, length = -self.screen.slack, self.high - self.low
        with numpy.errstate(all="ignore"):
            at = (
                self.low + (target - first) * (length / more)
                if rises
                else self.high + (target - last) * (length / more)
            )
            if not rises:  # a margin that does not move at all holds everywhere, or nowhere
                at = numpy.where(more == 0.0, numpy.where(last >= target, math.inf, -math.inf), at)
        met = (at == at) | (more != 0.0)
        if not met.all():  # on the very limit, wherever B's figure is: asked cell by cell
            return self._open_where(~met, rises, at, self.guard)
        off = self.guard
        if self.form != "linear":
            at, off = self._closer(numpy.broadcast_to(at, self.shape), rises, ask)
        return Window(at, at, MOST, MOST, off) if rises else Window(LEAST, LEAST, at, at, off)

    def _solved_in_part(self, index: int, first: Floats, last: Floats, ask: Margin) -> Window:
        """The same where some of A have no figure at one end: those are left open."""
        first, last = numpy.broadcast_to(first, self.shape), numpy.broadcast_to(last, self.shape)
        figure = numpy.isfinite(first) & numpy.isfinite(last)
        if not figure.any():
            return UNKNOWN
        window = self._solved(index, numpy.where(figure, first, 0.0), numpy.where(figure, last, 0.0), ask)
        rises = isinstance(window.maybe_high, float)
        return self._open_where(~figure, rises, window.maybe_low if rises else window.maybe_high, window.off, window)

    def _open_where(
        self, places: NDArray[numpy.bool_], rises: bool, at: Any, off: float, window: Window | None = None
    ) -> Window:
        """A window with some places left open."""
        other = at if window is None else (window.sure_low if rises else window.sure_high)
        never, ever = (MOST, LEAST) if rises else (LEAST, MOST)
        sure, maybe = numpy.where(places, never, other), numpy.where(places, ever, at)
        return Window(sure, maybe, MOST, MOST, off) if rises else Window(LEAST, LEAST, maybe, sure, off)

    def _closer(self, at: Floats, rises: bool, ask: Margin) -> tuple[Floats, float]:
        """See that the answer changes at `at`; else halve the range, and give back where it does, and how nearly."""
        target = -self.screen.slack
        inside = (at > self.low - self.guard) & (at < self.high + self.guard)
        if not inside.any():
            return at, self.guard
        above, below = ask(at + self.guard) >= target, ask(at - self.guard) >= target
        wrong = inside & ((above <= below) if rises else (below <= above))
        if not wrong.any():
            return at, self.guard
        bottom, top = numpy.full(self.shape, self.low), numpy.full(self.shape, self.high)
        for _ in range(_HALVINGS):
            middle = (bottom + top) / 2.0
            upper = (ask(middle) >= target) == rises
            top, bottom = numpy.where(upper, middle, top), numpy.where(upper, bottom, middle)
        at = numpy.where(wrong, (bottom + top) / 2.0, at)
        return at, self.guard + float((top - bottom)[wrong].max())

    def _one_way(self) -> None:
        """Unranged unless a curved rule runs one way along B's figure, and what holds in the worst corner of errors, or
        breaks in the best, does so in the others.

        A rough rule promises the first (`kb.odds`); here both are seen on a grid.
        """
        count = self.shape[1]
        some = numpy.unique(numpy.linspace(0, count - 1, min(count, _TRIED)).astype(numpy.int64))
        few = _Search.__new__(_Search)
        few.__dict__.update(self.__dict__)

        def cut(value: Any) -> Any:
            if not isinstance(value, numpy.ndarray) or not value.ndim:
                return value
            value = value[:, some] if value.shape[1] > 1 else value
            return value[:: max(1, value.shape[0] - 1), :, None]  # the first choice and the last

        few.base = [cut(each) for each in self.base]
        few.box = {leaf: cut(each) for leaf, each in self.box.items()}
        grid = numpy.linspace(self.low, self.high, _TRIED)[None, None, :]
        for index in self.screen.all:
            found = few._margin(index, few._values(grid))
            if not found.ndim:
                continue
            steps, noise = numpy.diff(found, axis=-1), 1e-12 * numpy.abs(found).max()
            if (steps > noise).any() and (steps < -noise).any():
                raise Unranged
            if not few.box:
                continue
            pulls = few._pulls(index)
            worst, best = (few._margin(index, few._values(grid, pulls, way)) for way in (-1.0, 1.0))
            target = -self.screen.slack
            for turn in range(2 * len(pulls)):
                mixed = {
                    leaf: pull if (place == turn // 2) == bool(turn % 2) else -pull
                    for place, (leaf, pull) in enumerate(pulls.items())
                }
                between = few._margin(index, few._values(grid, mixed, 1.0))
                if ((worst >= target) & (between < target - noise)).any():
                    raise Unranged
                if ((best < target) & (between > target + noise)).any():
                    raise Unranged
