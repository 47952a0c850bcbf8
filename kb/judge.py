"""From a question to a finding: quantity + uncertainty + limits -> verdict, margin, probability, drivers.

Limits from sources that may condemn decide "does not fit"; limits from memory can only hold back a "fits". A missing
value may condemn through its plausible range and never clears. No prose here: `kb/explain.py` words a finding.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from itertools import product
from typing import Any, NamedTuple

from kb.build import Build, Leaf, Question, applies, views
from kb.chance import FITS, NOT, OPEN, Settings, needed_u, p_between, p_smooth, shares, verdict_of
from kb.known import Clash
from kb.measure import Term
from kb.records import SHOWN
from kb.rules import Entry
from kb.rules._rule import Limit, Rule
from kb.stations import Form, p_all_stations

GRID = (41, 13, 7)  # points a missing value is tried at, for one, two and three missing values
STATION_DRAWS = 2000  # draws where each is a whole seating computation
CHECKS = 6  # seats that the linear models of the stations are checked against
_FAR = 8.0  # standard uncertainties beyond which a linearised station is not in doubt


class LimitCheck(NamedTuple):
    """One limit at the nominal values. margin: distance inside the limit, SI, negative when broken."""

    limit: Limit
    bound: float
    own: str
    margin: float

    @property
    def may_condemn(self) -> bool:
        return bool(self.own) or self.limit.may_condemn


class Driver(NamedTuple):
    """An input that keeps the question open.

    share: its part of the variance (0 to 1; 0 for a missing one). needed: the standard uncertainty of a reading that
    would settle it if no value moves, None when no reading of this input alone can.
    """

    leaf: Leaf
    share: float
    needed: float | None


class Finding(NamedTuple):
    """A rule's answer for one build.

    because: 'limits', 'outside_usual', 'spread', 'missing', 'hopeless' (condemned whatever the missing value is).
    probability: that every limit which may condemn holds; usual: that all limits hold; None where nothing was computed.
    station: the station that decided, for rules over stations.
    """

    rule: Rule
    verdict: str
    because: str
    probability: float | None
    usual: float | None
    quantity: float | None
    u: float | None
    checks: tuple[LimitCheck, ...]
    station: str
    drivers: tuple[Driver, ...]
    method: str
    question: Question
    qualifier: str = ""

    @property
    def name(self) -> str:
        """The rule's id, with the qualifier of the part that it was asked of: `hose-bore:return`."""
        return f"{self.rule.id}:{self.qualifier}" if self.qualifier else self.rule.id

    @property
    def margin(self) -> float | None:
        """Distance to the nearest limit, negative when broken; None where nothing was computed."""
        return min((each.margin for each in self.checks), default=None)

    @property
    def broken(self) -> tuple[LimitCheck, ...]:
        """Limits that the nominal quantity breaks."""
        return tuple(each for each in self.checks if each.margin < -_slack(self.rule))

    @property
    def deciding(self) -> LimitCheck | None:
        """The limit that the verdict rests on: the worst broken one that may condemn, else the nearest."""
        order = sorted(self.checks, key=lambda each: (not (each.may_condemn and each.margin < 0), each.margin))
        return order[0] if order else None

    @property
    def contradictions(self) -> tuple[tuple[str, str], ...]:
        """(input, words) of inputs whose readings disagree."""
        return tuple(
            (leaf.name, leaf.dimension.contradiction)
            for leaf in self.question.leaves
            if leaf.dimension is not None and leaf.dimension.contradiction
        )


class Answer(NamedTuple):
    """All findings for a build, the rules that were not asked and why, and the overall verdict."""

    build: Build
    findings: tuple[Finding, ...]
    not_asked: tuple[tuple[Rule | Entry, str], ...]
    clashes: tuple[Clash, ...]
    settings: Settings

    @property
    def verdict(self) -> str:
        """'does not fit' if any finding or recorded clash says so, 'fits' only if all do, else 'cannot tell'."""
        if any(each.certain for each in self.clashes) or any(each.verdict == NOT for each in self.findings):
            return NOT
        if self.clashes:
            return OPEN
        return FITS if self.findings and all(each.verdict == FITS for each in self.findings) else OPEN


