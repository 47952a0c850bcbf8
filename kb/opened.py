"""A knowledge base opened for reading: its parts and builds, and the check of a build."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from types import TracebackType
from typing import TYPE_CHECKING, Any, Self

from kb import known
from kb.build import Build
from kb.chance import Settings
from kb.errors import Fault, UnknownName, near, unknown
from kb.judge import Answer, answer
from kb.measure import Instrument, instruments
from kb.records import Feature
from kb.records.part import Part
from kb.roles import base_role, role, role_feature
from kb.rules import askable, chosen_rules
from kb.store import read
from kb.typed_values import own_limit, read_value, refuse_role

if TYPE_CHECKING:
    from kb.gauges import GaugeReading
    from kb.supply import Donor


class Opened:
    """What every answer starts from. StoreFault for a file that is none, UnknownName for what is not in it."""

    def __init__(self, path: str) -> None:
        self.path = path
        self._con = read.open_readonly(path)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        self._con.close()

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
        if id and roles:
            # What the build owns in a role says nothing of another part that is tried there.
            at_hand = {(each, entry.part) for each, entry in record.roles.items() if entry.owned}
            at_hand |= {(each, one.part) for each, some in record.alternatives.items() for one in some if one.owned}
            owned = frozenset(each for each, part_id in filled.items() if (each, part_id) in at_hand)
        if not filled:
            raise Fault("no part is named", step="name a build, or parts as role=part, for example pan=... pickup=...")
        try:
            found = read.parts(self._con, filled.values())
        except UnknownName as fault:
            raise self._near_in_kind(filled) or fault from None
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

    def _near_in_kind(self, filled: Mapping[str, str]) -> UnknownName | None:
        """The fault for the first part that does not exist; what is near is looked for among those of its kind."""
        for each, part_id in filled.items():
            kind = role(each).kind.kind
            known = read.ids(self._con, kind)
            if part_id not in known and not read.lines(self._con, [part_id]):
                return read.none_such("part", part_id, known or read.ids(self._con))
        return None

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

    def record_of(self, build: str) -> read.BuildRecord:
        """The build as recorded: roles, alternatives, own limits. UnknownName if there is none."""
        return read.build(self._con, build)

    def candidates(self, kinds: Iterable[str]) -> dict[str, list[Part]]:
        """Every recorded part of these kinds, by kind."""
        return read.parts_of_kinds(self._con, kinds)

    def donors(self) -> list[Donor]:
        """Every donor: cars in a yard and lists of shops, with the parts that they carry."""
        return read.donors(self._con)

    def readings(self, build: str) -> list[GaugeReading]:
        """What gauges, meters and eyes saw on this build. UnknownName if there is no such build."""
        read.build(self._con, build)
        return read.readings(self._con, build)

    def instruments(self) -> dict[str, Instrument]:
        """All instruments by id, those that this database declares over the built-in ones."""
        return {**instruments(), **read.instruments(self._con)}

    def instrument(self, name: str) -> Instrument:
        """The instrument with this id or name. UnknownName if there is none."""
        table = self.instruments()
        found = next((each for each in table.values() if name in (each.id, each.name)), None)
        if found is None:
            raise unknown("instrument", name, table, list_with=", ".join(table))
        return found

    def lines(self, build: Build) -> dict[str, tuple[str, ...]]:
        """For each part of the build its own id and those of everything it is based on."""
        return read.ancestry(self._con, [part.id for part in build.parts.values()])

    def lines_of(self, ids: Iterable[str]) -> dict[str, tuple[str, ...]]:
        """For each of these parts its own id and those of everything it is based on."""
        return read.ancestry(self._con, ids)

    def _recorded(self, kind: str, path: str) -> list[Any]:
        """The values that recorded parts of a kind have for a feature, each once; `ports.*.bore` for any entry."""
        head, _, field = path.partition(".*.")
        found: dict[str, Any] = {}
        for part in self.candidates([kind])[kind]:
            value = part.facts.get(head)
            for each in [entry.get(field) for entry in value or ()] if field else [value]:
                if each is not None:
                    found.setdefault(repr(each), each)
        return list(found.values())

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
