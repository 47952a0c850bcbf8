"""From a question to a finding: quantity + uncertainty + limits -> verdict, margin, probability, drivers.

Limits from sources that may condemn decide "does not fit"; limits from memory, and of what is usual, can only hold back
a "fits". A missing value may condemn through its plausible range and never clears (`kb/missing.py`). How a probability
is found stands in `kb/odds.py`. No prose here: `kb/explain.py` words a finding.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from kb.build import NO_FIGURE, Build, Question, applies, views
from kb.chance import FITS, NOT, OPEN, Settings, verdict_of
from kb.errors import Fault
from kb.finding import Driver, Finding, LimitCheck
from kb.known import Clash
from kb.missing import with_missing
from kb.odds import Odds
from kb.roles import base_role
from kb.rules import Entry
from kb.rules._rule import Rule


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
        if self.clashes or self.apart:
            return OPEN
        return FITS if self.findings and all(each.verdict == FITS for each in self.findings) else OPEN

    @property
    def apart(self) -> tuple[str, ...]:
        """Roles of loosely named parts that no asked question joins to the first one; empty for a recorded build.

        A pan and a pickup without a gasket raise questions each on its own and none together: that is no "fits".
        """
        roles = list(dict.fromkeys(base_role(role) for role in self.build.parts))
        if not self.build.loose or not self.findings:
            return ()
        if len(roles) == 1:
            return tuple(roles)
        joined = {roles[0]}
        together = [set(roles) & {*each.rule.roles, *each.rule.optional_roles} for each in self.findings]
        for _ in roles:
            joined.update(*(group for group in together if group & joined))
        return tuple(role for role in roles if role not in joined)

    @property
    def waiting(self) -> tuple[tuple[Rule | Entry, str], ...]:
        """Rules that read two or more of loosely named parts, and were not asked for want of another; and why."""
        named = {base_role(role) for role in self.build.parts}
        if not self.build.loose:
            return ()
        return tuple((rule, why) for rule, why in self.not_asked if len(named & set(rule.roles)) > 1)


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
        return with_missing(question, settings)
    odds = Odds(question, settings)
    try:
        checks = odds.checks(question.nominal)
    except NO_FIGURE as fault:
        return _without_figure(question, OPEN, "undefined", _words(fault))
    if not checks:
        return _without_figure(question, FITS, "nothing", "there is nothing of this sort to judge")
    try:
        hard, usual, method = odds.hard(), odds.usual(), odds.method
    except NO_FIGURE as fault:  # the values give a figure, and values as near as they are uncertain give none
        return _without_figure(question, OPEN, "undefined", _words(fault))
    verdict = verdict_of(hard, settings)
    because = "limits" if verdict != OPEN else "spread"
    if verdict == FITS and verdict_of(usual, settings) != FITS:
        verdict = OPEN
        outside = any(each.margin < -odds.slack and not each.may_condemn for each in checks)
        because = "outside_usual" if outside and verdict_of(usual, settings) == NOT else "spread"
    drivers = odds.drivers() if verdict == OPEN else ()
    worst, quantity = odds.worst(question.nominal)
    return Finding(rule, verdict, because, hard, usual, quantity, odds.u(), checks, worst, drivers, method, question)


def _without_figure(question: Question, verdict: str, because: str, words: str) -> Finding:
    sure = 1.0 if verdict == FITS else None
    return Finding(
        question.rule, verdict, because, sure, sure, None, None, (), "", (), "exact", question, words=words
    )  # fmt: skip


def _words(fault: Exception) -> str:
    """Why there is no figure: the formula's own sentence if it has one."""
    if isinstance(fault, Fault):
        return fault.message
    own = str(fault)
    if isinstance(fault, ValueError) and " " in own and not own.startswith(("math ", "expected ")):
        return own
    return "these figures together give no real number: check them"


__all__ = ["FITS", "NOT", "OPEN", "Answer", "Driver", "Finding", "LimitCheck", "answer", "judge"]