def answer(
    build: Build,
    rules: Sequence[Rule],
    settings: Settings,
    clashes: Sequence[Clash] = (),
    lacking: Sequence[tuple[Entry, str]] = (),
) -> Answer:
    """Put every rule that applies to the build, once for each qualifier where a role is filled more than once.

    lacking: rules that were not even considered because a role of theirs is empty, and why.
    """
    findings: list[Finding] = []
    not_asked: list[tuple[Rule | Entry, str]] = list(lacking)
    for rule in rules:
        for qualifier, view in views(rule, build):
            reason = applies(rule, view)
            if reason:
                not_asked.append((rule, reason))
            else:
                findings.append(judge(rule, view, settings)._replace(qualifier=qualifier))
    return Answer(build, tuple(findings), tuple(not_asked), tuple(clashes), settings)


def judge(rule: Rule, build: Build, settings: Settings) -> Finding:
    """The finding of one rule that applies to this build."""
    question = Question(rule, build)
    if question.missing:
        return _with_missing(question, settings)
    chance = _Chance(question, settings)
    hard, usual, method = chance.hard(), chance.usual(), chance.method
    checks = chance.checks(question.nominal)
    verdict = verdict_of(hard, settings)
    because = "limits" if verdict != OPEN else "spread"
    if verdict == FITS and verdict_of(usual, settings) != FITS:
        verdict = OPEN
        because = "outside_usual" if verdict_of(usual, settings) == NOT else "spread"
    drivers = chance.drivers() if verdict == OPEN else ()
    worst, quantity = chance.worst(question.nominal)
    return Finding(rule, verdict, because, hard, usual, quantity, chance.u(), checks, worst, drivers, method, question)


def _slack(rule: Rule) -> float:
    """A nanometre for lengths, a millionth of the shown unit for others: limits are inclusive."""
    return 1e-6 * (SHOWN[rule.quantity][1] if rule.quantity != "number" else 1.0)


