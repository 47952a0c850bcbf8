"""The symptom trees as data: causes with how often they are met, tests with what each cause shows.

Read from `kb/data/causes/`: a file a tree, and `kinds.json` with the figures that all of them share.
"""

from __future__ import annotations

import json
import os
from collections.abc import Mapping
from functools import cache
from typing import Any, NamedTuple

from kb.errors import unknown

OTHERS = "*"
COMPLAINT = "complaint"
THERE, ABSENT = "there", "absent"


class Kind(NamedTuple):
    """A sort of joint. rate: how often one is at fault in a mixed build before anybody has looked."""

    id: str
    rate: float
    words: str
    origin: str


class Tool(NamedTuple):
    """usual: most builders have one."""

    id: str
    words: str
    usual: bool


class Figures(NamedTuple):
    """What all trees share. unknown_holds: taken for the probability that a rule holds which cannot be computed.

    clash: least probability of a cause that a recorded incompatibility names, by how sure that is. least, most: bounds
    of every prior. clear_at: probability from which a cause stands clear. tool_missing, opened: minutes.
    """

    kinds: Mapping[str, Kind]
    unknown_holds: float
    clash: Mapping[str, float]
    least: float
    most: float
    clear_at: float
    tool_missing: float
    opened: float
    tools: Mapping[str, Tool]


class Listed(NamedTuple):
    """A cause of a tree. needs: roles without which it cannot be. when: 'role.feature' -> codes with which it can.

    joints: patterns of the circuit's joints that it stands for, with `:effect` where it has another than the declared
    one. acts_like: joints whose effect on the gauges it has, where that is not theirs; None: nobody has said.
    """

    id: str
    words: str
    kind: str
    needs: tuple[str, ...]
    when: Mapping[str, tuple[str, ...]]
    roles: tuple[str, ...]
    rules: tuple[str, ...]
    fix: str
    joints: tuple[str, ...] = ()
    acts_like: tuple[str, ...] | None = None


class Flow(NamedTuple):
    """What a test shows by what reaches a gauge place of the circuit. shows: 'full', 'weak', ... -> outcomes.

    only_added: it says so of the joints that the circuit adds; the tree's own causes show more than that.
    """

    place: str
    shows: Mapping[str, Mapping[str, float]]
    only_added: bool = False


class Seen(NamedTuple):
    """Where a recorded reading answers a test.

    at_least: (least value in SI, outcome), highest first; codes: code -> outcome. states: in which the reading counts,
    () for any.
    """

    place: str
    states: tuple[str, ...]
    at_least: tuple[tuple[float, str], ...]
    codes: Mapping[str, str]

    def outcome(self, value: float | str) -> str:
        """The outcome that a value stands for, '' for one that says nothing."""
        if isinstance(value, str):
            return self.codes.get(value, "")
        return next((outcome for least, outcome in self.at_least if value >= least), "")


class OneTest(NamedTuple):
    """A test of a tree.

    outcomes: code -> words, best first. shows: cause -> {outcome: chance} where a cause shows something else than
    `default`; the rest of a cause's chance goes to `others`. good: what is seen with no fault.
    """

    id: str
    asks: str
    how: str
    outcomes: Mapping[str, str]
    minutes: float
    tools: tuple[str, ...]
    opened: bool
    combine: str
    caution: str
    needs: tuple[str, ...]
    shows: Mapping[str, Mapping[str, float]]
    default: str
    good: str
    seen: Seen | None = None
    flow: Flow | None = None
    blind: frozenset[str] = frozenset()  # causes of which it tells nothing

    def row(self, cause: str) -> tuple[float, ...]:
        """Chance of each outcome with this cause alone; '' for no fault at all. Sums to 1."""
        if cause in self.blind:
            return (1.0 / len(self.outcomes),) * len(self.outcomes)
        if not cause:
            given: dict[str, float] = {self.good: 1.0}
        else:
            given = dict(self.shows.get(cause) or self.shows.get(OTHERS) or {})
            given[self.default] = given.get(self.default, 0.0) + max(0.0, 1.0 - sum(given.values()))
        return tuple(given.get(outcome, 0.0) for outcome in self.outcomes)


class Line(NamedTuple):
    """A numbered line of the trade page's tree, and what covers it."""

    id: str
    tests: tuple[str, ...]
    causes: tuple[str, ...]


class Tree(NamedTuple):
    """A symptom with its causes and tests. tests[0] is the complaint itself. shows_at: gauge places where it shows.

    gauges: further gauge places of its circuit that are worth a look. origin: where causes, minutes and chances come
    from.
    """

    id: str
    letter: str
    words: str
    circuit: str
    harm: str
    milestone: str
    caution: str
    causes: tuple[Listed, ...]
    tests: tuple[OneTest, ...]
    lines: tuple[Line, ...]
    shows_at: tuple[str, ...]
    gauges: tuple[str, ...]
    origin: str


