"""The verdict of one cell and its margin, without what only a person asks for: drivers, words, the worst station.

The same verdict as `kb.judge.judge`, sooner: draws end where those that are left cannot change it.
"""

from __future__ import annotations

import math
from itertools import product

from kb.build import NO_FIGURE, Build, Question
from kb.chance import FITS, NOT, OPEN, Settings, verdict_of
from kb.missing import ODDS_AT, _best_case, _Filled, _filled, _hangs_on_whether, _held, _tries
from kb.odds import STATION_DRAWS, Odds
from kb.records import SHOWN
from kb.rules._rule import Rule


class _Sooner(Odds):
    """Odds whose draws one by one end early.

    At once when neither "fits" nor "does not fit" can come out any more; and when all so far agree and are so many that
    another verdict would be a chance of one in a million.
    """

    need_fit = False  # whether "fits" is all that is asked: then nothing else need be told apart

    def _drawn_by_row(self, limits: list[int]) -> float:
        draws = min(self.settings.draws, STATION_DRAWS)
        columns = {index: column.tolist() for index, column in self._draws(draws).items()}
        held, values = 0, list(self.question.nominal)
        enough = _enough(self.settings.fits_at), _enough(1.0 - self.settings.not_at)
        for run in range(draws):
            for index, column in columns.items():
                values[index] = column[run]
            held += self.least(limits, values) >= -self.slack
            worst, best = held / draws, (draws - 1 - run + held) / draws
            if (worst > self.settings.not_at or self.need_fit) and best < self.settings.fits_at:
                return (max(worst, self.settings.not_at) + best) / 2
            if run + 1 >= enough[0] and held == run + 1:
                return 1.0
            if run + 1 >= enough[1] and not held:
                return 0.0
        return held / draws


def _enough(share: float) -> float:
    """How many draws that all agree rule out a true share below this one, but for one chance in a million."""
    return math.log(1e-6) / math.log(share) if 0.0 < share < 1.0 else math.inf


def verdict(rule: Rule, build: Build, settings: Settings, question: Question | None = None) -> str:
    """What `judge` says of a rule that applies to this build; question: the two bound, where that is done already."""
    question = question or Question(rule, build)
    if question.missing:
        return _missing(question, settings)
    odds = _Sooner(question, settings)
    try:
        if not odds.checks(question.nominal):
            return FITS
        found = verdict_of(odds.hard(), settings)
        if found == FITS and any(odds.soft):
            odds.need_fit = True
            found = FITS if verdict_of(odds.usual(), settings) == FITS else OPEN
    except NO_FIGURE:
        return OPEN
    return found


def _missing(question: Question, settings: Settings) -> str:
    odds = Odds(question, settings)
    values = None if _hangs_on_whether(question) else _best_case(question, odds)
    if values is None or _held(odds, values):
        return OPEN
    tried = [values]
    if question.spread:
        choices = [_tries(question.leaves[index], ODDS_AT) or [] for index in question.missing]
        mixes = list(product(*choices))
        tried += [_filled(question, mix) for mix in mixes[:: max(1, len(mixes) // ODDS_AT)]]
    condemned = False
    for each in tried:
        try:
            if verdict_of(_Sooner(_Filled(question, each), settings).hard(), settings) != NOT:
                return OPEN
        except NO_FIGURE:
            continue
        condemned = True
    return NOT if condemned else OPEN


def share(rule: Rule, build: Build, settings: Settings) -> float:
    """The least margin of all limits as a share of their scales; infinite where there is no figure."""
    question = Question(rule, build)
    if question.missing:
        return math.inf
    try:
        checks = Odds(question, settings).checks(question.nominal)
    except NO_FIGURE:
        return math.inf
    if not checks:  # no station of the parts is asked about
        return math.inf
    return min(check.margin / size for check, size in zip(checks, scales(rule), strict=True))


def scales(rule: Rule) -> list[float]:
    """What a margin of each limit is measured by, so that margins of different rules compare.

    Half the window between the tightest bounds of both sides; of a limit on one side only its bound, or the rule's
    largest one where that is zero, or the unit in which the rule is shown. A bound that is a feature counts by that.
    """
    unit = SHOWN[rule.quantity][1] if rule.quantity != "number" else 1.0
    fixed = [(each.side, each.bound) for each in rule.limits if isinstance(each.bound, (int, float))]
    least = [bound for side, bound in fixed if side == "least"]
    most = [bound for side, bound in fixed if side == "most"]
    if least and most and min(most) > max(least):
        return [(min(most) - max(least)) / 2.0] * len(rule.limits)
    largest = max((abs(bound) for _, bound in fixed), default=0.0) or unit
    return [(abs(each.bound) or largest) if isinstance(each.bound, (int, float)) else largest for each in rule.limits]
