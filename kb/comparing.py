"""Two builds, or one before and after a change: verdicts, margins, milestones, roles and money compared.

found = compare(base.check("drover"), base.check("drover", {"pan": "calder-38-pan"}))
found.status    # 0 nothing is worse, 1 something is, 3 something that was decided cannot be told any more
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

from kb.build import Build
from kb.chance import FITS, NOT, OPEN
from kb.finding import Finding, slack_of
from kb.judge import Answer
from kb.known import Clash

BETTER, WORSE, UNKNOWN, DECIDED = "better", "worse", "unknown", "decided"
APPEARS, GONE, SAME = "appears", "gone", "same"
SORTS = (WORSE, UNKNOWN, DECIDED, BETTER, APPEARS, GONE, SAME)
MOST_MOVED = 5  # margins that are named as having moved most


class Moved(NamedTuple):
    """One question before and after; None where it was not asked.

    sort: better (no longer a no), worse (now a no), unknown (cannot be told any more), decided (could not be told
    before), appears, gone, same. A question that appears with a no, or undecided, is told as appearing and counts as
    worse, or as unknown.
    """

    name: str
    before: Finding | None
    after: Finding | None
    sort: str

    @property
    def verdict(self) -> str:
        """The verdict that counts now; empty where the question is gone."""
        return self.after.verdict if self.after else ""

    @property
    def moved(self) -> float | None:
        """Change of the margin, SI; None where one of the two has none."""
        if self.before is None or self.after is None:
            return None
        old, new = self.before.margin, self.after.margin
        return None if old is None or new is None else new - old

    @property
    def moved_share(self) -> float:
        """Change of the margin as a share of the larger of the two, so that unlike quantities can be ranked."""
        if self.before is None or self.after is None or self.moved is None:
            return 0.0
        size = max(abs(self.before.margin or 0.0), abs(self.after.margin or 0.0), slack_of(self.after.rule))
        return abs(self.moved) / size


class Cost(NamedTuple):
    """What is still to be paid: the sum by currency, and the roles whose part has no price on record."""

    sums: Mapping[str, float]
    unpriced: tuple[str, ...]


class Change(NamedTuple):
    """A role that two builds fill differently; an empty id where it is not filled."""

    role: str
    before: str
    after: str


class Step(NamedTuple):
    """A milestone before and after: ready, not ready or cannot tell; blockers: how many stand before it."""

    name: str
    before: str
    after: str
    blockers_before: int
    blockers_after: int


class Comparison(NamedTuple):
    """Everything that differs. findings: all questions of both, see `Moved.sort`. new_clashes, gone_clashes: recorded
    incompatibilities that match only the second, only the first.
    """

    before: Answer
    after: Answer
    findings: tuple[Moved, ...]
    new_clashes: tuple[Clash, ...]
    gone_clashes: tuple[Clash, ...]
    roles: tuple[Change, ...]
    cost_before: Cost
    cost_after: Cost
    milestones: tuple[Step, ...] = ()

    def of(self, sort: str) -> tuple[Moved, ...]:
        return tuple(each for each in self.findings if each.sort == sort)

    @property
    def moved_most(self) -> tuple[Moved, ...]:
        """The questions with the same verdict whose margin changed most for its size, the largest change first."""
        same = [
            each
            for each in self.of(SAME)
            if each.after is not None and each.moved is not None and abs(each.moved) > slack_of(each.after.rule)
        ]
        return tuple(sorted(same, key=lambda each: (-round(each.moved_share, 9), each.name))[:MOST_MOVED])

    @property
    def status(self) -> int:
        """0 nothing is worse, 1 something is, 3 something cannot be told that could be, or is newly undecided."""
        appear = self.of(APPEARS)
        news = [each for each in self.of(DECIDED) + appear if each.verdict == NOT]
        if self.of(WORSE) or news or any(each.certain for each in self.new_clashes):
            return 1
        if self.of(UNKNOWN) or self.new_clashes or any(each.verdict == OPEN for each in appear):
            return 3
        return 0


def compare(
    before: Answer,
    after: Answer,
    cost_before: Cost | None = None,
    cost_after: Cost | None = None,
    milestones: Sequence[Step] = (),
) -> Comparison:
    """Everything in which two answers differ."""
    old = {each.name: each for each in before.findings}
    new = {each.name: each for each in after.findings}
    names = dict.fromkeys([*old, *new])
    clashes = {each.incompatibility.id: each for each in before.clashes}
    newer = {each.incompatibility.id: each for each in after.clashes}
    return Comparison(
        before,
        after,
        tuple(Moved(name, old.get(name), new.get(name), _sort(old.get(name), new.get(name))) for name in names),
        tuple(each for id, each in newer.items() if id not in clashes or (each.certain and not clashes[id].certain)),
        tuple(each for id, each in clashes.items() if id not in newer),
        tuple(_changes(before.build, after.build)),
        cost_before or cost_of(before.build, {}),
        cost_after or cost_of(after.build, {}),
        tuple(milestones),
    )


def _sort(old: Finding | None, new: Finding | None) -> str:
    if old is None or new is None:
        return APPEARS if old is None else GONE
    if old.verdict == new.verdict:
        return SAME
    if new.verdict == OPEN:
        return UNKNOWN
    if old.verdict == OPEN:
        return DECIDED
    return BETTER if new.verdict == FITS else WORSE


def _changes(before: Build, after: Build) -> list[Change]:
    found = []
    for role in dict.fromkeys([*before.parts, *after.parts]):
        old, new = before.parts.get(role), after.parts.get(role)
        if old is None or new is None or old.id != new.id:
            found.append(Change(role, old.id if old else "", new.id if new else ""))
    return found


def cost_of(build: Build, said: Mapping[str, tuple[bool, float | None]]) -> Cost:
    """What the parts that nobody owns yet cost. said: (owned, price) of a role, over what the part's record says."""
    sums: dict[str, float] = {}
    unpriced = []
    for role, part in build.parts.items():
        owned, price = said.get(role, (role in build.owned, None))
        if owned:
            continue
        price = part.price if price is None else price
        if price is None:
            unpriced.append(role)
        else:
            sums[part.currency] = sums.get(part.currency, 0.0) + price
    return Cost(sums, tuple(unpriced))


def steps(before: Answer, readings_before: Sequence[Any], after: Answer, readings_after: Sequence[Any]) -> list[Step]:
    """The milestones whose state, or number of blockers, changes. readings: what gauges saw on each build."""
    from kb.circuit.continuity import breaks
    from kb.ready.board import board

    boards = [
        board(answer, readings, breaks(answer.build, answer.findings))
        for answer, readings in ((before, readings_before), (after, readings_after))
    ]
    pairs = zip(*(each.milestones for each in boards), strict=True)
    made = [Step(old.name, old.state, new.state, len(old.blockers), len(new.blockers)) for old, new in pairs]
    return [each for each in made if each.before != each.after or each.blockers_before != each.blockers_after]
