"""Bounds of the probability that limits hold, in many cells at once.

For each limit the margin is taken as linear in the errors, with an allowance for how far it departs from that at a few
points of the box of errors; the distribution of the sum gives the bounds. A rough rule is looked at in the corners of
its box first, as `kb.odds` does.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

import numpy

from kb.search._spread import Array, Column, below

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from kb.search._screen import Screen

    Index = NDArray[numpy.intp]

UNDECIDED, FITTING, OPENING, CONDEMNED = -1, 1, 2, 3
_STEP = 1.7  # standard uncertainties of the chords, as in kb.smooth
_ALLOWED = 0.006  # what a probability of kb.smooth, or one that is drawn, may be off by
_LINEAR = 1e-4  # the same where the margin is linear
_NEAR = 1.5e-4  # the same where the surface of the limit is nearly flat
_SAMPLE = 64  # cells in which the slopes of a linear rule are looked at
_REACHES = (1.0, 30.0, 1000.0)  # as in kb.odds


class Box:
    """The values of the leaves in some cells, and how they are spread."""

    def __init__(self, screen: Screen, cells: Sequence[Index]) -> None:
        self.screen = screen
        self.coarse = screen.coarse  # whether bounds of the odds may be wide where they are far from the thresholds
        self.count = len(cells[0])
        self.values: list[Any] = list(screen.question.nominal)
        self.spread: dict[int, Column] = {}
        for leaf, (axis, whole) in screen.live.items():
            some = whole.at(cells[axis])
            self.values[leaf] = some.value
            if leaf in screen.question.spread:
                self.spread[leaf] = some
        for leaf, one in screen.fixed.items():
            self.spread[leaf] = one.at(numpy.zeros(self.count, dtype=numpy.intp))

    def only(self, at: Index) -> Box:
        """Some of the cells."""
        made = self.replaced([each[at] if isinstance(each, numpy.ndarray) else each for each in self.values])
        made.count = len(at)
        made.spread = {leaf: one.at(at) for leaf, one in self.spread.items()}
        return made

    def replaced(self, values: list[Any]) -> Box:
        """The same cells with other values of the leaves."""
        made = Box.__new__(Box)
        made.screen, made.count, made.values, made.spread = self.screen, self.count, values, self.spread
        made.coarse = self.coarse
        return made

    def margins(self, values: Sequence[Any], limits: Sequence[int]) -> dict[int, Array]:
        """The margin of each limit, slack not counted; NaN where there is no figure."""
        quantity = self.screen.question.quantity(values)
        made = {}
        for index in limits:
            margin = self.screen.odds.margin(index, quantity, values)
            if isinstance(margin, complex) or numpy.iscomplexobj(margin):
                raise ValueError("no real figures")
            made[index] = numpy.broadcast_to(numpy.asarray(margin, dtype=float), (self.count,))
        return made

    def least(self, limits: Sequence[int], values: Sequence[Any]) -> Array:
        """The smallest margin; minus infinity where there is no figure, as kb.odds has it."""
        found: Array = numpy.min(list(self.margins(values, limits).values()), axis=0)
        return numpy.where(numpy.isfinite(found), found, -math.inf)

    def verdicts(
        self, limits: Sequence[int], nominal: Mapping[int, Array], each: Mapping[int, tuple[Array, Array]]
    ) -> NDArray[numpy.int8]:
        """What the odds of these limits say, -1 where they do not tell. each: bounds of the odds of every limit."""
        found = numpy.full(self.count, UNDECIDED, dtype=numpy.int8)
        if not limits:
            found[:] = FITTING
            return found
        if not self.spread:
            least: Array = numpy.min([nominal[index] for index in limits], axis=0)
            return numpy.where(least >= -self.screen.slack, FITTING, CONDEMNED).astype(numpy.int8)
        low = 1.0 - self.joined({index: 1.0 - each[index][0] for index in limits}, utmost=True)
        high = 1.0 - self.joined({index: 1.0 - each[index][1] for index in limits}, utmost=False)
        settings = self.screen.settings
        found[low >= settings.fits_at] = FITTING
        found[high <= settings.not_at] = CONDEMNED
        found[(low > settings.not_at) & (high < settings.fits_at)] = OPENING
        if self.screen.question.form == "rough":
            self._corners(limits, found)
        return found

    # -- a box of errors -----------------------------------------------------------------------------------------

    def _corners(self, limits: Sequence[int], found: NDArray[numpy.int8]) -> None:
        """A rough rule whose limits hold, or break, in both corners: 1 and 0, before anything is drawn."""
        worst, best = list(self.values), list(self.values)
        for leaf, one in self.spread.items():
            pull = numpy.where(self._rises(limits, leaf, one.box), one.box, -one.box)
            worst[leaf] = worst[leaf] - pull
            best[leaf] = best[leaf] + pull
        low, high = self.least(limits, worst), self.least(limits, best)
        slack = self.screen.slack
        found[(high < -slack) & (high > -math.inf)] = CONDEMNED
        found[low >= -slack] = FITTING

    def _rises(self, limits: Sequence[int], leaf: int, half: Array) -> NDArray[numpy.bool_]:
        found = numpy.ones(self.count, dtype=bool)
        sought = numpy.ones(self.count, dtype=bool)
        for reach in _REACHES:
            up, down = list(self.values), list(self.values)
            up[leaf] = up[leaf] + reach * half
            down[leaf] = down[leaf] - reach * half
            above, below_ = self.least(limits, up), self.least(limits, down)
            told = sought & numpy.isfinite(above) & numpy.isfinite(below_)
            told &= numpy.abs(above - below_) > 1e-12 * (numpy.abs(above) + numpy.abs(below_))
            found[told] = (above > below_)[told]
            sought &= ~told
            if not sought.any():
                break
        return found

    def joined(self, fails: Mapping[int, Array], utmost: bool) -> Array:
        """How likely one of the limits fails: the worst of each side, the sum of a side with bounds that move."""
        total = numpy.zeros(self.count)
        for side in ("least", "most"):
            some = [index for index in fails if self.screen.question.rule.limits[index].side == side]
            if some:
                several = [fails[index] for index in some]
                summed = utmost and any(self.screen.moving[index] for index in some)
                total = total + (numpy.sum(several, axis=0) if summed else numpy.max(several, axis=0))
        return total

    def each(self, limits: Sequence[int], nominal: Mapping[int, Array]) -> dict[int, tuple[Array, Array]]:
        """Bounds of the probability that each limit holds; 0 and 1 where a point near has no figure."""
        us = {leaf: one.u for leaf, one in self.spread.items()}
        steady = self._steady(limits)
        made = {}
        if steady is not None:
            zero = numpy.zeros(self.count)
            for index in limits:
                rates = {leaf: steady[index, leaf] * u for leaf, u in us.items()}
                made[index] = self._held(nominal[index] + self.screen.slack, rates, us, zero, nominal[index])
            return made
        slopes, bends = self._model([0.0] * len(us), limits, us, nominal, _STEP)
        departs = self._departure(limits, slopes, us, nominal)
        for index in limits:
            off = numpy.maximum(1.5 * numpy.sum([numpy.abs(bend) for bend in bends[index].values()], axis=0),
                                1.5 * departs[index])  # fmt: skip
            x = nominal[index] + self.screen.slack
            low, high = self._held(x, slopes[index], us, off, nominal[index])
            self._closer(index, low, high, slopes[index], us)
            self._boxed(index, low, high, slopes[index], bends[index])
            made[index] = low, high
        return made

    def _boxed(
        self, index: int, low: Array, high: Array, slopes: Mapping[int, Array], bends: Mapping[int, Array]
    ) -> None:
        """Sure odds where the limit holds, or breaks, in all the box of errors, of a margin that runs one way in it.

        One way: up or down on both sides of the nominal value by the same input, and nowhere looked at beyond the two
        corners that the slopes point to.
        """
        at = numpy.flatnonzero(self._vague(low, high) & numpy.isfinite(low))
        if not len(at):
            return
        some = self.only(at)
        one_way = numpy.ones(len(at), dtype=bool)
        worst, best, mixed = list(some.values), list(some.values), list(some.values)
        for place, (leaf, one) in enumerate(some.spread.items()):
            slope, bend = slopes[leaf][at], bends[leaf][at]
            one_way &= numpy.abs(bend) * _STEP <= 2.0 * numpy.abs(slope)
            pull = numpy.where(slope >= 0.0, one.box, -one.box)
            worst[leaf], best[leaf] = worst[leaf] - pull, best[leaf] + pull
            mixed[leaf] = mixed[leaf] + (pull if place % 2 else -pull)
        least, most, between, here = (
            some.margins(values, [index])[index] for values in (worst, best, mixed, some.values)
        )
        slack = self.screen.slack
        one_way &= (least <= between) & (between <= most) & (least <= here) & (here <= most)
        holds, breaks = one_way & (least >= -slack), one_way & (most < -slack)
        low[at[holds]] = numpy.maximum(low[at[holds]], 1.0 - _ALLOWED)
        high[at[breaks]] = numpy.minimum(high[at[breaks]], _ALLOWED)

    def _vague(self, low: Array, high: Array) -> NDArray[numpy.bool_]:
        """Whether these bounds alone give no verdict."""
        settings = self.screen.settings
        clear = (low >= settings.fits_at) | (high <= settings.not_at)
        clear |= (low > settings.not_at) & (high < settings.fits_at)
        return ~clear

    def _model(
        self, at: Sequence[Any], limits: Sequence[int], us: Mapping[int, Array], here: Mapping[int, Array], step: float
    ) -> tuple[dict[int, dict[int, Array]], dict[int, dict[int, Array]]]:
        """Slopes and second differences of the margins per standard uncertainty, at a point in such units."""
        slopes: dict[int, dict[int, Array]] = {index: {} for index in limits}
        bends: dict[int, dict[int, Array]] = {index: {} for index in limits}
        base = self._moved(at, us)
        for leaf, u in us.items():
            rows = []
            for way in (step, -step):
                moved = list(base)
                moved[leaf] = moved[leaf] + way * u
                rows.append(self.margins(moved, limits))
            for index in limits:
                up, down = rows[0][index], rows[1][index]
                slopes[index][leaf] = (up - down) / (2.0 * step)
                bends[index][leaf] = (up + down - 2.0 * here[index]) / (step * step)
        return slopes, bends

    def _moved(self, z: Sequence[Any], us: Mapping[int, Array]) -> list[Any]:
        moved = list(self.values)
        for shift, (leaf, u) in zip(z, us.items(), strict=True):
            moved[leaf] = moved[leaf] + shift * u
        return moved

    def _steady(self, limits: Sequence[int]) -> dict[tuple[int, int], float] | None:
        """The slopes of a linear rule per unit of each leaf, the same in all cells; found once, in a few of them."""
        screen = self.screen
        if screen.question.form != "linear" or self.count < 2 * _SAMPLE:
            return screen.steady or None
        if screen.steady is None:
            screen.steady = {}
            some = self.only(numpy.linspace(0, self.count - 1, _SAMPLE).astype(numpy.intp))
            us = {leaf: numpy.maximum(one.u, 1e-6 * numpy.abs(one.value)) + 1e-12 for leaf, one in some.spread.items()}
            here = some.margins(some.values, screen.all)
            slopes, _ = some._model([0.0] * len(us), screen.all, us, here, _STEP)
            departs = some._departure(screen.all, slopes, us, here)
            found = {}
            for index in screen.all:
                sizes = [numpy.abs(slope) for slope in slopes[index].values()]
                noise = 1e-9 * numpy.max(sizes, axis=0) + 1e-13 * numpy.abs(here[index])
                if not (departs[index] <= 10.0 * noise).all():
                    return None
                for leaf, slope in slopes[index].items():
                    rate = slope / us[leaf]
                    if not numpy.ptp(rate) <= 1e-5 * numpy.abs(rate).max() + 1e-12:
                        return None
                    found[index, leaf] = float(numpy.median(rate))
            screen.steady = found
        return screen.steady or None

    def _closer(
        self, index: int, low: Array, high: Array, slopes: Mapping[int, Array], us: Mapping[int, Array]
    ) -> None:
        """Narrower bounds for cells that a limit leaves open: the linear model is taken where the limit is met.

        The surface of the limit bends less than the margin does where a product or a ratio is compared with a bound.
        """
        at = numpy.flatnonzero(self._vague(low, high) & numpy.isfinite(low))
        if not len(at) or len(us) < 1:
            return
        some = self.only(at)
        near = {leaf: u[at] for leaf, u in us.items()}
        slope = [each[at] for each in slopes.values()]
        margin = some.margins(some.values, [index])[index] + self.screen.slack
        size = numpy.sum([each * each for each in slope], axis=0)
        z = [-margin * each / size for each in slope]
        ok = numpy.sqrt(numpy.sum([each * each for each in z], axis=0)) < 4.0
        for _ in range(2):
            here = some.margins(some._moved(z, near), [index])[index]
            model, bend = some._model(z, [index], near, {index: here}, 0.5)
            slope = list(model[index].values())
            size = numpy.sum([each * each for each in slope], axis=0)
            along = numpy.sum([one * each for one, each in zip(z, slope, strict=True)], axis=0)
            x = here + self.screen.slack - along
            last, z = z, [-x * each / size for each in slope]
        moved = numpy.sqrt(numpy.sum([(one - each) ** 2 for one, each in zip(z, last, strict=True)], axis=0))
        root = numpy.sqrt(size)
        unit = [each / root for each in slope]
        bends = list(bend[index].values())
        off = numpy.sum([numpy.abs(one) * (1.0 - each * each) for one, each in zip(bends, unit, strict=True)], axis=0)
        off = (
            off
            + 0.5
            * numpy.sum([numpy.abs(one) * each**2 for one, each in zip(bends, unit, strict=True)], axis=0)
            * (moved + 0.1) ** 2
        )
        for flip in range(min(3, len(unit) - 1)):
            # Along the surface: no first-order change, so what is left is its bend.
            way = [1.0 + 0.6 * (place * 0.618 % 1.0) if (place >> flip) & 1 else -1.0 for place in range(len(unit))]
            lean = numpy.sum([one * each for one, each in zip(way, unit, strict=True)], axis=0)
            flat = [one - lean * each for one, each in zip(way, unit, strict=True)]
            length = numpy.sqrt(numpy.sum([each * each for each in flat], axis=0))
            for sign in (1.5, -1.5):
                step = [one + sign * each / length for one, each in zip(last, flat, strict=True)]
                there = some.margins(some._moved(step, near), [index])[index]
                off = numpy.maximum(off, 1.5 * numpy.abs(there - here))
        told = some._held(x, dict(zip(near, slope, strict=True)), near, off, here, near=True)
        ok &= (off < 0.1 * root) & (moved < 0.5)
        place = at[ok]
        low[place] = numpy.maximum(low[place], told[0][ok])
        high[place] = numpy.minimum(high[place], told[1][ok])

    def _departure(
        self,
        limits: Sequence[int],
        slopes: Mapping[int, Mapping[int, Array]],
        us: Mapping[int, Array],
        nominal: Mapping[int, Array],
    ) -> dict[int, Array]:
        """How far the margins lie from their linear models in corners of the box."""
        found = {index: numpy.zeros(self.count) for index in limits}
        first = slopes[limits[0]]
        signs = {leaf: numpy.where(slope >= 0.0, 1.0, -1.0) for leaf, slope in first.items()}
        for flip in range(4):
            moved = list(self.values)
            shifts = {}
            for place, leaf in enumerate(us):
                step = (1.0 + 0.6 * (place * 0.618 % 1.0)) * (1.0 if flip % 2 else -1.0)
                if flip > 1 and place % 2:
                    step = -step
                shifts[leaf] = signs[leaf] * step
                moved[leaf] = moved[leaf] + shifts[leaf] * us[leaf]
            there = self.margins(moved, limits)
            for index in limits:
                said = nominal[index] + numpy.sum([slopes[index][leaf] * shifts[leaf] for leaf in us], axis=0)
                found[index] = numpy.maximum(found[index], numpy.abs(there[index] - said))
        return found

    def _held(
        self,
        x: Array,
        slopes: Mapping[int, Array],
        us: Mapping[int, Array],
        off: Array,
        nominal: Array,
        near: bool = False,
    ) -> tuple[Array, Array]:
        """Bounds of P(margin + errors >= 0) where the margin is x and departs by `off` from its linear model."""
        variance = numpy.zeros(self.count)
        halves = []
        for leaf, slope in slopes.items():
            one, u = self.spread[leaf], us[leaf]
            factor = numpy.where(u > 0.0, numpy.abs(slope) / numpy.where(u > 0.0, u, 1.0), 0.0)
            variance = variance + one.variance * factor * factor
            halves.append(one.halves * factor[:, None])
        table = numpy.concatenate(halves, axis=1)
        size = numpy.sqrt(numpy.sum([slope * slope for slope in slopes.values()], axis=0))
        straight = off <= 1e-8 * size + 1e-12 * numpy.abs(nominal)
        low, high = below(x, variance, table, self.coarse)
        if not straight.all():
            bent = ~straight
            low[bent] = below(x[bent] - off[bent], variance[bent], table[bent], self.coarse)[0]
            high[bent] = below(x[bent] + off[bent], variance[bent], table[bent], self.coarse)[1]
        rough = self.screen.question.form == "rough"
        allowed = numpy.where(straight & (not rough), _LINEAR, _ALLOWED)
        if near and not rough:
            allowed = numpy.minimum(allowed, _NEAR + 0.05 * off / size)
        flat = straight & (size <= 1e-13 * numpy.abs(nominal))
        allowed = numpy.where(flat, 0.0, allowed)
        unknown = ~numpy.isfinite(off) | ~numpy.isfinite(x) | ~numpy.isfinite(size)
        low, high = numpy.where(unknown, 0.0, low - allowed), numpy.where(unknown, 1.0, high + allowed)
        return numpy.clip(low, 0.0, 1.0), numpy.clip(high, 0.0, 1.0)
