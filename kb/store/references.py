"""What records name of each other: parts, sources, instruments, terms, roles. Checked before anything is written."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any

from kb.errors import Fault, Faults, RecordFault, unknown
from kb.measure import instruments
from kb.records import KINDS, Feature
from kb.records import values as written
from kb.records.given import Path
from kb.records.knowledge import conditions_of
from kb.records.models import Checked
from kb.roles import ROLES, Role, base_role
from kb.sources import SOURCES
from kb.store.read import none_such


class Known:
    """Everything that a record may name: what is stored, and what is in the same load."""

    def __init__(
        self,
        parts: Mapping[str, tuple[str, str]],
        sources: Iterable[str] = (),
        tools: Mapping[str, Sequence[str]] | None = None,
        terms: Iterable[str] = (),
        builds: Iterable[str] = (),
    ) -> None:
        self.stored = dict(parts)
        self.parts = dict(parts)
        self.sources = {*SOURCES, *sources}
        self.tools: dict[str, Sequence[str]] = {id: row.measures for id, row in instruments().items()}
        self.tools.update(tools or {})
        self.terms = set(terms)
        self.builds = set(builds)

    def add(self, records: Iterable[Checked]) -> Known:
        """The same with `records` in it."""
        for one in records:
            if one.kind in KINDS:
                self.parts[one.id] = (one.kind, one.facts.get("based_on", ""))
            elif one.kind == "source":
                self.sources.add(one.id)
            elif one.kind == "instrument":
                self.tools[one.id] = one.facts["measures"]
            elif one.kind == "term":
                self.terms.add(one.id)
            elif one.kind == "build":
                self.builds.add(one.id)
        return self

    def pretend(self, records: Iterable[Mapping[str, Any]]) -> Known:
        """The same as if these records, good or not, were in it."""
        for data in records:
            kind, id = data.get("kind"), data.get("id")
            if not isinstance(kind, str) or not isinstance(id, str):
                continue
            if kind in KINDS:
                self.parts.setdefault(id, (kind, ""))
            elif kind == "source":
                self.sources.add(id)
            elif kind == "instrument":
                self.tools.setdefault(id, ("length",))
            elif kind == "term":
                self.terms.add(id)
            elif kind == "build":
                self.builds.add(id)
        return self


def vocabularies() -> list[str]:
    """The vocabularies that features take their codes from."""
    found: set[str] = set()
    for kind in KINDS.values():
        for feature in kind.features.values():
            inner = feature.item.features.values() if feature.item is not None else ()
            found.update(each.vocabulary for each in (feature, *inner) if each.vocabulary)
    return sorted(found)


def tickable(kind: str) -> list[str]:
    """What can be ticked on a part of `kind`: its flags, and the codes of its features that take several."""
    found: list[str] = []
    for name, feature in KINDS[kind].features.items():
        if feature.sort == "flag":
            found.append(name)
        elif feature.sort == "codes":
            found.extend(feature.options)
    return found


def faults_in(one: Checked, known: Known) -> list[Fault]:
    """Every name in the record that means nothing, or something of another sort."""
    check = _Check(one, known)
    if one.kind in KINDS:
        check.part()
    elif one.kind == "build":
        check.build()
    elif one.kind == "incompatibility":
        check.incompatibility()
    elif one.kind == "donor":
        check.donor()
    elif one.kind == "reading":
        check.gauge()
    elif one.kind == "instrument":
        check.source(one.facts.get("origin", ""), ("origin",))
    elif one.kind == "term":
        vocabulary = one.id.partition("/")[0]
        if vocabulary not in vocabularies():
            check.note(unknown("vocabulary", vocabulary, vocabularies()), ("id",))
    return check.faults


def completed(one: Checked) -> Checked:
    """The record with the conditions of a clash's parties in normal form, as the check reads them."""
    if one.kind != "incompatibility":
        return one
    parties = []
    for party in one.facts["parties"]:
        kind = ROLES[base_role(party["role"])].kind.kind
        parties.append({**party, "conditions": conditions_of(kind, party.get("where", {}))})
    return one._replace(facts={**one.facts, "parties": parties})