class _Chance:
    """Probability that the limits of one question hold, by the shortest way that is right for the rule's form."""

    def __init__(self, question: Question, settings: Settings) -> None:
        self.question = question
        self.settings = settings
        self.slack = _slack(question.rule)
        self.method = "exact"
        self._slopes: tuple[float, ...] = ()
        self._models: list[_Linear] | None = None
        own = question.build.own_limits
        limits = question.rule.limits
        self.soft = [not limit.may_condemn and (question.rule.id, limit.name) not in own for limit in limits]

    # -- nominal -------------------------------------------------------------------------------------------------

    def stations(self, values: Sequence[Any]) -> list[tuple[str, Any]]:
        """(station, quantity); one unnamed station for rules with a single quantity."""
        found = self.question.quantity(values)
        return list(found) if self.question.rule.form == "stations" else [("", found)]

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
        quantities = [quantity for _, quantity in self.stations(values)]
        made = []
        for index, limit in enumerate(self.question.rule.limits):
            own = self.question.build.own_limits.get((self.question.rule.id, limit.name))
            margin = min(float(self.margin(index, each, values)) for each in quantities)
            made.append(LimitCheck(limit, float(self.question.bound(index, values)), own[1] if own else "", margin))
        return tuple(made)

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
            nominal = self.question.nominal
            held = all(
                self.margin(index, quantity, nominal) >= -self.slack
                for _, quantity in self.stations(nominal)
                for index in limits
            )
            return 1.0 if held else 0.0
        if self.question.rule.form == "stations":
            return self._all_stations(limits)
        if self.question.rule.form in ("rough", "count"):
            return self._rough(limits)
        return self._smooth(limits)

    def _smooth(self, limits: list[int]) -> float:
        """Each side fails on its own: 1 - P(below) - P(above), the worst limit of each side counting."""
        fails = {"least": 0.0, "most": 0.0}
        for index in limits:
            side = self.question.rule.limits[index].side
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
            self._slopes = chance.slopes
            fails[side] = max(fails[side], 1.0 - chance.p)
        return max(0.0, 1.0 - fails["least"] - fails["most"])

    def _rough(self, limits: list[int]) -> float:
        """Corners of the box of all errors first: where the same side holds at both ends, nothing needs drawing."""
        low, high = self._ends(limits)
        if low >= -self.slack:
            self.method = "interval"
            return 1.0
        if high < -self.slack:
            self.method = "interval"
            return 0.0
        return self._drawn(limits)

    def _ends(self, limits: list[int]) -> tuple[float, float]:
        """Least and greatest of the smallest margin over the box of errors, each input moved the way it pulls.

        Rough rules are sums, minima and maxima of their inputs, so every input pulls one way all along its range.
        """
        nominal = list(self.question.nominal)

        def least(values: Sequence[Any]) -> float:
            return min(
                float(self.margin(index, quantity, values)) for _, quantity in self.stations(values) for index in limits
            )

        worst, best = list(nominal), list(nominal)
        for leaf in self.question.spread:
            dimension = self.question.leaves[leaf].dimension
            assert dimension is not None
            half = sum(min(term.half_width, 4.5 * term.u) for term in dimension.terms)
            up, down = list(nominal), list(nominal)
            up[leaf] += half
            down[leaf] -= half
            rises = least(up) >= least(down)
            worst[leaf] = nominal[leaf] - half if rises else nominal[leaf] + half
            best[leaf] = nominal[leaf] + half if rises else nominal[leaf] - half
        return least(worst), least(best)

    def _all_stations(self, limits: list[int]) -> float:
        """Linearise each station over one standard uncertainty of each input, and bound or integrate the whole."""
        models = self.linear_models()
        forms, far_out, far_in = [], False, True
        for model in models:
            for index in limits:
                margin = self.margin(index, model.mean, self.question.nominal) + self.slack
                sign = 1.0 if self.question.rule.limits[index].side == "least" else -1.0
                forms.append(Form(margin, {key: sign * slope for key, slope in model.slopes.items()}, low=0.0))
                far_out |= margin < -_FAR * model.u
                far_in &= margin > _FAR * model.u
        self.method = "stations"
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
        question = self.question
        models = self.linear_models()
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
            for (_, found), model in zip(self.stations(values), models, strict=True):
                said = model.mean + sum(slope * errors[key] for key, slope in model.slopes.items())
                for index in limits:
                    margin = abs(self.margin(index, model.mean, question.nominal))
                    if abs(found - said) > max(0.25 * margin, 0.5 * model.u):
                        return False
        return True

    def _drawn(self, limits: list[int]) -> float:
        """Monte Carlo through the very rule function, each dimension drawn under its own name."""
        from kb.draws import draw

        self.method = "monte carlo"
        question = self.question
        by_station = question.rule.form == "stations"
        draws = min(self.settings.draws, STATION_DRAWS) if by_station else self.settings.draws
        leaves = self._spread_leaves()
        drawn = draw(
            {leaf.key: leaf.dimension for leaf in leaves if leaf.dimension is not None},
            draws=draws,
            seed=self.settings.seed,
        )
        if by_station:
            columns = {index: drawn[question.leaves[index].key].tolist() for index in question.spread}
            held = sum(
                self._holds(
                    limits,
                    [columns[at][run] if at in columns else nominal for at, nominal in enumerate(question.nominal)],
                )
                for run in range(draws)
            )
            return held / draws
        values = [
            drawn[leaf.key] if leaf.dimension is not None and leaf.dimension.terms else nominal
            for leaf, nominal in zip(question.leaves, question.nominal, strict=True)
        ]
        import numpy

        with numpy.errstate(all="ignore"):
            quantity = question.quantity(values)
            inside = numpy.ones(draws, dtype=bool)
            for index in limits:
                inside &= self.margin(index, quantity, values) >= -self.slack
        return float(inside.mean())

    def _holds(self, limits: list[int], values: Sequence[Any]) -> bool:
        return all(
            self.margin(index, quantity, values) >= -self.slack
            for _, quantity in self.stations(values)
            for index in limits
        )

    # -- spread of the quantity ----------------------------------------------------------------------------------

    def _spread_leaves(self) -> list[Leaf]:
        return [self.question.leaves[index] for index in self.question.spread]

    @staticmethod
    def _term_of(leaf: Leaf) -> tuple[Term, ...]:
        assert leaf.dimension is not None
        return leaf.dimension.terms

    def _terms(self) -> list[tuple[Term, ...]]:
        return [self._term_of(leaf) for leaf in self._spread_leaves()]

    def _at(self, changed: Sequence[Any]) -> list[Any]:
        values = list(self.question.nominal)
        for index, value in zip(self.question.spread, changed, strict=True):
            values[index] = value
        return values

    def _margin_at(self, index: int, changed: Sequence[Any]) -> Any:
        values = self._at(changed)
        return self.margin(index, self.question.quantity(values), values)

    def linear_models(self) -> list[_Linear]:
        """One linear model a station: central differences over one standard uncertainty of every input."""
        if self._models is None:
            question = self.question
            base = self.stations(question.nominal)
            near = self._near()
            slopes: list[dict[str, float]] = [{} for _ in base]
            variance = [0.0] * len(base)
            for index in question.spread:
                leaf = question.leaves[index]
                assert leaf.dimension is not None
                u = leaf.dimension.u
                up, down = list(question.nominal), list(question.nominal)
                up[index] += u
                down[index] -= u
                above, below = near(up), near(down)
                for at, (high, low) in enumerate(zip(above, below, strict=True)):
                    slope = (high[1] - low[1]) / (2 * u)
                    if slope:
                        slopes[at][leaf.key] = slope
                        variance[at] += (slope * u) ** 2
            self._models = [
                _Linear(name, float(mean), slope, math.sqrt(var))
                for (name, mean), slope, var in zip(base, slopes, variance, strict=True)
            ]
        return self._models

    def _near(self) -> Callable[[Sequence[Any]], list[tuple[str, Any]]]:
        """The stations' quantities near the nominal values: the rule's tangent where it has one, else the rule."""
        rule = self.question.rule
        if rule.tangent is None:
            return self.stations
        cheap = rule.tangent(*self.question.arguments(self.question.nominal))
        return lambda values: list(cheap(*self.question.arguments(values)))

    def _worst_model(self) -> _Linear:
        worst, _ = self.worst(self.question.nominal)
        return next(model for model in self.linear_models() if model.name == worst)

    def u(self) -> float | None:
        """Standard uncertainty of the quantity (first order), at the worst station; 0 when nothing is uncertain."""
        return self._worst_model().u if self.question.spread else 0.0

    def drivers(self) -> tuple[Driver, ...]:
        """Uncertain inputs, the one that widens the answer most first, and how good a reading would have to be."""
        if not self.question.spread:
            return ()
        model = self._worst_model()
        leaves = self._spread_leaves()
        slopes = [model.slopes.get(leaf.key, 0.0) for leaf in leaves]
        terms = self._terms()
        us = [leaf.dimension.u for leaf in leaves if leaf.dimension is not None]
        low, high = self._window(self.question.nominal)
        made = []
        for at, (leaf, share) in enumerate(zip(leaves, shares(slopes, us), strict=True)):
            if share < 1e-4:
                continue
            needed = needed_u(model.mean, slopes, terms, at, low, high, settings=self.settings)
            made.append(Driver(leaf, share, needed.u if needed else None))
        return tuple(sorted(made, key=lambda each: (-each.share, each.leaf.name)))

    def _window(self, values: Sequence[Any]) -> tuple[float, float]:
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


