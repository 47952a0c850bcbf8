"""The board of the four milestones: what still stands before each, worst first, and what to do about it.

A rule may have limits of several milestones (a pickup too near its floor starves at priming, one too far from it on the
road): for each milestone it is judged by the limits that count by then.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Any, NamedTuple

from kb.build import Build
from kb.chance import FITS, NOT, OPEN
from kb.finding import Finding
from kb.gauges import GaugeReading, circuit_of, places
from kb.judge import Answer, judge
from kb.known import Clash
from kb.ready import needs as _needs
from kb.ready import steps
from kb.ready.joint import SURE, Joint, joint
from kb.ready.needs import LACKING, LISTS, UNDECIDED, Need
from kb.roles import base_role
from kb.rules._rule import HARMS, MILESTONES

READY, NOT_READY, CANNOT_TELL = "ready", "not ready", "cannot tell"
STATES = (READY, NOT_READY, CANNOT_TELL)
# How much each sort stands in the way; ticks come last, since they are made when everything else is done.
SORTS = {"clash": 0, "does not fit": 0, "circuit": 0, "missing part": 0, "cannot tell": 1, "not ticked": 2}
_HARMS, _ORDER = tuple(HARMS), tuple(SORTS)


FEW = 3  # missing parts from which on they are planned together
GIVEN = ("block", "car")  # what everything else is chosen for


class Blocker(NamedTuple):
    """One thing that stands before a milestone.

    sort: one of SORTS. name: the rule, clash, role, item or break. milestone: the first that it blocks. words: why, in
    the words of its source. step: a command to type. Of finding, clash, need and fault (a break of a circuit) one is
    set.
    """

    sort: str
    name: str
    harm: str
    milestone: str
    words: str
    step: str
    finding: Finding | None = None
    clash: Clash | None = None
    need: Need | None = None
    fault: Any = None


class Milestone(NamedTuple):
    """One milestone with everything that must hold before it.

    state: one of STATES. blockers: worst first, those of earlier milestones among them. joint: the probability that all
    rules hold by then, the lists to tick left out. rules: how many are asked by then.
    """

    name: str
    state: str
    blockers: tuple[Blocker, ...]
    joint: Joint
    rules: int

    @property
    def probability(self) -> float | None:
        return self.joint.probability

    @property
    def counted(self) -> int:
        return self.joint.counted


class Step(NamedTuple):
    """What to do first. command: to type; why: in a few words, empty where the blocker says it; then: what follows."""

    command: str
    why: str = ""
    then: str = ""


class Board(NamedTuple):
    """The milestones of one build, in their order."""

    answer: Answer
    milestones: tuple[Milestone, ...]

    def of(self, name: str) -> Milestone:
        """The milestone of that name. UnknownName if there is none."""
        return self.milestones[len(_needs.up_to(name)) - 1]

    @property
    def next(self) -> Milestone | None:
        """The first milestone that is not ready; None when all are."""
        return next((each for each in self.milestones if each.state != READY), None)

    @property
    def to_get(self) -> tuple[str, ...]:
        """Filled roles whose part is not at hand yet; what only describes the build is nowhere to be got."""
        build = self.answer.build
        return tuple(
            name
            for name, part in build.parts.items()
            if name not in build.owned and (part.price or base_role(name) not in _needs.described())
        )

    def first(self, milestone: str = "") -> Step | None:
        """What to do first for the milestone, or for the first that is not ready; None when nothing stands before it.

        Where several parts lack for the drive they are chosen together, since each choice binds the others; and what
        lies there is measured before, since a plan can only count on what is known.
        """
        chosen = self.of(milestone) if milestone else self.next
        if chosen is None or not chosen.blockers:
            return None
        last, id = self.milestones[-1], self.answer.build.id
        lacking = [each for each in last.blockers if each.sort == "missing part" and not _read_later(each)]
        if len(lacking) < FEW or not any(each.sort == "missing part" for each in chosen.blockers):
            step = chosen.blockers[0].step
            if chosen.blockers[0].sort == "not ticked" and self.to_get:  # what is not there cannot be fitted or tried
                why = f"{len(self.to_get)} parts are not at hand yet; tick only what is so"
                return Step(f"matchmark buy {id}", why, step)
            return Step(step)
        given = next((each.step for name in GIVEN for each in lacking if each.name == name), "")
        if given:  # what the build is about is nobody's to plan
            return Step(given)
        plan = f"matchmark plan {id}"
        absent = {base_role(name) for each in lacking for name in (each.need.roles if each.need else ())}
        if any(_readable(each, absent) for each in last.blockers):
            why = "measure what lies there: a plan counts only on what is known; leave open what cannot be read yet"
            return Step(f"matchmark measure {id}", why, plan)
        return Step(plan, f"{len(lacking)} parts are missing, and each choice binds the others: choose them together")


def board(answer: Answer, readings: Sequence[GaugeReading] = (), circuit_breaks: Iterable[Any] = ()) -> Board:
    """The board of a checked build.

    readings: what gauges saw on it. circuit_breaks: `kb.circuit.continuity.breaks(build)`.
    """
    standing = [_Standing(each, answer) for each in answer.findings]
    faults = list(circuit_breaks)
    return Board(answer, tuple(_milestone(name, answer, standing, readings, faults) for name in MILESTONES))


class _Standing:
    """A finding as it stands at each milestone: judged by the limits that count by then."""

    def __init__(self, finding: Finding, answer: Answer) -> None:
        self.finding = finding
        self._answer = answer
        self._made: dict[str, Finding | None] = {}

    def at(self, milestone: str) -> Finding | None:
        """None while none of its limits counts yet."""
        if milestone not in self._made:
            self._made[milestone] = self._judged(milestone)
        return self._made[milestone]

    def _judged(self, milestone: str) -> Finding | None:
        rule, reached = self.finding.rule, _needs.up_to(milestone)
        limits = tuple(limit for limit in rule.limits if limit.milestone in reached)
        if not limits:
            return None
        if len(limits) == len(rule.limits) or (self.finding.probability or 0.0) >= 1.0 - SURE:
            return self.finding  # all its limits, or what surely holds all of them
        held = judge(rule._replace(limits=limits), self.finding.question.build, self._answer.settings)
        return held._replace(qualifier=self.finding.qualifier)

    def first(self, milestone: str) -> str:
        """The first milestone, up to this one, at which it does not say "fits"."""
        found = ((name, self.at(name)) for name in _needs.up_to(milestone))
        return next(name for name, each in found if each is not None and each.verdict != FITS)


def _milestone(
    name: str, answer: Answer, standing: Sequence[_Standing], readings: Sequence[GaugeReading], faults: Sequence[Any]
) -> Milestone:
    build = answer.build
    wanted = _needs.needs(build, name)
    by_now = [(each, found) for each in standing if (found := each.at(name)) is not None]
    blockers = [*_lacking(wanted, build), *_clashes(answer, name), *_gauged(answer, wanted, readings, name)]
    open_items = {each.need.item for each in blockers if each.need is not None and each.sort == "not ticked"}
    for each, found in by_now:
        if found.verdict != FITS and not (found.rule.subsystem == "ready" and open_items & set(_items(found))):
            blockers.append(_of_finding(found, each.finding, each.first(name), build))
    told = {each.name for each in blockers if each.finding is not None}
    later = _needs.needs(build, MILESTONES[-1])
    missing = {name for each in later if each.state == LACKING for name in each.roles}
    faults = [each for each in faults if getattr(each, "finding", "") not in told]
    blockers += circuit_blockers(wanted, faults, name, build, missing)
    asked = [found for _, found in by_now if found.rule.subsystem != "ready"]
    ordered = tuple(sorted(blockers, key=_worst_first))
    return Milestone(name, _state(ordered), ordered, joint(asked, answer.settings), len(asked))


def _state(blockers: Sequence[Blocker]) -> str:
    if not blockers:
        return READY
    return CANNOT_TELL if all(each.sort == "cannot tell" for each in blockers) else NOT_READY


def _worst_first(each: Blocker) -> tuple[int, int, int, int]:
    return SORTS[each.sort], _HARMS.index(each.harm), MILESTONES.index(each.milestone), _ORDER.index(each.sort)


def _read_later(each: Blocker) -> bool:
    """Whether the empty role is filled by reading something, not by getting a part."""
    return each.need is not None and base_role(each.need.roles[0]) in _needs.read_only()


def _readable(each: Blocker, absent: Iterable[str]) -> bool:
    """Whether readings of what is there settle it: no part that is still to come has a word in it."""
    found = each.finding
    return (
        each.sort == "cannot tell"
        and found is not None
        and found.because in ("missing", "spread")
        and not set(found.rule.optional_roles) & set(absent)
    )


# -- needs ---------------------------------------------------------------------------------------------------------


def _lacking(wanted: Sequence[Need], build: Build) -> list[Blocker]:
    """Roles that are empty, items that are not ticked, features that must be recorded before one knows."""
    found: dict[tuple[str, str], Blocker] = {}
    for need in wanted:
        if need.state == LACKING and need.sort == "item":
            made = Blocker(
                "not ticked", need.item, need.harm, need.milestone, need.why, f"matchmark done {build.id} {need.item}",
                need=need,
            )  # fmt: skip
        elif need.state == LACKING and need.sort == "record":
            made = Blocker(
                "cannot tell", need.item, need.harm, need.milestone, need.why, steps.record(need.item, build), need=need
            )
        elif need.state == LACKING:
            if need.roles[0] in LISTS:  # its items are listed one by one
                continue
            name = " or ".join(need.roles)
            made = Blocker(
                "missing part", name, need.harm, need.milestone, need.why, steps.get(need.roles[0], build), need=need
            )
        else:
            continue
        found.setdefault((made.sort, made.name), made)
    return list(found.values())


def _items(finding: Finding) -> list[str]:
    """The items that a rule over a list to tick reads."""
    if "small_parts" in finding.rule.roles:
        return [each for each in _needs.items() if _needs.list_of(each) == "small_parts"]
    return [each.of.feature.name for each in finding.rule.inputs if each.of.role in LISTS]


# -- findings and clashes ------------------------------------------------------------------------------------------


def _of_finding(finding: Finding, whole: Finding, first: str, build: Build) -> Blocker:
    """whole: the finding by all its limits, whose reading must be good enough for the later milestones too."""
    sort = "does not fit" if finding.verdict == NOT else "cannot tell"
    open_ = whole if whole.verdict == OPEN else finding
    step = steps.mend(finding, build) if finding.verdict == NOT else steps.settle(open_, build)
    return Blocker(sort, finding.name, finding.limit.harm, first, finding.rule.asks, step, finding=finding)


def _clashes(answer: Answer, milestone: str) -> list[Blocker]:
    made = []
    for clash in answer.clashes:
        known = clash.incompatibility
        if known.milestone not in _needs.up_to(milestone):
            continue
        harm = min(known.harm, key=_HARMS.index, default="destroys")
        sort, step = "clash", f"matchmark plan {answer.build.id} --change"
        if not clash.certain:
            sort, step = "cannot tell", steps.record(clash.unknown[0], answer.build)
        made.append(Blocker(sort, known.id, harm, known.milestone, known.title, step, clash=clash))
    return made


# -- circuits and gauges -------------------------------------------------------------------------------------------


def circuit_blockers(
    wanted: Sequence[Need], faults: Sequence[Any], milestone: str, build: Build, missing: set[str]
) -> list[Blocker]:
    """Faults of the circuits that the milestone needs; one that only repeats a missing part is left out."""
    needed = {need.circuit: need for need in reversed(wanted) if need.sort == "circuit"}
    made: dict[tuple[str, str], Blocker] = {}
    for fault in faults:
        need = needed.get(fault.circuit)
        first = fault.milestone or (need.milestone if need is not None else "")
        if need is None or first not in _needs.up_to(milestone):
            continue
        if any(name in missing or base_role(name) in missing for name in fault.roles):
            continue
        name = f"{fault.circuit}: {_place(fault)}"
        step = steps.whole_again(fault, build)
        made.setdefault(
            (name, fault.words), Blocker("circuit", name, need.harm, first, fault.words, step, need=need, fault=fault)
        )
    return list(made.values())


def _place(fault: Any) -> str:
    """The name of the joint or node, without the circuit's before it."""
    return str(fault.at).removeprefix(f"{fault.circuit}.").replace("-", " ")


