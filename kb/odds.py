"""The probability that the limits of one question hold, by the shortest way that is right for the rule's form.

A figure that has no real value (a root below zero, a flange that finds no seat) lies outside every limit; where even
the nominal values give none, `checks` raises one of `kb.build.NO_FIGURE`.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import Any, NamedTuple

from kb.build import NO_FIGURE, Leaf, Question
from kb.chance import Settings, needed_u, p_smooth, shares, verdict_of
from kb.finding import Driver, LimitCheck, slack_of
from kb.measure import Term
from kb.roles import RoleFeature
from kb.stations import Form, p_all_stations

STATION_DRAWS = 2000  # draws where each is made on its own, most often a whole seat
CHECKS = 6  # seats that the linear models of the stations are checked against
_FAR = 8.0  # standard uncertainties beyond which a linearised station is not in doubt
_TAIL = 4.5  # standard uncertainties at which a normal error is cut off when a box of errors is looked at
_REACHES = (1.0, 30.0, 1000.0)  # half widths by which an input is moved to see which way it pulls


class Odds:
    """Limits of one question at its values, and the probability that they hold.

    settings: the decision rule. method: how the last probability was found.
    """

    def __init__(self, question: Question, settings: Settings) -> None:
        self.question = question
        self.settings = settings
        self.slack = slack_of(question.rule)
        self.method = "exact"
        self._models: list[_Linear] | None = None
        self._misses: list[float] | None = None
        own = question.build.own_limits
        limits = question.rule.limits
        self.soft = [not limit.may_condemn and (question.rule.id, limit.name) not in own for limit in limits]
        self._moving = [
            isinstance(limit.bound, RoleFeature) and (question.rule.id, limit.name) not in own for limit in limits
        ]

    # -- nominal -------------------------------------------------------------------------------------------------

    def stations(self, values: Sequence[Any]) -> list[tuple[str, Any]]:
        """(station, quantity); one unnamed station for rules with a single quantity. ValueError for no real number."""
        found = self.question.quantity(values)
        rows = list(found) if self.question.rule.form == "stations" else [("", found)]
        for _, quantity in rows:
            if isinstance(quantity, complex) or (isinstance(quantity, float) and not math.isfinite(quantity)):
                raise ValueError("these figures together give no real number: check them")
        return rows

    def worst(self, values: Sequence[Any]) -> tuple[str, float]:
        """The station with the smallest margin, and its quantity."""
        hard = [index for index, soft in enumerate(self.soft) if not soft] or range(len(self.soft))

        def margin(pair: tuple[str, Any]) -> float:
            return float(min(self.margin(index, pair[1], values) for index in hard))

        name, quantity = min(self.stations(values), key=margin)
        return name, float(quantity)

    def margin(self, index: int, quantity: Any, values: Sequence[Any]) -> Any:
        """Distance of a quantity inside the limit `index`."""
        bound = self.question.bound(index, values)
        return quantity - bound if self.question.rule.limits[index].side == "least" else bound - quantity

    def checks(self, values: Sequence[Any]) -> tuple[LimitCheck, ...]:
        """Every limit at these values, at its worst station; none where there is no station."""
        quantities = [quantity for _, quantity in self.stations(values)]
        if not quantities:
            return ()
        made = []
        for index, limit in enumerate(self.question.rule.limits):
            own = self.question.build.own_limits.get((self.question.rule.id, limit.name))
            margin = min(float(self.margin(index, each, values)) for each in quantities)
            made.append(LimitCheck(limit, float(self.question.bound(index, values)), own[1] if own else "", margin))
        return tuple(made)

    def least(self, limits: Sequence[int], values: Sequence[Any]) -> float:
        """The smallest margin of these limits over all stations; minus infinity where there is no figure."""
        try:
            return min(
                float(self.margin(index, quantity, values)) for _, quantity in self.stations(values) for index in limits
            )
        except NO_FIGURE:
            return -math.inf

    # -- probability ---------------------------------------------------------------------------------------------

    def hard(self) -> float:
        """P(all limits that may condemn hold); 1 when there is none."""
        return self._all([index for index, soft in enumerate(self.soft) if not soft])

    def usual(self) -> float:
        """P(all limits hold)."""
        return self._all(list(range(len(self.soft)))) if any(self.soft) else self.hard()

    def _all(self, limits: list[int]) -> float:
        if not limits:
            return 1.0
        if not self.question.spread:
            return 1.0 if self.least(limits, self.question.nominal) >= -self.slack else 0.0
        if self.question.form == "stations":
            return self._all_stations(limits)
        if self.question.form in ("rough", "count"):
            return self._rough(limits)
        return self._smooth(limits)

    def _smooth(self, limits: list[int]) -> float:
        """Each side fails on its own: 1 - P(below) - P(above), the worst limit of each side counting.

        Two limits of a side with fixed bounds lie one inside the other. A bound that is itself uncertain may cross the
        other one: then the side fails with at most the sum of the two.
        """
        fails: dict[str, list[float]] = {"least": [], "most": []}
        moving = {"least": False, "most": False}
        for index in limits:
            chance = p_smooth(
                lambda *x, index=index: self._margin_at(index, x),
                [self.question.nominal[leaf] for leaf in self.question.spread],
                self._terms(),
                -self.slack,
                math.inf,
            )
            if not chance.trusted:
                return self._drawn(limits)
            self.method = chance.how
            side = self.question.rule.limits[index].side
            fails[side].append(1.0 - chance.p)
            moving[side] |= self._moving[index]
        likely = sum(max(each, default=0.0) for each in fails.values())
        utmost = sum(sum(each) if moving[side] else max(each, default=0.0) for side, each in fails.items())
        if verdict_of(1.0 - likely, self.settings) != verdict_of(1.0 - utmost, self.settings):
            return self._drawn(limits)
        return max(0.0, 1.0 - likely)

    def _rough(self, limits: list[int]) -> float:
        """Corners of the box of all errors first: where the same side holds at both ends, nothing needs drawing."""
        low, high = self._ends(limits)
        if low >= -self.slack:
            self.method = "interval"
            return 1.0
        if high < -self.slack and high > -math.inf:
            self.method = "interval"
            return 0.0
        return self._drawn(limits)

    def _ends(self, limits: list[int]) -> tuple[float, float]:
        """Least and greatest of the smallest margin over the box of errors, each input moved the way it pulls.

        A rough rule promises that every input pulls one way wherever the others stand.
        """
        worst, best = list(self.question.nominal), list(self.question.nominal)
        for leaf in self.question.spread:
            dimension = self.question.leaves[leaf].dimension
            assert dimension is not None
            half = sum(min(term.half_width, _TAIL * term.u) for term in dimension.terms)
            pull = half if self._rises(limits, leaf, half) else -half
            worst[leaf] -= pull
            best[leaf] += pull
        return self.least(limits, worst), self.least(limits, best)

    def _rises(self, limits: list[int], leaf: int, half: float) -> bool:
        """Whether more of this input is more margin; it is moved farther where another input hides it from view."""
        for reach in _REACHES:
            up, down = list(self.question.nominal), list(self.question.nominal)
            up[leaf] += reach * half
            down[leaf] -= reach * half
            above, below = self.least(limits, up), self.least(limits, down)
            if math.isinf(above) or math.isinf(below):
                continue
            if abs(above - below) > 1e-12 * (abs(above) + abs(below)):
                return above > below
        return True

    def _all_stations(self, limits: list[int]) -> float:
        """Linearise each station over one standard uncertainty of each input, and bound or integrate the whole."""
        self.method = "stations"
        models = self.linear_models()
        forms, far_out, far_in = [], False, True
        for model in models:
            for index in limits:
                margin = self.margin(index, model.mean, self.question.nominal) + self.slack
                sign = 1.0 if self.question.rule.limits[index].side == "least" else -1.0
                forms.append(Form(margin, {key: sign * slope for key, slope in model.slopes.items()}, low=0.0))
                far_out |= margin < -_FAR * model.u
                far_in &= margin > _FAR * model.u
        if not self._models_hold(limits):
            return self._drawn(limits)
        if far_out or far_in:
            return 0.0 if far_out else 1.0
        chance = p_all_stations(forms, {leaf.key: self._term_of(leaf) for leaf in self._spread_leaves()})
        low, high = chance.p - chance.error, chance.p + chance.error
        if verdict_of(low, self.settings) == verdict_of(high, self.settings):
            return chance.p
        return self._drawn(limits)

    def _models_hold(self, limits: list[int]) -> bool:
        """Whether a few draws through the very rule come out as the linear models say.

        A station that leaves its stop, or a flange that rocks, makes the linear models wrong: then drawing decides.
        """
        if self._misses is None:
            self._misses = self._missed()
        nominal = self.question.nominal
        return all(
            miss <= max(0.25 * abs(self.margin(index, model.mean, nominal)), 0.5 * model.u, self.slack)
            for miss, model in zip(self._misses, self.linear_models(), strict=True)
            for index in limits
        )

    def _missed(self) -> list[float]:
        """How far each station's linear model misses the very rule at most; infinite where that gives no figure."""
        question = self.question
        models = self.linear_models()
        missed = [0.0] * len(models)
        for run in range(CHECKS):
            values = list(question.nominal)
            errors = {}
            for place, index in enumerate(question.spread):
                leaf = question.leaves[index]
                assert leaf.dimension is not None
                # Signs from a fixed pattern: every input one standard uncertainty off, in another mix each time, which
                # is as far from the nominal values as draws of so many inputs lie.
                sign = 1.0 if (place * 2654435761 + run * 40503) >> 7 & 1 else -1.0
                errors[leaf.key] = sign * leaf.dimension.u
                values[index] += errors[leaf.key]
            try:
                rows = self.stations(values)
            except NO_FIGURE:
                return [math.inf] * len(models)
            for at, ((_, found), model) in enumerate(zip(rows, models, strict=True)):
                said = model.mean + sum(slope * errors[key] for key, slope in model.slopes.items())
                missed[at] = max(missed[at], abs(found - said))
        return missed

    def _drawn(self, limits: list[int]) -> float:
        """Monte Carlo through the very rule function, each dimension drawn under its own name."""
        self.method = "monte carlo"
        if self.question.form in ("stations", "count"):
            return self._drawn_by_row(limits)
        import numpy

        question = self.question
        drawn = self._draws(self.settings.draws)
        values = [drawn.get(index, nominal) for index, nominal in enumerate(question.nominal)]
        with numpy.errstate(all="ignore"):
            quantity = question.quantity(values)
            inside = numpy.ones(self.settings.draws, dtype=bool)
            for index in limits:
                inside &= self.margin(index, quantity, values) >= -self.slack
        return float(inside.mean())

    def _drawn_by_row(self, limits: list[int]) -> float:
        """Monte Carlo one draw at a time, where a draw is a whole seat or looks things up in a table."""
        draws = min(self.settings.draws, STATION_DRAWS)
        columns = {index: column.tolist() for index, column in self._draws(draws).items()}
        held, values = 0, list(self.question.nominal)
        for run in range(draws):
            for index, column in columns.items():
                values[index] = column[run]
            held += self.least(limits, values) >= -self.slack
        return held / draws

    def _draws(self, draws: int) -> dict[int, Any]:
        """`draws` values of every uncertain leaf, by its index; leaves of one name share theirs."""
        from kb.draws import draw

        leaves = {index: self.question.leaves[index] for index in self.question.spread}
        wanted = {leaf.key: leaf.dimension for leaf in leaves.values() if leaf.dimension is not None}
        drawn = draw(wanted, draws=draws, seed=self.settings.seed)
        return {index: drawn[leaf.key] for index, leaf in leaves.items()}

    # -- spread of the quantity ----------------------------------------------------------------------------------

    def _spread_leaves(self) -> list[Leaf]:
        return [self.question.leaves[index] for index in self.question.spread]

    @staticmethod
    def _term_of(leaf: Leaf) -> tuple[Term, ...]:
        assert leaf.dimension is not None
        return leaf.dimension.terms

    def _terms(self) -> list[tuple[Term, ...]]:
        return [self._term_of(leaf) for leaf in self._spread_leaves()]

    def _margin_at(self, index: int, changed: Sequence[Any]) -> Any:
        values = list(self.question.nominal)
        for leaf, value in zip(self.question.spread, changed, strict=True):
            values[leaf] = value
        return self.margin(index, self.question.quantity(values), values)

    def linear_models(self) -> list[_Linear]:
        """One linear model a station: central differences over one standard uncertainty of every input."""
        if self._models is None:
            self._models = self._linearised(self.stations(self.question.nominal), self._near())
        return self._models

    def _linearised(
        self, base: Sequence[tuple[str, Any]], near: Callable[[Sequence[Any]], list[tuple[str, Any]]]
    ) -> list[_Linear]:
        question = self.question
        slopes: list[dict[str, float]] = [{} for _ in base]
        variance = [0.0] * len(base)
        for index in question.spread:
            leaf = question.leaves[index]
            assert leaf.dimension is not None
            for at, slope in enumerate(self._slopes(index, leaf.dimension.u, base, near)):
                if slope:
                    slopes[at][leaf.key] = slopes[at].get(leaf.key, 0.0) + slope
                    variance[at] += (slope * leaf.dimension.u) ** 2
        return [
            _Linear(name, float(mean), slope, math.sqrt(var))
            for (name, mean), slope, var in zip(base, slopes, variance, strict=True)
        ]

    def _slopes(
        self, index: int, u: float, base: Sequence[tuple[str, Any]], near: Callable[[Sequence[Any]], Any]
    ) -> list[float]:
        """Slope of every station to one input; one-sided where a step leads to no figure, 0 where both do."""
        rows = []
        for step in (u, -u):
            values = list(self.question.nominal)
            values[index] += step
            try:
                found = [float(quantity) for _, quantity in near(values)]
            except (*NO_FIGURE, TypeError):  # TypeError: a complex number is no float
                continue
            if all(math.isfinite(quantity) for quantity in found):
                rows.append((step, found))
        if len(rows) == 2:
            return [(up - down) / (2 * u) for up, down in zip(rows[0][1], rows[1][1], strict=True)]
        if not rows:
            return [0.0] * len(base)
        step, found = rows[0]
        return [(quantity - float(mean)) / step for quantity, (_, mean) in zip(found, base, strict=True)]

    def _near(self) -> Callable[[Sequence[Any]], list[tuple[str, Any]]]:
        """The stations' quantities near the nominal values: the rule's tangent where it has one, else the rule."""
        rule = self.question.rule
        if rule.tangent is None:
            return self.stations
        cheap = rule.tangent(*self.question.arguments(self.question.nominal))
        return lambda values: list(cheap(*self.question.arguments(values)))

    def worst_model(self) -> _Linear:
        """The linear model of the station that decides."""
        worst, _ = self.worst(self.question.nominal)
        return next(model for model in self.linear_models() if model.name == worst)

    def u(self) -> float | None:
        """Standard uncertainty of the quantity (first order), at the worst station; 0 when nothing is uncertain."""
        return self.worst_model().u if self.question.spread else 0.0

    def drivers(self) -> tuple[Driver, ...]:
        """Uncertain inputs, the one that widens the answer most first, and how good a reading would have to be."""
        if not self.question.spread:
            return ()
        model = self.worst_model()
        low, high = self.window(self.question.nominal)
        if any(self._moving) and self.question.form != "stations":
            model, low, high = self._margin_model(), -self.slack, math.inf
        leaves = self._spread_leaves()
        slopes = [model.slopes.get(leaf.key, 0.0) for leaf in leaves]
        terms = self._terms()
        us = [leaf.dimension.u for leaf in leaves if leaf.dimension is not None]
        made = []
        for at, (leaf, share) in enumerate(zip(leaves, shares(slopes, us), strict=True)):
            if share < 1e-4:
                continue
            needed = needed_u(model.mean, slopes, terms, at, low, high, settings=self.settings)
            made.append(Driver(leaf, share, needed.u if needed else None))
        return tuple(sorted(made, key=lambda each: (-each.share, each.leaf.name)))

    def _margin_model(self) -> _Linear:
        """The margin of the nearest limit as a linear model, so that an uncertain bound counts as an input too."""
        values = self.question.nominal
        quantity = self.question.quantity(values)
        index = min(range(len(self.soft)), key=lambda at: (float(self.margin(at, quantity, values)), self.soft[at]))

        def margin(values: Sequence[Any]) -> list[tuple[str, Any]]:
            return [("", self.margin(index, self.question.quantity(values), values))]

        return self._linearised(margin(values), margin)[0]

    def window(self, values: Sequence[Any]) -> tuple[float, float]:
        """The tightest bounds of all limits."""
        low, high = -math.inf, math.inf
        for index, limit in enumerate(self.question.rule.limits):
            bound = float(self.question.bound(index, values))
            if limit.side == "least":
                low = max(low, bound - self.slack)
            else:
                high = min(high, bound + self.slack)
        return low, high


class _Linear(NamedTuple):
    """A station as mean + sum of slope x error."""

    name: str
    mean: float
    slopes: dict[str, float]
    u: float
