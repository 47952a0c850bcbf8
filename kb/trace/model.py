"""The causes of a symptom in one very build, each with its prior probability, and the tests that tell them apart.

A cause's prior: that its kind of joint is bad anyhow, or that the most doubtful of the rules which vouch for the joint
does not hold, 1 - (1 - rate) * P(rule holds); at least as much as a recorded incompatibility of its parts, or a fault
that is seen in the circuit, makes it.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from fnmatch import fnmatchcase
from typing import TYPE_CHECKING, Any, NamedTuple

from kb.build import Build
from kb.chance import NOT
from kb.circuit.words import plain
from kb.gauges import GaugeReading
from kb.judge import Answer
from kb.known import Clash
from kb.roles import base_role
from kb.trace.trees import COMPLAINT, Listed, OneTest, Tree, figures, tree

if TYPE_CHECKING:
    from kb.circuit.continuity import Break
    from kb.trace.engine import Packed


class Cause(NamedTuple):
    """A suspect in this build.

    prior: probability before any answer, alone. base: of its kind of joint. holds: probability of the most doubtful
    rule that vouches for it, `doubtful` its name and `asks` its question; 1 and '' where none was asked. clashes: ids
    of recorded incompatibilities that raised it, `told` their titles; broken: words of the fault seen in the circuit
    that did. joints: ids of joints of the circuit that it stands for.
    """

    id: str
    words: str
    kind: str
    roles: tuple[str, ...]
    rules: tuple[str, ...]
    fix: str
    prior: float
    base: float
    holds: float
    doubtful: str
    clashes: tuple[str, ...]
    broken: str
    joints: tuple[str, ...]
    told: tuple[str, ...] = ()
    asks: str = ""


class Given(NamedTuple):
    """A recorded reading that answers a test."""

    outcome: str
    reading: str
    text: str


class Model(NamedTuple):
    """A symptom's causes and tests for one build. left_out: causes that cannot be in this build, and why."""

    build: Build
    tree: Tree
    causes: tuple[Cause, ...]
    tests: tuple[OneTest, ...]
    packed: Packed
    given: Mapping[str, Given]
    left_out: tuple[tuple[str, str], ...]
    tools: frozenset[str]

    def test(self, id: str) -> OneTest:
        """The test with this id. UnknownName if this model has none."""
        from kb.errors import unknown

        found = next((each for each in self.tests if each.id == id), None)
        if found is None:
            names = [each.id for each in self.tests[1:]]
            fault = unknown(f"test for {self.tree.id}", id, names)
            fault.step = fault.step or f"it has: {', '.join(names)}"
            raise fault
        return found

    def number(self, id: str) -> int:
        """The test's place among the tests."""
        return self.tests.index(self.test(id))


def usual_tools() -> frozenset[str]:
    """Ids of the tools that most builders have."""
    return frozenset(id for id, tool in figures().tools.items() if tool.usual)


def effort(test: OneTest, tools: Collection[str]) -> float:
    """Minutes that a test costs with these tools at hand."""
    shared = figures()
    missing = sum(tool not in tools for tool in test.tools)
    return max(test.minutes, 1.0) + shared.tool_missing * missing + shared.opened * test.opened


def model(
    build: Build,
    answer: Answer,
    breaks: Sequence[Break] = (),
    readings: Iterable[GaugeReading] = (),
    symptom: str = "oil-prime",
    *,
    circuits: Mapping[str, Any] | None = None,
    tools: Collection[str] | None = None,
) -> Model:
    """The model of a symptom for a build. UnknownName for a symptom that is none.

    answer: the rules' answer for this build; breaks: faults that continuity finds; readings: recorded ones of this
    build; circuits: those of this build, from which joints that no listed cause covers become suspects of their own.
    """
    from kb.trace.engine import Trial, pack

    chosen = tree(symptom)
    have = usual_tools() if tools is None else frozenset(tools)
    filled = {base_role(name) for name in build.parts}
    causes, left_out = [], []
    circuit = (circuits or {}).get(chosen.circuit)
    for listed in chosen.causes:
        why = _impossible(listed, build, filled)
        if why:
            left_out.append((listed.words, why))
        else:
            causes.append(_weighed(listed, answer, breaks, circuit))
    tests = [each for each in chosen.tests if all(role in filled for role in each.needs)]
    if circuit is not None and chosen.shows_at:
        from kb.trace.joints import add_joints

        causes, tests = add_joints(chosen, circuit, causes, tests, answer, breaks)
    names = ("", *(cause.id for cause in causes))
    told = [each for each in tests if each.id == COMPLAINT or len({each.row(name) for name in names if name}) > 1]
    import numpy as np

    trials = [Trial(np.array([each.row(name) for name in names]), effort(each, have), each.combine) for each in told]
    packed = pack([cause.prior for cause in causes], trials)
    return Model(build, chosen, tuple(causes), tuple(told), packed, _given(told, readings), tuple(left_out), have)