class _Check:
    def __init__(self, one: Checked, known: Known) -> None:
        self.one = one
        self.known = known
        self.faults: list[Fault] = []

    def note(self, fault: Fault, path: Path) -> None:
        fault.step = fault.step or "check the name, or add a record of that id"
        self.faults.append(fault.at(self.one.given.place(path)))

    def attempt(self, function: Callable[[], Any], path: Path) -> Any:
        try:
            return function()
        except Fault as fault:
            self.note(fault, path)
            return None

    def source(self, name: str, path: Path) -> None:
        if name and name not in self.known.sources:
            self.note(unknown("source", name, self.known.sources), path)

    def part_id(self, name: str, kind: str, path: Path) -> None:
        if name not in self.known.parts:
            same = [id for id, (other, _) in self.known.parts.items() if other == kind]
            self.note(none_such(kind, name, same), path)
        elif self.known.parts[name][0] != kind:
            other = self.known.parts[name][0]
            message = f"{name} is of kind {other}, not {kind}"
            self.note(RecordFault(message, step=f"name a part of kind {kind}"), path)

    def any_part(self, name: str, path: Path) -> None:
        if name not in self.known.parts:
            self.note(none_such("part", name, list(self.known.parts)), path)

    def tool(self, name: str, path: Path) -> None:
        if name and name not in self.known.tools:
            self.note(unknown("instrument", name, self.known.tools), path)

    def role(self, name: str, path: Path) -> Role | None:
        if base_role(name) in ROLES:
            return ROLES[base_role(name)]
        self.note(unknown("role", name, ROLES), path)
        return None

    def part(self) -> None:
        one, known = self.one, self.known
        before = known.stored.get(one.id)
        if before is not None and before[0] != one.kind:
            message = f"the id {one.id} belongs to a part of kind {before[0]} already"
            self.note(RecordFault(message, step="give this part another id"), ("id",))
        based_on = one.facts.get("based_on", "")
        if based_on:
            self.part_id(based_on, one.kind, ("based_on",))
            seen = [one.id]
            while based_on and based_on not in seen:
                seen.append(based_on)
                based_on = known.parts.get(based_on, ("", ""))[1]
            if based_on == one.id:
                message = f"is based on itself: {' on '.join([*seen, based_on])}"
                self.note(RecordFault(message, step="break the circle"), ("based_on",))
            elif len(seen) > 50:
                self.note(RecordFault("is based on more than 50 others in a row", step="shorten it"), ("based_on",))
        self.features(KINDS[one.kind].features, one.facts, ())
        self.ticked()
        said = one.record.get("known", {})
        self.source(said.get("source", ""), ("known", "source"))
        self.tool(said.get("with", ""), ("known", "with"))

    def features(self, features: Mapping[str, Feature], facts: Mapping[str, Any], path: Path) -> None:
        default = self.one.record.get("known", {})
        for name, value in facts.items():
            feature = features.get(name)
            if feature is None:
                continue
            here = (*path, name)
            if feature.sort == "dimension":
                for said in value:
                    self.reading(feature, said, default, here)
            elif feature.item is not None:
                for number, entry in enumerate(value):
                    self.features(feature.item.features, entry, (*here, number))
            elif feature.vocabulary:
                for code in [value] if isinstance(value, str) else value:
                    self.term(feature, code, here)

    def reading(self, feature: Feature, said: Mapping[str, Any], default: Mapping[str, Any], path: Path) -> None:
        source, tool = said.get("source", ""), said.get("with", "")
        if source != default.get("source", ""):
            self.source(source, path)
        if not tool:
            return
        if tool not in self.known.tools:
            if tool != default.get("with"):
                self.note(unknown("instrument", tool, self.known.tools), path)
        elif "half" not in said and not written.instrument_reads(list(self.known.tools[tool]), feature.quantity):
            message = f"{tool} does not read a {feature.quantity} directly, so its error is not known"
            self.note(RecordFault(message, step="state the tolerance, for example 40 cc +/- 2 cc"), path)

    def term(self, feature: Feature, code: str, path: Path) -> None:
        if f"{feature.vocabulary}/{code}" in self.known.terms:
            return
        codes = [id.partition("/")[2] for id in self.known.terms if id.startswith(f"{feature.vocabulary}/")]
        fault = unknown(f"term of {feature.vocabulary}", code, codes)
        fault.step = fault.step or f"declare it: a record of kind term with id {feature.vocabulary}/{code}"
        self.note(fault, path)

    def build(self) -> None:
        for name, entry in self.one.facts.get("roles", {}).items():
            role = self.role(name, ("roles", name))
            if role is not None:
                self.part_id(entry["part"], role.kind.kind, ("roles", name))
        for name, several in self.one.facts.get("alternatives", {}).items():
            role = self.role(name, ("alternatives", name))
            if role is None:
                continue
            for number, entry in enumerate(several):
                self.part_id(entry["part"], role.kind.kind, ("alternatives", name, number))

    def donor(self) -> None:
        for number, each in enumerate(self.one.facts.get("carries", ())):
            self.any_part(each["part"], ("carries", number))

    def gauge(self) -> None:
        facts = self.one.facts
        if facts["build"] not in self.known.builds:
            self.note(none_such("build", facts["build"], sorted(self.known.builds)), ("build",))
        self.tool(facts.get("with", ""), ("with",))

    def ticked(self) -> None:
        """Items of a list that are ticked are flags of its kind, or codes of one of its features."""
        features = KINDS[self.one.kind].features
        items = tickable(self.one.kind)
        for number, each in enumerate(self.one.facts.get("ticked", ()) if "ticked" in features else ()):
            if each["id"] not in items:
                self.note(unknown("item to tick", each["id"], items), ("ticked", number, "id"))

    def incompatibility(self) -> None:
        facts = self.one.facts
        for number, party in enumerate(facts["parties"]):
            path: Path = ("parties", number)
            role = self.role(party["role"], (*path, "role"))
            if role is None:
                continue
            kind = role.kind.kind
            if party.get("part"):
                self.part_id(party["part"], kind, (*path, "part"))
            found = self.attempt(lambda: conditions_of(kind, party.get("where", {})), path)  # noqa: B023 - called at once
            for condition in found or ():
                feature = written.feature_at(kind, condition["feature"])
                value = condition["value"]
                for code in (value if isinstance(value, list) else [value]) if feature.vocabulary else ():
                    self.term(feature, code, (*path, "where", condition["feature"]))
        for number, seen in enumerate(facts.get("evidence", ())):
            path = ("evidence", number)
            role = self.role(seen["role"], (*path, "role")) if seen.get("role") else None
            if seen.get("feature") and not seen.get("role"):
                fault = RecordFault("names a feature but no role", step="say which part was measured: role: pan")
                self.note(fault, path)
            elif seen.get("feature") and role is not None:
                self.attempt(lambda: _evidence(role, seen), (*path, "feature"))  # noqa: B023 - called at once


def _evidence(role: Role, seen: Mapping[str, Any]) -> None:
    feature = written.feature_at(role.kind.kind, seen["feature"])
    if seen.get("reading") and feature.sort == "dimension":
        written.read_dimension(feature, seen["reading"])


def duplicates(records: Sequence[Checked]) -> list[tuple[Checked, Fault]]:
    """Each record whose id another one of the same load has too, with the fault that says so. Parts share their ids."""
    seen: dict[tuple[str, str], list[Checked]] = {}
    for one in records:
        seen.setdefault(("part" if one.kind in KINDS else one.kind, one.id), []).append(one)
    found: list[tuple[Checked, Fault]] = []
    for same in seen.values():
        for number, one in enumerate(same):
            if len(same) > 1:
                other = same[0 if number else 1]
                message = f"the id {one.id} is given twice, also in {other.given.origin() or 'another record'}"
                fault = RecordFault(message, place=one.given.place(("id",)), step="give one of them another id")
                found.append((one, fault))
    return found


def raise_all(faults: Sequence[Fault]) -> None:
    """Raise the faults, if there are any."""
    if faults:
        raise Faults(faults)