# -- missing values ------------------------------------------------------------------------------------------------


def _with_missing(question: Question, settings: Settings) -> Finding:
    """Cannot tell, unless no plausible value of what is missing could make it fit."""
    chance = _Chance(question, settings)
    best = _best_case(question, chance)
    missing = tuple(Driver(question.leaves[index], 0.0, None) for index in question.missing)
    if best is None:
        return Finding(question.rule, OPEN, "missing", None, None, None, None, (), "", missing, "missing", question)
    values, hopeless = best
    if not hopeless:
        needed = _accuracy(question, chance, values, settings)
        drivers = tuple(each._replace(needed=needed) for each in missing) if len(missing) == 1 else missing
        return Finding(question.rule, OPEN, "missing", None, None, None, None, (), "", drivers, "missing", question)
    checks = chance.checks(values)
    worst, quantity = chance.worst(values)
    return Finding(
        question.rule, NOT, "hopeless", 0.0, 0.0, quantity, None, checks, worst, missing, "plausible range", question
    )


def _tries(leaf: Leaf, points: int) -> list[Any] | None:
    """Values that a missing leaf could have; None when it could be anything."""
    if leaf.options:
        return list(leaf.options)
    if leaf.feature.plausible is None:
        return None
    low, high = leaf.feature.plausible
    return [low + (high - low) * step / (points - 1) for step in range(points)]