FOLDER = os.path.join(os.path.dirname(os.path.dirname(os.path.abspath(__file__))), "data", "causes")
SHARED = ("kinds", "phrases")  # files of the folder that are no trees


def load(name: str) -> dict[str, Any]:
    """A data file of `kb/data/causes/`."""
    with open(os.path.join(FOLDER, f"{name}.json"), encoding="utf-8") as file:
        found: dict[str, Any] = json.load(file)
    return found


@cache
def figures() -> Figures:
    """The figures that all trees share."""
    data = load("kinds")
    return Figures(
        {id: Kind(id, each["rate"], each["words"], each["origin"]) for id, each in data["kinds"].items()},
        data["unknown_holds"]["value"],
        {name: value for name, value in data["clash"].items() if isinstance(value, float)},
        data["least"],
        data["most"],
        data["clear_at"]["value"],
        float(data["effort"]["tool_missing"]),
        float(data["effort"]["opened"]),
        {id: Tool(id, each["words"], each["usual"]) for id, each in data["tools"].items()},
    )


@cache
def trees() -> Mapping[str, Tree]:
    """Every symptom tree, by id, in the order of their letters: a new one is a new file."""
    names = [name for name, ext in map(os.path.splitext, os.listdir(FOLDER)) if ext == ".json" and name not in SHARED]
    return {each.id: each for each in sorted(map(_tree, map(load, names)), key=lambda each: each.letter)}


def tree(id: str) -> Tree:
    """The tree of a symptom. UnknownName if there is none."""
    found = trees()
    if id not in found:
        fault = unknown("symptom", id, found)
        fault.step = fault.step or f"it is one of: {', '.join(found)}"
        raise fault
    return found[id]


def _tree(data: Mapping[str, Any]) -> Tree:
    causes = tuple(
        Listed(
            each["id"], each["words"], each["kind"], tuple(each["needs"]),
            {path: tuple(codes) for path, codes in each.get("when", {}).items()},
            tuple(each["roles"]), tuple(each.get("rules", ())), each["fix"], tuple(each.get("joints", ())),
            tuple(each["acts_like"]) if "acts_like" in each else None,
        )
        for each in data["causes"]
    )  # fmt: skip
    complains = data.get("complains", {})
    complaint = OneTest(
        COMPLAINT, data["asks"], "say what you see", {ABSENT: "no", THERE: "yes"}, 1.0, (), False, "worst", "", (),
        {id: {THERE: chance} for id, chance in complains.items()} | {OTHERS: {THERE: 1.0}}, ABSENT, ABSENT,
    )  # fmt: skip
    return Tree(
        data["id"], data["letter"], data["words"], data["circuit"], data["harm"], data["milestone"], data["caution"],
        causes, (complaint, *(_test(each) for each in data["tests"])),
        tuple(Line(id, tuple(each["tests"]), tuple(each["causes"])) for id, each in data["lines"].items()),
        tuple(data.get("shows_at", ())), tuple(data.get("gauges", ())), data["origin"],
    )  # fmt: skip


def _test(data: Mapping[str, Any]) -> OneTest:
    outcomes: dict[str, str] = data["outcomes"]
    first = next(iter(outcomes))
    shows: dict[str, dict[str, float]] = {}
    for outcome, names in data["shows"].items():
        for name in names:
            cause, _, chance = name.partition(":")
            shows.setdefault(cause, {})[outcome] = float(chance or 1.0)
    reading = data.get("reading")
    return OneTest(
        data["id"], data["asks"], data["how"], outcomes, float(data["minutes"]), tuple(data["tools"]),
        data.get("opened", False), data.get("combine", "worst"), data.get("caution", ""), tuple(data.get("needs", ())),
        shows, data.get("default", first), first, seen_at(reading) if reading else None, _flow(data.get("flow")),
    )  # fmt: skip


def _flow(data: Mapping[str, Any] | None) -> Flow | None:
    if data is None:
        return None
    shows = {}
    for state, text in data.items():
        if state not in ("place", "only_added"):
            pairs = [each.strip().partition(":") for each in text.split(",")]
            shows[state] = {outcome: float(chance or 1.0) for outcome, _, chance in pairs}
    return Flow(data["place"], shows, data.get("only_added", False))


def seen_at(data: Mapping[str, Any]) -> Seen:
    """Where a recorded reading answers a test, from `place`, `state`, `at_least` and `codes` of a data file."""
    from kb import units
    from kb.gauges import places

    quantity = places()[data["place"]].quantity
    bounds = [(units.parse(text, quantity).value, outcome) for text, outcome in data.get("at_least", ())]
    return Seen(data["place"], tuple(data.get("state", ())), tuple(bounds), data.get("codes", {}))
