"""The first start as a list of steps: those that this build's parts call for, in order, each with the value to reach.

The steps are data (`kb/data/first_start.json`). A figure comes from a feature of a part, from what a rule computes for
this build, from a limit of a rule or from the band of a gauge; where the build gives none, the step says it in words.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import lru_cache
from typing import Any, NamedTuple

from kb.build import Build
from kb.chance import FITS, NOT, Settings
from kb.circuit.conditions import holds, part_in
from kb.circuit.continuity import Inspection, inspect
from kb.finding import Finding
from kb.gauges import GaugeReading, places
from kb.judge import answer
from kb.measure import Dimension
from kb.ready.bands import bands_for
from kb.ready.needs import LACKING, needs, ticked
from kb.roles import base_role, role_feature
from kb.rules import rule_named
from kb.sources import Source, source

NO_FIGURE = "the figure of its maker"
WARM = 363.0  # K: bands of hot oil are those of oil at work
_IN_BRACES = re.compile(r"\{([a-z_]+)\}")


class Figure(NamedTuple):
    """A figure of a step: SI value with its quantity, or a text with none."""

    name: str
    value: float | str
    quantity: str = ""


class Step(NamedTuple):
    """One step. passes and stop name figures in braces.

    tick: item of the first start that it ticks; done and note: whether it is ticked, when and by whom. circuit: one
    that must be whole, and breaks: what the records say against it. open: what the records do not say there. doubts:
    (question, verdict) of rules whose figure it shows and that do not say 'fits'. unsure: features that decide whether
    the step is called for at all, and that nobody recorded.
    """

    id: str
    phase: str
    text: str
    passes: str
    figures: tuple[Figure, ...]
    stop: str
    trace: str
    caution: str
    source: Source
    tick: str = ""
    done: bool | None = None
    note: str = ""
    circuit: str = ""
    breaks: tuple[str, ...] = ()
    open: tuple[str, ...] = ()
    doubts: tuple[tuple[str, str], ...] = ()
    unsure: tuple[str, ...] = ()


class Phase(NamedTuple):
    """Steps that belong together; milestone: the one that they lead to."""

    id: str
    title: str
    milestone: str
    steps: tuple[Step, ...]


class Sheet(NamedTuple):
    """The first-start sheet of one build. elsewhere: breaks of circuits that no step of it follows."""

    build: Build
    phases: tuple[Phase, ...]
    elsewhere: tuple[str, ...] = ()

    @property
    def steps(self) -> tuple[Step, ...]:
        return tuple(step for phase in self.phases for step in phase.steps)


@lru_cache(maxsize=1)
def data() -> Mapping[str, Any]:
    """The data file as it stands."""
    import json
    from os.path import dirname, join

    with open(join(dirname(dirname(__file__)), "data", "first_start.json"), encoding="utf-8") as file:
        found: Mapping[str, Any] = json.load(file)
    return found


def sheet(build: Build, findings: Sequence[Finding] | None = None) -> Sheet:
    """The steps that this build calls for. findings: the rules' answers, where somebody has them already."""
    if findings is None:
        wanted = [rule_named(each["rule"]) for row in data()["steps"] for each in _sources(row) if "rule" in each]
        filled = {base_role(each) for each in build.parts}
        asked = [each for each in {rule.id: rule for rule in wanted}.values() if filled.issuperset(each.roles)]
        findings = answer(build, asked, Settings()).findings
        circuits = inspect(build)
    else:
        circuits = inspect(build, findings)
    maker = _Maker(build, findings, circuits)
    phases = []
    for id, (title, milestone) in data()["phases"].items():
        steps = tuple(step for row in data()["steps"] if row["phase"] == id for step in maker.steps(row))
        if steps:
            phases.append(Phase(id, title, milestone, steps))
    followed = {step.circuit for phase in phases for step in phase.steps}
    elsewhere = tuple(f"{each.circuit}: {each.words}" for each in circuits.breaks if each.circuit not in followed)
    return Sheet(build, tuple(phases), elsewhere)


def _sources(row: Mapping[str, Any]) -> Iterator[Mapping[str, Any]]:
    yield from row.get("values", {}).values()


