"""What a rule's answer for one build consists of."""

from __future__ import annotations

from typing import NamedTuple

from kb.build import Leaf, Question
from kb.records import SHOWN
from kb.rules._rule import Limit, Rule


class LimitCheck(NamedTuple):
    """One limit at the nominal values. margin: distance inside the limit, SI, negative when broken."""

    limit: Limit
    bound: float
    own: str
    margin: float

    @property
    def may_condemn(self) -> bool:
        return bool(self.own) or self.limit.may_condemn


def slack_of(rule: Rule) -> float:
    """A nanometre for lengths, a millionth of the shown unit for others: limits are inclusive."""
    return 1e-6 * (SHOWN[rule.quantity][1] if rule.quantity != "number" else 1.0)


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

    because: 'limits', 'outside_usual', 'spread', 'missing', 'hopeless' (condemned whatever the missing value is),
    'undefined' (these values give no figure) or 'nothing' (there is nothing to judge). probability: that every limit
    which may condemn holds; usual: that all limits hold; None where nothing was computed. station: the station that
    decided, for rules over stations. words: why there is no figure, for the last two.
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
    words: str = ""

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
        return tuple(each for each in self.checks if each.margin < -slack_of(self.rule))

    @property
    def deciding(self) -> LimitCheck | None:
        """The limit that the verdict rests on: the worst broken one that may condemn, else the nearest."""
        order = sorted(self.checks, key=lambda each: (not (each.may_condemn and each.margin < 0), each.margin))
        return order[0] if order else None

    @property
    def limit(self) -> Limit:
        """The declared limit that says what harm is done; the rule's first where nothing was computed."""
        return self.deciding.limit if self.deciding else self.rule.limits[0]

    @property
    def contradictions(self) -> tuple[tuple[str, str], ...]:
        """(input, words) of inputs whose readings disagree."""
        return tuple(
            (leaf.name, leaf.dimension.contradiction)
            for leaf in self.question.leaves
            if leaf.dimension is not None and leaf.dimension.contradiction
        )