def _impossible(listed: Listed, build: Build, filled: Collection[str]) -> str:
    """Why a cause cannot be in this build, '' if it can."""
    lacking = [role for role in listed.needs if role not in filled]
    if lacking:
        return f"no {plain(lacking[0])} in this build"
    for path, codes in listed.when.items():
        role, _, feature = path.partition(".")
        for name, part in build.parts.items():
            value = part.facts.get(feature) if base_role(name) == role else None
            if value is not None and value not in codes:
                return f"{plain(feature)} of the {plain(name)}: {plain(str(value))}"
    return ""


def _weighed(listed: Listed, answer: Answer, breaks: Sequence[Break], circuit: Any) -> Cause:
    shared = figures()
    base = shared.kinds[listed.kind].rate
    holds, doubtful, asks = vouched(listed.rules, answer)
    prior = 1.0 - (1.0 - base) * holds
    matching = [each for each in answer.clashes if _names(each, listed.roles)]
    for clash in matching:
        sure = clash.incompatibility.status if clash.certain else "unsure"
        prior = max(prior, shared.clash.get(sure, shared.clash["unsure"]))
    joints = tuple(each.id for each in circuit.joints if covers(listed, each)) if circuit is not None else ()
    broken = next((each.words for each in breaks if each.joint in joints), "")
    if broken:
        prior = max(prior, shared.clash["confirmed"])
    return Cause(
        listed.id, listed.words, listed.kind, listed.roles, listed.rules, listed.fix,
        min(max(prior, shared.least), shared.most), base, holds, doubtful,
        tuple(each.incompatibility.id for each in matching), broken, joints,
        tuple(each.incompatibility.title for each in matching), asks,
    )  # fmt: skip


def vouched(rules: Collection[str], answer: Answer) -> tuple[float, str, str]:
    """(probability that the most doubtful of these rules holds, its name, its question), (1, '', '') without one."""
    shared = figures()
    worst, name, asks = 1.0, "", ""
    for finding in answer.findings:
        if finding.rule.id not in rules or finding.because == "nothing":
            continue
        chance = finding.probability
        if finding.because == "outside_usual":
            chance = min(1.0 if chance is None else chance, shared.unknown_holds)
        elif chance is None:
            chance = 1.0 - shared.most if finding.verdict == NOT else shared.unknown_holds
        if chance < worst or not name:
            worst, name, asks = chance, finding.name, finding.rule.asks
    return worst, name, asks


def covers(listed: Listed, joint: Any) -> bool:
    """Whether a listed cause stands for a joint of a circuit."""
    return any(fnmatchcase(joint.id, pattern.partition(":")[0]) for pattern in listed.joints)


def _names(clash: Clash, roles: Collection[str]) -> bool:
    """Whether a recorded clash is about the parts of a cause: two of its parties' roles, or all of them."""
    parties = {base_role(party.role) for party in clash.incompatibility.parties}
    return len(parties & set(roles)) >= min(2, len(parties))


def _given(tests: Sequence[OneTest], readings: Iterable[GaugeReading]) -> dict[str, Given]:
    """What recorded readings already answer: those of the newest start alone, for before it things stood otherwise."""
    every = list(readings)
    last = max((each.start for each in every if each.start is not None), default=None)
    since = min((each.date for each in every if last is not None and each.start == last), default="")
    found: dict[str, Given] = {}
    for reading in sorted(every, key=lambda each: (each.date, each.id)):
        if reading.start != last and (reading.start is not None or "" < reading.date < since):
            continue
        for test in tests:
            seen = test.seen
            if seen is None or seen.place != reading.place or (seen.states and reading.state not in seen.states):
                continue
            outcome = seen.outcome(reading.value)
            if outcome:
                found[test.id] = Given(outcome, reading.id, reading.text)
    return found