class _Maker:
    def __init__(self, build: Build, findings: Iterable[Finding], circuits: Inspection) -> None:
        self.build = build
        self.findings: dict[str, Finding] = {}
        for finding in findings:
            self.findings.setdefault(finding.rule.id, finding)
        self.circuits = circuits

    def steps(self, row: Mapping[str, Any]) -> list[Step]:
        """The step of this row, or nothing."""
        called = holds(row.get("when"), self.build)
        unsure = tuple(self._silent(row["when"])) if called is None else ()
        if called is False or (called is None and not unsure):
            return []
        figures = {name: found for name, of in row.get("values", {}).items() if (found := self._figure(name, of))}
        passes = self._words(figures, row["pass"], row.get("otherwise", NO_FIGURE), NO_FIGURE)
        stop = self._words(figures, row.get("stop", ""), "")
        named = set(_IN_BRACES.findall(f"{passes} {stop}"))
        done, note = self._ticked(row)
        broken, silent = self._circuit(row.get("circuit", ""))
        return [
            Step(
                row["id"], row["phase"], row["text"], passes,
                tuple(figure for name, figure in figures.items() if name in named),
                stop, row.get("trace", ""), row.get("caution", ""), source(row["source"]),
                row.get("tick", ""), done, note, row.get("circuit", ""), broken, silent,
                tuple(self._doubts(row, named)), unsure,
            )
        ]  # fmt: skip

    def _silent(self, when: Mapping[str, Any]) -> Iterator[str]:
        """Features of filled roles that the condition asks for and nobody recorded."""
        for path in _paths(when):
            name, feature = path.split(".")[:2]
            part = part_in(name, self.build)
            if part is not None and part.facts.get(feature) is None:
                yield f"{name}.{feature}"

    def _words(self, figures: Mapping[str, Figure], *wanted: str) -> str:
        """The first of the wordings of which every figure is known."""
        return next(each for each in wanted if set(_IN_BRACES.findall(each)) <= set(figures))

    # -- figures -------------------------------------------------------------------------------------------------

    def _figure(self, name: str, of: Mapping[str, Any]) -> Figure | None:
        if "feature" in of:
            return self._feature(name, of["feature"])
        if "rule" in of:
            finding = self.findings.get(of["rule"])
            if finding is None or finding.quantity is None:
                return None
            return Figure(name, float(finding.quantity), finding.rule.quantity)
        if "limit" in of:
            return self._limit(name, of["limit"], of["name"])
        if "band" in of:
            return self._band(name, of)
        if "count" in of:
            role, feature = of["count"].split(".")
            part = part_in(role, self.build)
            listed = part.facts.get(feature) if part is not None else None
            return Figure(name, str(len(listed))) if listed is not None else None
        if "firing" in of:
            return self._firing(name)
        return self._small_parts(name)

    def _feature(self, name: str, path: str) -> Figure | None:
        role, feature = path.split(".")
        part = part_in(role, self.build)
        value = part.facts.get(feature) if part is not None else None
        if value is None:
            return None
        if isinstance(value, Dimension):
            return Figure(name, value.value, role_feature(path).feature.quantity)
        return Figure(name, str(value))

    def _limit(self, name: str, rule_id: str, limit: str) -> Figure | None:
        rule = rule_named(rule_id)
        own = self.build.own_limits.get((rule_id, limit))
        bound = own[0] if own else next(each.bound for each in rule.limits if each.name == limit)
        return Figure(name, bound, rule.quantity) if isinstance(bound, float | int) else None

    def _band(self, name: str, of: Mapping[str, Any]) -> Figure | None:
        idle = self._feature("idle", "duty.idle")
        speed = idle.value if idle is not None and isinstance(idle.value, float) else None
        reading = GaugeReading("", self.build.id, of["place"], 0.0, state=of["state"], speed=speed, temperature=WARM)
        found = next((each for each in bands_for(self.build, reading)[0] if each.id == of["band"]), None)
        bound = None if found is None else found.low if of["bound"] == "low" else found.high
        return None if bound is None else Figure(name, bound, places()[of["place"]].quantity)

    def _firing(self, name: str) -> Figure | None:
        block = part_in("block", self.build)
        order = block.facts.get("firing") if block is not None else None
        cylinders = [each.get("cylinder") for each in order or ()]
        return Figure(name, "-".join(map(str, cylinders))) if cylinders and None not in cylinders else None

    def _small_parts(self, name: str) -> Figure | None:
        """What of the bill is there, and what is lacking."""
        box = part_in("small_parts", self.build)
        have = box.facts.get("have") if box is not None else None
        if have is None:
            return None
        lacking = self._lacking_small_parts()
        still = f"; still lacking {', '.join(_plain(each) for each in lacking)}" if lacking else ""
        return Figure(name, f"{len(have)} of them{still}")

    def _lacking_small_parts(self) -> list[str]:
        found = needs(self.build, "drive")
        bill = role_feature("small_parts.have").feature.options
        return [each.item for each in found if each.sort == "item" and each.item in bill and each.state == LACKING]

    # -- what is known to be done --------------------------------------------------------------------------------

    def _ticked(self, row: Mapping[str, Any]) -> tuple[bool | None, str]:
        """Whether the step is done, and when and by whom."""
        if row.get("list") == "small_parts":
            return not self._lacking_small_parts(), ""
        item = row.get("tick", "")
        if not item:
            return None, ""
        done = ticked(item, self.build)
        part = part_in("first_start", self.build)
        entries = (part.facts.get("ticked") if part is not None else None) or ()
        entry: Mapping[str, Any] = next((each for each in entries if each["id"] == item), {})
        by = f"by {entry['by']}" if entry.get("by") else ""
        note = ", ".join(str(each) for each in (entry.get("date"), by, entry.get("note")) if each)
        return bool(done), note if done else ""

    def _circuit(self, name: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
        broken = tuple(each.words for each in self.circuits.breaks if each.circuit == name)
        silent = tuple(each.words for each in self.circuits.silent if each.circuit == name)
        return broken, tuple(dict.fromkeys(silent))

    def _doubts(self, row: Mapping[str, Any], named: set[str]) -> Iterator[tuple[str, str]]:
        for name, of in row.get("values", {}).items():
            finding = self.findings.get(of.get("rule", ""))
            if finding is not None and name in named and finding.verdict != FITS:
                yield finding.rule.asks, finding.verdict


def _paths(when: Any) -> Iterator[str]:
    """Every `role.feature` that a condition asks for."""
    if isinstance(when, Mapping):
        if "is" in when:
            yield when["is"]
        for each in when.values():
            yield from _paths(each)
    elif isinstance(when, list):
        for each in when:
            yield from _paths(each)


def _plain(name: str) -> str:
    return name.replace("_", " ")


def broken(found: Sheet) -> bool:
    """Whether the records already say that some step will fail."""
    return bool(found.elsewhere) or any(
        step.breaks or any(verdict == NOT for _, verdict in step.doubts) for step in found.steps
    )
