"""An open knowledge base: the calls that command line, pages and scripts share.

from kb import Base
with Base("matchmark.db") as base:
    answer = base.check("drover")
    print(answer.verdict)
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from types import TracebackType
from typing import Any

from kb import known, units
from kb.build import Build
from kb.chance import Settings
from kb.errors import Fault, near, unknown
from kb.judge import Answer, answer
from kb.measure import Dimension, Reading
from kb.records import Feature
from kb.records.part import Part
from kb.records.values import read_dimension, read_position, refuse_absurd
from kb.roles import base_role, role, role_feature
from kb.rules import askable, chosen_rules, rule_named
from kb.store import read


class Base:
    """A knowledge base opened for reading. StoreFault for a file that is none, UnknownName for what is not in it."""

    def __init__(self, path: str) -> None:
        self.path = path
        self._con = read.open_readonly(path)

    def __enter__(self) -> Base:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        self._con.close()

    # -- parts and builds ----------------------------------------------------------------------------------------

    def part(self, id: str) -> Part:
        """The part with this id, everything that it is based on taken in."""
        return read.part(self._con, id)

    def ids(self, kind: str = "") -> list[str]:
        """Ids of the parts of a kind, or of all builds, incompatibilities, sources, ..."""
        return read.ids(self._con, kind)

    def build(
        self,
        id: str = "",
        roles: Mapping[str, str] | None = None,
        overrides: Mapping[str, str] | None = None,
        own_limits: Mapping[str, str] | None = None,
    ) -> Build:
        """A recorded build, or one made of `roles` (role -> part id); `roles` also replace parts of a recorded one.

        overrides: `pan.sump_depth` -> "188 mm", a value to try. own_limits: `rule.limit` -> "2 mm".
        """
        filled: dict[str, str] = {}
        owned: frozenset[str] = frozenset()
        limits: dict[tuple[str, str], tuple[float, str]] = {}
        name, notes = "", ""
        if id:
            record = read.build(self._con, id)
            filled = {each: entry.part for each, entry in record.roles.items()}
            owned = frozenset(each for each, entry in record.roles.items() if entry.owned)
            for own in record.own_limits:
                limits[own.rule, own.limit] = own_limit(
                    own.rule, own.limit, own.value, f"own limit of this build: {own.why}"
                )
            name, notes = record.name, record.notes
        for each, part_id in (roles or {}).items():
            refuse_role(each, place=f"{each[:60]}={part_id[:60]}")
            filled[each] = part_id
        if not filled:
            raise Fault("no part is named", step="name a build, or parts as role=part, for example pan=... pickup=...")
        found = read.parts(self._con, filled.values())
        parts = {each: found[part_id] for each, part_id in filled.items()}
        for each, part in parts.items():
            wanted = role(each).kind.kind
            if part.kind != wanted:
                fitting = read.ids(self._con, wanted)
                raise Fault(
                    f"{part.id} is a {part.kind.replace('_', ' ')}, and the role {base_role(each)} takes a "
                    f"{wanted.replace('_', ' ')}",
                    place=f"{each}={part.id}",
                    step=near(part.id, fitting) or f"name one of: {', '.join(fitting[:5])}",
                )
        for path, text in (overrides or {}).items():
            parts = self._overridden(parts, path, text)
        for path, text in (own_limits or {}).items():
            rule_id, _, limit = path.partition(".")
            limits[rule_id, limit] = own_limit(rule_id, limit, text, "limit given with this check")
        if not name:
            name = "These parts together"
        return Build(id or "parts", name, parts, owned, limits, notes, loose=not id)

    # -- checking ------------------------------------------------------------------------------------------------

    def check(
        self,
        id: str = "",
        roles: Mapping[str, str] | None = None,
        overrides: Mapping[str, str] | None = None,
        own_limits: Mapping[str, str] | None = None,
        *,
        rules: Iterable[str] = (),
        subsystem: str = "",
        settings: Settings | None = None,
    ) -> Answer:
        """Put the rules to a build (arguments as for `build`): all of them, those named, or those of a subsystem."""
        build = self.build(id, roles, overrides, own_limits)
        settings = settings or self.settings(id)
        clashes = known.clashes(build, self.incompatibilities(), self.lines(build))
        if rules or subsystem:  # the questions are chosen: nobody asks whether the parts fit as a whole
            build = build._replace(loose=False)
            return answer(build, chosen_rules(rules, subsystem), settings, clashes)
        ask, lacking = askable({base_role(each) for each in build.parts})
        return answer(build, ask, settings, clashes, lacking)

    def settings(self, id: str = "") -> Settings:
        """The thresholds that a recorded build sets, else the usual ones."""
        record = read.build(self._con, id) if id else None
        return Settings(record.fits_at, record.not_at) if record else Settings()

    def incompatibilities(self) -> list[known.Incompatibility]:
        """All recorded incompatibilities that nobody refuted."""
        return read.incompatibilities(self._con)

    def _overridden(self, parts: Mapping[str, Part], path: str, text: str) -> dict[str, Part]:
        """The parts with one value replaced by what the user wants to try."""
        place = f"{path[:60]}={text[:40]}"
        role_name, feature_path = path.partition(".")[::2]
        head, *rest = feature_path.split(".", 1)
        feature = role_feature(f"{role_name}.{head}", place=place).feature
        if role_name not in parts:
            raise Fault(f"no part fills the role {role_name}", place=place, step=f"name one too: {role_name}=...")
        part = parts[role_name]
        facts = dict(part.facts)
        try:
            if rest:
                facts[head] = self._entry_overridden(facts.get(head), feature, rest[0], text)
            else:
                facts[head] = read_value(feature, text, self._terms)
        except Fault as fault:
            raise fault.at(place) from None
        return {**parts, role_name: part._replace(facts=facts)}

    def _entry_overridden(self, entries: Any, feature: Feature, rest: str, text: str) -> Any:
        entry_id, _, field = rest.partition(".")
        if feature.item is None:
            raise Fault(f"{feature.name} has no entries to change", step=f"write only: {feature.name}=value")
        ids = [entry["id"] for entry in entries or ()]
        if entry_id not in ids:
            fault = unknown(f"entry of {feature.name}", entry_id, ids)
            fault.step = fault.step or (f"it has: {', '.join(ids[:30])}" if ids else "record some in the part first")
            raise fault
        if field not in feature.item.features:
            fault = unknown(f"field of {feature.name}", field, feature.item.features)
            fault.step = fault.step or f"it has: {', '.join(feature.item.features)}"
            raise fault
        value = read_value(feature.item.features[field], text, self._terms)
        return tuple({**entry, field: value} if entry["id"] == entry_id else entry for entry in entries)

    def _terms(self) -> list[str]:
        return read.ids(self._con, "term")

    def lines(self, build: Build) -> dict[str, tuple[str, ...]]:
        """For each part of the build its own id and those of everything it is based on."""
        return read.ancestry(self._con, [part.id for part in build.parts.values()])


def refuse_role(name: str, *, place: str = "") -> None:
    """UnknownName or Fault unless `name` is a role, with a qualifier or without: `pan`, `hose:return`."""
    role(name, place=place)
    _, colon, qualifier = name.partition(":")
    if colon and not re.fullmatch(r"[a-z0-9][a-z0-9-]{0,39}", qualifier):
        step = "write small letters, digits and hyphens behind the colon, for example hose:return"
        raise Fault(f"{qualifier[:60]!r} cannot tell two of a role apart", place=place, step=step)


def own_limit(rule_id: str, limit: str, text: str, why: str) -> tuple[float, str]:
    """(SI value, why) of a limit that a builder sets. Fault if the rule has no such limit or the text is no value."""
    place = f"{rule_id[:60]}.{limit[:60]}"
    rule = rule_named(rule_id, place=place)
    names = [each.name for each in rule.limits]
    if limit not in names:
        raise unknown(f"limit of {rule_id}", limit, names, place=place, list_with=f"matchmark rules {rule_id}")
    measure = units.parse(text, rule.quantity, place=place)
    if measure.half_width is not None:
        raise Fault("a limit takes no tolerance", place=place, step="write one value")
    return measure.value, why


def read_value(feature: Feature, text: str, terms: Callable[[], Iterable[str]]) -> Any:
    """A feature's value from the text of a flag or a form; exact unless the text carries a tolerance, None for `?`.

    terms: gives the ids of the terms that the database declares. Faults carry no place.
    """
    text = text.strip()
    if text in ("?", "unknown"):
        return None
    if feature.sort == "dimension":
        found = read_dimension(feature, text)
        half = found.get("half")
        spread = (Reading(found["si"], half, how="user").term(feature.quantity),) if half else ()
        return Dimension(found["si"], spread, "user", text=text)
    if feature.sort == "position":
        return read_position(feature, text)["si"]
    if feature.sort == "flag":
        if text.lower() not in ("yes", "no", "true", "false"):
            raise Fault(f"{text[:40]!r} is neither yes nor no", step="write yes or no")
        return text.lower() in ("yes", "true")
    if feature.sort == "count":
        if not re.fullmatch(r"[0-9]{1,6}", text):
            raise Fault(f"{text[:40]!r} is no whole number of ordinary size", step="write it in digits, such as 36")
        refuse_absurd(feature, float(text))
        return int(text)
    if feature.sort == "codes":
        return frozenset(_code(feature, part.strip(), terms) for part in text.split(",") if part.strip())
    if feature.sort == "list":
        step = f"change one field of one entry: {feature.name}.ENTRY.FIELD=value"
        raise Fault(f"{feature.name} is a list and takes no single value", step=step)
    return _code(feature, text, terms) if feature.sort == "choice" else text


def _code(feature: Feature, text: str, terms: Callable[[], Iterable[str]]) -> str:
    known = feature.options
    if feature.vocabulary:
        known = tuple(id.partition("/")[2] for id in terms() if id.startswith(f"{feature.vocabulary}/"))
    if known and text not in known:
        fault = unknown(f"choice for {feature.name}", text, known)
        fault.step = fault.step or f"it is one of: {', '.join(known[:20])}"
        raise fault
    return text