def _best_case(question: Question, chance: _Chance) -> tuple[list[Any], bool] | None:
    """The values of the leaves at which the missing ones help most, and whether even they leave no hope.

    None when too much is missing to try, or when something missing has no plausible range.
    """
    missing = question.missing
    if len(missing) > len(GRID):
        return None
    choices = [_tries(question.leaves[index], GRID[len(missing) - 1]) for index in missing]
    if any(each is None for each in choices):
        return None
    limits = [index for index, soft in enumerate(chance.soft) if not soft]
    if not limits:
        return None

    def least_margin(tried: Sequence[Any]) -> float:
        values = list(question.nominal)
        for index, value in zip(missing, tried, strict=True):
            values[index] = value
        try:
            return min(
                float(chance.margin(index, quantity, values))
                for _, quantity in chance.stations(values)
                for index in limits
            )
        except (ArithmeticError, ValueError):  # values that no real part could have together
            return -math.inf

    combos = list(product(*[each for each in choices if each is not None]))
    best = max(combos, key=least_margin)
    if least_margin(best) == -math.inf:
        return None
    best = _climb(question, least_margin, list(best), GRID[len(missing) - 1])
    values = list(question.nominal)
    for index, value in zip(missing, best, strict=True):
        values[index] = value
    filled = _Chance(_Filled(question, values), chance.settings)
    return values, verdict_of(filled.hard(), chance.settings) == NOT


def _climb(question: Question, margin: Callable[[Sequence[Any]], float], best: list[Any], points: int) -> list[Any]:
    """Refine the numbers of the best try between the grid's points, so that a window narrower than the grid is found."""
    spans = []
    for index in question.missing:
        plausible = question.leaves[index].feature.plausible
        spans.append(
            (plausible[1] - plausible[0]) / (points - 1) if plausible and not question.leaves[index].options else 0.0
        )
    at = margin(best)
    for _ in range(24):
        for place, span in enumerate(spans):
            for step in (span, -span):
                if not step:
                    continue
                tried = list(best)
                tried[place] += step
                plausible = question.leaves[question.missing[place]].feature.plausible
                assert plausible is not None
                tried[place] = min(max(tried[place], plausible[0]), plausible[1])
                found = margin(tried)
                if found > at:
                    best, at = tried, found
        spans = [span / 2 for span in spans]
    return best


class _Filled(Question):
    """A question whose missing leaves have been given values."""

    def __init__(self, question: Question, values: list[Any]) -> None:
        self.__dict__.update(question.__dict__)
        self.nominal = values


def _accuracy(question: Question, chance: _Chance, values: list[Any], settings: Settings) -> float | None:
    """The widest standard uncertainty with which a reading of the one missing input could still say "fits".

    Taken at the best place between the limits; None for a choice, or for a quantity bounded on one side only (there
    any instrument will do for a value that is far enough inside).
    """
    leaf = question.leaves[question.missing[0]]
    if leaf.options or question.rule.form in ("stations", "count"):
        return None
    low, high = chance._window(values)
    if math.isinf(low) or math.isinf(high):
        return None
    index = question.missing[0]
    step = 1e-4 * abs(values[index]) or 1e-6
    moved = list(values)
    moved[index] += step
    slope = float(question.quantity(moved) - question.quantity(values)) / step
    if not slope:
        return None
    filled = _Chance(_Filled(question, values), settings)
    others = (
        [
            term.scaled(model_slope)
            for spread in filled._spread_leaves()
            for term in filled._term_of(spread)
            for model_slope in [filled._worst_model().slopes.get(spread.key, 0.0)]
            if model_slope
        ]
        if question.spread
        else []
    )
    middle, reach = (low + high) / 2, (high - low) / 2
    good, bad = 0.0, reach
    for _ in range(40):
        u = (good + bad) / 2
        held = p_between(middle, [*others, Term("rectangular", u)], low, high) >= settings.fits_at
        good, bad = (u, bad) if held else (good, u)
    return good / abs(slope) if good else None


__all__ = ["FITS", "NOT", "OPEN", "Answer", "Driver", "Finding", "LimitCheck", "answer", "judge"]
