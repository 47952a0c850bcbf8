"""The probability that a finding is decided once a reading has been taken, averaged over what the reading may say.

What one reading says is one figure, so the average is an integral over its quantiles of a verdict that changes at few
of them. The verdict is judged at 17 fixed quantiles, and where neighbours differ the place of the change is narrowed
down to 1/512 of all readings; half of what stays open at each change is the stated error. Between neighbours that agree
it is taken not to change and back, except that a margin which peaks there is followed to its top. Choices are averaged
exactly. Several readings together are averaged over a fixed lattice of points. No random numbers anywhere.

Where each judgement is slow (the seats of a whole flange, many stations), fewer quantiles, points and draws have to do,
and one of several missing readings is taken to settle nothing by itself.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from itertools import pairwise
from typing import Any, NamedTuple

from kb.build import Leaf, applies
from kb.chance import FITS, NOT, OPEN, Settings
from kb.finding import Finding
from kb.judge import judge
from kb.measure import Instrument
from kb.worth.prospects import Others, Prospect, after, prospect, with_facts

FALLS = "falls away"  # the rule is no longer to be asked
EDGE = 1e-3  # share of the readings that lie beyond the first and beyond the last quantile looked at
STEPS, HALVINGS, CLIMBS = 16, 5, 8
COARSE_STEPS, COARSE_HALVINGS = 8, 2  # where each judgement draws whole seats
POINTS, COARSE_POINTS = 96, 16  # of the lattice
MANY = 8  # inputs of a rule over stations, from which on each judgement is slow
DRAWS, ROW_DRAWS, COARSE_DRAWS = 4000, 400, 200  # of a judgement that has to draw


class Settling(NamedTuple):
    """Probabilities that a finding then fits, does not fit, or is not asked any more.

    error: how far off `settled` may be.
    """

    fits: float
    fails: float
    falls: float
    error: float

    @property
    def settled(self) -> float:
        return self.fits + self.fails + self.falls


NOTHING = Settling(0.0, 0.0, 0.0, 0.0)


class _Outcome(NamedTuple):
    verdict: str
    margin: float


class Taken(NamedTuple):
    """A reading that could be taken: the input, its instrument, and who reads."""

    leaf: Leaf
    tool: Instrument
    by: str = ""

    def fact(self, said: Any) -> Any:
        return after(self.leaf, self.tool, said, self.by)


def judge_again(finding: Finding, facts: Mapping[Leaf, Any], settings: Settings) -> _Outcome:
    """The verdict of the same question with these inputs known."""
    build = with_facts(finding.question.build, facts)
    if applies(finding.rule, build):
        return _Outcome(FALLS, -math.inf)
    found = judge(finding.rule, build, settings)
    margin = found.margin
    return _Outcome(found.verdict, -math.inf if margin is None else margin)


def settling(
    finding: Finding, taken: Taken, settings: Settings, others: Others | None = None
) -> Settling | None:  # fmt: skip
    """What one reading makes of a finding; None where nobody knows what the reading could say."""
    said = _said(finding, taken, others)
    if said is None:
        return None
    coarse, cheap = _cost(finding, settings)
    several = len(finding.question.missing) > 1
    if coarse and several:
        return NOTHING

    def outcome(q: float) -> _Outcome:
        return judge_again(finding, {taken.leaf: taken.fact(said.at(q))}, cheap)

    if said.spread is None:
        count = len(said.values)
        return _shared([outcome((at + 0.5) / count).verdict for at in range(count)], 0.0)
    if several and all(outcome(q).verdict == OPEN for q in (EDGE, 0.5, 1.0 - EDGE)):
        return NOTHING  # where neither end condemns, hardly anything between them does
    few = coarse or several
    return _integrated(outcome, *((COARSE_STEPS, COARSE_HALVINGS, 0) if few else (STEPS, HALVINGS, CLIMBS)))


def settling_together(
    findings: Sequence[Finding], taken: Sequence[Taken], settings: Settings, others: Others | None = None
) -> list[Settling | None]:
    """What several readings taken together make of each of these findings, all of which read some of them.

    Error: half the width of a 95 % interval of as many independent draws; the lattice does better on smooth questions.
    """
    found: list[Settling | None] = []
    for finding in findings:
        keys = {leaf.key for leaf in finding.question.leaves}
        read = [each for each in taken if each.leaf.key in keys]
        said = [_said(finding, each, others) for each in read]
        if any(each is None for each in said):
            found.append(None)
            continue
        coarse, cheap = _cost(finding, settings)
        points = COARSE_POINTS if coarse else POINTS
        verdicts = []
        for point in lattice(len(read), points):
            values = [each.at(q) for each, q in zip(said, point, strict=True) if each is not None]
            facts = {each.leaf: each.fact(value) for each, value in zip(read, values, strict=True)}
            verdicts.append(judge_again(finding, facts, cheap).verdict)
        bare = _shared(verdicts, 0.0)
        held = (bare.settled * points + 1.0) / (points + 2.0)
        found.append(bare._replace(error=math.sqrt(held * (1.0 - held) / points)))
    return found


def _said(finding: Finding, taken: Taken, others: Others | None) -> Prospect | None:
    kind = finding.question.build.parts[taken.leaf.role].kind
    return prospect(taken.leaf, kind, taken.tool, others)


def _cost(finding: Finding, settings: Settings) -> tuple[bool, Settings]:
    """(whether a judgement of it is slow, settings with as few draws as will do)."""
    question = finding.question
    whole = finding.rule.tangent is not None or (question.form == "count" and bool(question.spread))
    coarse = whole or (finding.rule.form == "stations" and len(question.spread) > MANY)
    by_row = question.form in ("stations", "count")
    draws = min(settings.draws, COARSE_DRAWS if whole else ROW_DRAWS if by_row else DRAWS)
    return coarse, Settings(settings.fits_at, settings.not_at, draws, settings.seed)


def _shared(verdicts: Sequence[str], error: float) -> Settling:
    count = len(verdicts)
    fits, fails, falls = (sum(each == wanted for each in verdicts) / count for wanted in (FITS, NOT, FALLS))
    return Settling(fits, fails, falls, error)


def _integrated(outcome: Callable[[float], _Outcome], steps: int, halvings: int, climbs: int) -> Settling:
    """Shares of the verdicts over all quantiles."""
    at = [EDGE, *(step / steps for step in range(1, steps)), 1.0 - EDGE]
    found = [outcome(q) for q in at]
    points = dict(zip(at, found, strict=True))
    for number in range(len(at) if climbs else 0):
        around = found[max(0, number - 1) : number + 2]
        top = found[number].margin
        if all(each.verdict != FITS and each.margin <= top for each in around) and top > -math.inf:
            low, high = at[max(0, number - 1)], at[min(number + 1, len(at) - 1)]
            points.update(_climbed(outcome, low, high, climbs))
    shares = dict.fromkeys((FITS, NOT, FALLS, OPEN), 0.0)
    error = 0.0

    def share(low: float, high: float, one: str, other: str, halvings: int) -> None:
        nonlocal error
        if one == other:
            shares[one] += high - low
        elif not halvings:
            shares[one] += 0.5 * (high - low)
            shares[other] += 0.5 * (high - low)
            error += 0.5 * (high - low)
        else:
            middle = 0.5 * (low + high)
            between = outcome(middle).verdict
            share(low, middle, one, between, halvings - 1)
            share(middle, high, between, other, halvings - 1)

    ends = sorted(points)
    shares[points[ends[0]].verdict] += EDGE
    shares[points[ends[-1]].verdict] += EDGE
    for low, high in pairwise(ends):
        share(low, high, points[low].verdict, points[high].verdict, halvings)
    return Settling(shares[FITS], shares[NOT], shares[FALLS], error)


def _climbed(outcome: Callable[[float], _Outcome], low: float, high: float, climbs: int) -> dict[float, _Outcome]:
    """Points up to the best margin between two quantiles, by golden section; ends where the verdict is good."""
    ratio = 0.5 * (math.sqrt(5.0) - 1.0)
    left, right = high - ratio * (high - low), low + ratio * (high - low)
    made = {left: outcome(left), right: outcome(right)}
    for _ in range(climbs):
        if any(each.verdict == FITS for each in made.values()):
            break
        if made[left].margin < made[right].margin:
            low, left, right = left, right, left + ratio * (high - left)
            made[right] = outcome(right)
        else:
            high, right, left = right, left, right - ratio * (right - low)
            made[left] = outcome(left)
    return made


def lattice(dimensions: int, points: int) -> list[tuple[float, ...]]:
    """Points spread evenly over the unit cube: multiples of powers of the root of x^(d+1) = x + 1, modulo one."""
    root = 1.5
    for _ in range(60):
        root = (1.0 + root) ** (1.0 / (dimensions + 1))
    steps = [root ** -(each + 1) for each in range(dimensions)]
    return [tuple((0.5 + step * (number + 1)) % 1.0 for step in steps) for number in range(points)]
