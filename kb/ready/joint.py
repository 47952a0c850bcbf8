"""The probability that all rules of a milestone hold together.

Two rules that read the same dimension stand or fall together: each dimension is drawn once for all of them. Rules that
share nothing are independent, and their probabilities are multiplied.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any, NamedTuple

from kb.build import NO_FIGURE, Leaf
from kb.chance import Settings
from kb.finding import Finding
from kb.odds import STATION_DRAWS, Odds

SURE = 1e-9  # nearer to 0 or 1 than this a finding is not in doubt


class Joint(NamedTuple):
    """probability: that every counted rule holds, None where none could be counted; counted: how many rules that is.

    not_counted: rules whose probability cannot be computed because something is missing. together: the sets of rules,
    by name, that share an uncertain dimension and were drawn together.
    """

    probability: float | None
    counted: int
    not_counted: int
    together: tuple[tuple[str, ...], ...]


def joint(findings: Iterable[Finding], settings: Settings) -> Joint:
    """P(the limits that may condemn hold, for all these findings at once); the same for the same settings.

    A finding on its own gives its own probability. A set that shares dimensions is drawn, `settings.draws` times where
    the rules take arrays; rules over stations are tried on a few thousand of the draws in which the others hold.
    """
    rows = list(findings)
    known = [each for each in rows if each.probability is not None]
    left_out = len(rows) - len(known)
    if not known:
        return Joint(None, 0, left_out, ())
    p, together = 1.0, []
    if any(each.probability is not None and each.probability <= SURE for each in known):
        return Joint(0.0, len(known), left_out, ())
    doubtful = [each for each in known if each.probability is not None and each.probability < 1.0 - SURE]
    for group in _sharing(doubtful):
        own = min(each.probability for each in group if each.probability is not None)
        if len(group) == 1:
            p *= own
        else:
            p *= min(own, _drawn(group, settings))
            together.append(tuple(each.name for each in group))
    return Joint(p, len(known), left_out, tuple(together))


def _uncertain(finding: Finding) -> list[Leaf]:
    question = finding.question
    return [question.leaves[index] for index in question.spread]


def _sharing(findings: Sequence[Finding]) -> list[list[Finding]]:
    """The findings in sets that share no uncertain leaf with one another, in stable order."""
    groups: list[tuple[set[str], list[Finding]]] = []
    for finding in findings:
        keys = {leaf.key for leaf in _uncertain(finding)}
        touching = [group for group in groups if group[0] & keys]
        joined = (keys.union(*(group[0] for group in touching)), [each for group in touching for each in group[1]])
        joined[1].append(finding)
        groups = [group for group in groups if not any(group is each for each in touching)]
        groups.append(joined)
    return [group for _, group in groups]


def _drawn(findings: Sequence[Finding], settings: Settings) -> float:
    """Share of the draws in which all of them hold."""
    import numpy

    from kb.draws import draw

    wanted = {leaf.key: leaf.dimension for each in findings for leaf in _uncertain(each) if leaf.dimension is not None}
    drawn = draw(wanted, draws=settings.draws, seed=settings.seed)
    held = numpy.ones(settings.draws, dtype=bool)
    one_by_one = []
    for finding in findings:
        inside = _inside(finding, settings, drawn)
        if inside is None:
            one_by_one.append(finding)
        else:
            held &= inside
    share = float(held.mean())
    if not one_by_one or not share:
        return share
    tried = numpy.flatnonzero(held)[:STATION_DRAWS].tolist()
    return share * sum(all(_holds(each, settings, drawn, run) for each in one_by_one) for run in tried) / len(tried)


def _hard(odds: Odds) -> list[int]:
    return [index for index, soft in enumerate(odds.soft) if not soft]


def _inside(finding: Finding, settings: Settings, drawn: dict[str, Any]) -> Any:
    """In which draws the finding's limits hold, shape (draws,); None where its rule takes one draw at a time."""
    import numpy

    question = finding.question
    odds = Odds(question, settings)
    if question.form == "stations" and finding.method == "stations":
        return _inside_by_station(finding, odds, drawn)
    if question.form in ("stations", "count"):
        return None
    values = _with_errors(finding, drawn)
    try:
        with numpy.errstate(all="ignore"):
            quantity = question.quantity(values)
            inside = numpy.ones(settings.draws, dtype=bool)
            for index in _hard(odds):
                inside &= odds.margin(index, quantity, values) >= -odds.slack
    except NO_FIGURE:
        return None
    return inside


def _inside_by_station(finding: Finding, odds: Odds, drawn: dict[str, Any]) -> Any:
    """The same for a rule over stations whose linear models were found to hold: the sums that its own odds rest on."""
    import numpy

    question = finding.question
    centre = {leaf.key: leaf.dimension.value for leaf in _uncertain(finding) if leaf.dimension is not None}
    inside = numpy.ones(odds.settings.draws, dtype=bool)
    for model in odds.linear_models():
        quantity = model.mean + sum(slope * (drawn[key] - centre[key]) for key, slope in model.slopes.items())
        for index in _hard(odds):
            inside &= odds.margin(index, quantity, question.nominal) >= -odds.slack
    return inside


def _holds(finding: Finding, settings: Settings, drawn: dict[str, Any], run: int) -> bool:
    """Whether the finding's limits hold in one draw."""
    odds = Odds(finding.question, settings)
    values = _with_errors(finding, {leaf.key: float(drawn[leaf.key][run]) for leaf in _uncertain(finding)})
    return odds.least(_hard(odds), values) >= -odds.slack


def _with_errors(finding: Finding, drawn: dict[str, Any]) -> list[Any]:
    """The values of the finding's leaves, those that are uncertain as drawn."""
    question = finding.question
    values = list(question.nominal)
    for index in question.spread:
        values[index] = drawn[question.leaves[index].key]
    return values