# The first milestone that a reading taken in this state can stand before.
_BLOCKS = {"at_rest": "prime", "primed": "crank", "cranking": "crank", "idling": "drive", "running": "drive"}


def _gauged(answer: Answer, wanted: Sequence[Need], readings: Sequence[GaugeReading], milestone: str) -> list[Blocker]:
    """Readings of the last time at their place that lie outside what such a gauge must show, whatever is ticked."""
    from kb.ready.bands import judge_readings

    needed = {need.circuit: need for need in reversed(wanted) if need.sort == "circuit"}
    made = []
    for found in judge_readings(answer.build, [_worded(each) for each in _last(readings)], answer.settings):
        reading = found.reading
        need = needed.get(circuit_of(reading.place))
        if found.verdict != NOT or need is None:
            continue
        first = max(need.milestone, _BLOCKS.get(reading.state, "prime"), key=MILESTONES.index)
        if first not in _needs.up_to(milestone):
            continue
        place = places().get(reading.place)
        tool = place.tools[0] if place is not None and place.tools else "eye"
        state = f" --state {reading.state}" if reading.state else ""
        step = f"matchmark reading {answer.build.id} {reading.place}=... --with {tool}{state}"
        name = f"{need.circuit}: {reading.place}"
        made.append(Blocker("circuit", name, found.harm or need.harm, first, found.why, step, need=need, fault=reading))
    return made


def _worded(each: GaugeReading) -> GaugeReading:
    """A gauge that stands at zero shows none, where the place knows that word."""
    place = places().get(each.place)
    return each._replace(value="none") if place is not None and each.value == 0.0 and "none" in place.options else each


def _last(readings: Sequence[GaugeReading]) -> list[GaugeReading]:
    """The readings of the last time at each place: by date, then by number of the start (none is the last)."""

    def when(each: GaugeReading) -> tuple[str, float]:
        return each.date, each.start or math.inf

    latest: dict[str, tuple[str, float]] = {}
    for each in readings:
        latest[each.place] = max(latest.get(each.place, when(each)), when(each))
    return [each for each in readings if when(each) == latest[each.place]]


__all__ = [
    "CANNOT_TELL",
    "FITS",
    "NOT_READY",
    "OPEN",
    "READY",
    "SORTS",
    "STATES",
    "UNDECIDED",
    "Blocker",
    "Board",
    "Milestone",
    "Step",
    "board",
    "circuit_blockers",
]
