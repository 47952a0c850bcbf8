"""A build, and the questions that rules put to it.

`Question` binds one rule to the parts in their roles: it lists every value that the rule reads (its leaves), which of
them are missing, and evaluates the very rule function for any values of the leaves: floats for one combination,
arrays for Monte Carlo.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from types import SimpleNamespace
from typing import Any, NamedTuple

from kb.errors import Fault
from kb.measure import Dimension
from kb.records import Feature
from kb.records.part import Part
from kb.roles import RoleFeature, base_role
from kb.rules import derivations
from kb.rules._rule import Derivation, Input, Rule

# What a formula raises where it has no real value: a root below zero, a flange without bolts, a code it cannot read.
NO_FIGURE = (ArithmeticError, ValueError, Fault)


class Build(NamedTuple):
    """Parts in roles. `owned` names the roles whose part is already at hand; `own_limits` override a rule's."""

    id: str
    name: str
    parts: Mapping[str, Part]
    owned: frozenset[str] = frozenset()
    own_limits: Mapping[tuple[str, str], tuple[float, str]] = {}
    notes: str = ""
    loose: bool = False  # parts named for one check, not a recorded build


class Leaf(NamedTuple):
    """One value that a rule reads.

    path: `sump_depth`, or `stations.R4.height` inside a list. dimension: value and spread, None when missing or exact.
    options: what a missing choice or flag could be.
    """

    role: str
    part: str
    path: str
    feature: Feature
    dimension: Dimension | None
    missing: bool
    options: tuple[Any, ...] = ()

    @property
    def key(self) -> str:
        """The dimension's name across rules: the same key is drawn once a run."""
        return f"{self.part}.{self.path}"

    @property
    def name(self) -> str:
        return f"{self.role}.{self.path}"


class Question:
    """One rule, bound to the parts of one build."""

    def __init__(self, rule: Rule, build: Build) -> None:
        self.rule = rule
        self.build = build
        self.leaves: list[Leaf] = []
        self.nominal: list[Any] = []
        self.used: list[tuple[str, Any]] = []  # exact facts that the rule read, for the explanation
        self.assumed: list[tuple[str, Any]] = []  # roles left empty, and what that counts as
        self.derived: list[tuple[str, str]] = []  # features that follow from others, and why
        self.form = rule.form  # of the rule with what it is fed: a rough derivation makes it rough
        self._index: dict[str, int] = {}
        self._touched: list[int] = []
        self._detail: dict[str, Any] | None = None
        self._nodes = [self._input(each) for each in rule.inputs]
        for on, _ in rule.when:
            if build.parts[on.role].facts.get(on.feature.name) is None:
                self._feature(on)
        self._bounds = [
            self._feature(limit.bound) if isinstance(limit.bound, RoleFeature) else None for limit in rule.limits
        ]

    # -- what is asked -------------------------------------------------------------------------------------------

    @property
    def missing(self) -> list[int]:
        """Indexes of the leaves that nobody has recorded."""
        return [index for index, leaf in enumerate(self.leaves) if leaf.missing]

    @property
    def spread(self) -> list[int]:
        """Indexes of the leaves that carry an uncertainty."""
        return [index for index, leaf in enumerate(self.leaves) if leaf.dimension is not None and leaf.dimension.terms]

    def arguments(self, values: Sequence[Any]) -> list[Any]:
        """The rule function's arguments for these values of the leaves."""
        return [node(values) for node in self._nodes]

    def quantity(self, values: Sequence[Any]) -> Any:
        """The rule function itself, on these values of the leaves. One of NO_FIGURE where they give no real number."""
        try:
            return self.rule.function(*self.arguments(values))
        except TypeError as fault:
            if "complex" not in str(fault):  # what math and comparisons say of the root of a negative number
                raise
            raise ValueError("these figures together give no real number: check them") from fault

    def bound(self, index: int, values: Sequence[Any]) -> Any:
        """The value of the limit `index`: declared, from the build's own limits, or read off a feature."""
        limit = self.rule.limits[index]
        own = self.build.own_limits.get((self.rule.id, limit.name))
        if own is not None:
            return own[0]
        node = self._bounds[index]
        return limit.bound if node is None else node(values)

    def detail(self) -> dict[str, Any]:
        """What the rule's `detail` function says at the nominal values; empty if it has none or a value is missing.

        Empty too where it cannot be computed from such values.
        """
        if self._detail is None:
            self._detail = {}
            if self.rule.detail is not None and not self.missing:
                with suppress(*NO_FIGURE):
                    self._detail = dict(self.rule.detail(*self.arguments(self.nominal)) or {})
        return self._detail

    # -- binding -------------------------------------------------------------------------------------------------

    def _leaf(self, role: str, part: Part, path: str, feature: Feature, value: Any) -> Callable[[Sequence[Any]], Any]:
        key = f"{role}.{path}"
        if key not in self._index:
            self._index[key] = len(self.leaves)
            if isinstance(value, Dimension):
                self.leaves.append(Leaf(role, part.id, path, feature, value, False))
                self.nominal.append(value.value)
            else:
                options = (True, False) if feature.sort == "flag" else feature.options
                self.leaves.append(Leaf(role, part.id, path, feature, None, True, options))
                self.nominal.append(None)
        index = self._index[key]
        self._touched.append(index)
        return lambda values: values[index]

    def _input(self, wanted: Input) -> Callable[[Sequence[Any]], Any]:
        absent = wanted.absent
        if wanted.optional and wanted.of.role not in self.build.parts:
            self.assumed.append((wanted.of.role, absent))
            return lambda values: absent
        if wanted.if_known and self.build.parts[wanted.of.role].facts.get(wanted.of.feature.name) is None:
            return lambda values: absent
        return self._feature(wanted.of)

    def _feature(self, of: RoleFeature) -> Callable[[Sequence[Any]], Any]:
        part = self.build.parts[of.role]
        name = of.feature.name
        value = part.facts.get(name)
        if of.like is not None:
            value = self._completed(of.like, value or ())
        if value is None:
            return self._derived(of, part) or self._leaf(of.role, part, name, of.feature, None)
        if isinstance(value, Dimension):
            return self._leaf(of.role, part, name, of.feature, value)
        if of.feature.sort == "list":
            return self._list(of, part, value)
        self.used.append((str(of), value))
        return lambda values: value

    def _completed(self, like: RoleFeature, entries: Any) -> Any:
        """The entries, and one with nothing known for every entry of the other list that they lack."""
        others = self.build.parts[like.role].facts.get(like.feature.name)
        if others is None:
            return entries or None
        known = {entry["id"] for entry in entries}
        return (*entries, *({"id": entry["id"]} for entry in others if entry["id"] not in known))

    def _derived(self, of: RoleFeature, part: Part) -> Callable[[Sequence[Any]], Any] | None:
        for rule in derivations(str(of)):
            if any(each.of.role not in self.build.parts for each in rule.inputs if not each.optional):
                continue
            if any(self.build.parts[on.role].facts.get(on.feature.name) not in codes for on, codes in rule.when):
                continue
            before = len(self.leaves), len(self.used), len(self.assumed), len(self.derived), dict(self._index)
            touched = len(self._touched)
            nodes = [self._input(each) for each in rule.inputs]
            if any(self.leaves[index].missing for index in self._touched[touched:]) or not self._gives(rule, nodes):
                # A derivation that lacks an input helps nobody: name the feature itself as missing instead.
                del self.leaves[before[0] :], self.nominal[before[0] :]
                del self.used[before[1] :], self.assumed[before[2] :], self.derived[before[3] :]
                del self._touched[touched:]
                self._index = before[4]
                continue
            self.derived.append((str(of), rule.because))
            if rule.form == "rough" and self.form in ("linear", "smooth"):
                self.form = "rough"
            function = rule.function
            return lambda values: function(*[node(values) for node in nodes])
        return None

    def _gives(self, rule: Derivation, nodes: Sequence[Callable[[Sequence[Any]], Any]]) -> bool:
        """Whether the derivation comes to a figure at the nominal values."""
        try:
            rule.function(*[node(self.nominal) for node in nodes])
        except NO_FIGURE:
            return False
        return True

    def _list(self, of: RoleFeature, part: Part, entries: Any) -> Callable[[Sequence[Any]], Any]:
        item = of.feature.item
        assert item is not None
        fields = of.fields or tuple(item.features)
        made = []
        for entry in entries:
            exact: dict[str, Any] = {}
            live: list[tuple[str, Callable[[Sequence[Any]], Any]]] = []
            for field in fields:
                feature = item.features[field]
                value = entry.get(field, feature.absent)
                if value is None or isinstance(value, Dimension):
                    path = f"{of.feature.name}.{entry['id']}.{field}"
                    live.append((field, self._leaf(of.role, part, path, feature, value)))
                else:
                    exact[field] = value
            exact["id"] = entry["id"]
            made.append((exact, live))

        def node(values: Sequence[Any]) -> list[Any]:
            return [SimpleNamespace(**exact, **{field: get(values) for field, get in live}) for exact, live in made]

        return node


def applies(rule: Rule, build: Build) -> str:
    """'' when the rule is to be asked of this build, else why not: 'no pickup', or 'pickup.joint is face'."""
    empty = [name for name in rule.roles if name not in build.parts]
    if empty:
        return "no " + ", no ".join(empty)
    for each in rule.only_with:
        if build.parts[each.role].facts.get(each.feature.name) is None:
            return f"{each} is not recorded"
    for on, codes in rule.when:
        value = build.parts[on.role].facts.get(on.feature.name)
        if value is None:
            continue
        if on.feature.sort == "list":
            if not any(entry.get(field) for entry in value for field in codes):
                return f"{on} names no {' or '.join(codes)}"
        elif value not in codes:
            return f"{on} is {value}"
    return ""


def views(rule: Rule, build: Build) -> list[tuple[str, Build]]:
    """(qualifier, build) for every way in which the rule can be asked.

    A role that is filled more than once (`hose:supply`, `hose:return`) makes one view a qualifier, in which the plain
    role is filled by the qualified part; where a view's qualifier names no part of a role, the plain one stands in.
    """
    wanted = (*rule.roles, *rule.optional_roles)
    qualifiers = sorted({name.partition(":")[2] for name in build.parts if ":" in name and base_role(name) in wanted})
    if not qualifiers:
        return [("", build)]
    made = []
    for qualifier in qualifiers:
        parts = dict(build.parts)
        for role in wanted:
            if f"{role}:{qualifier}" in build.parts:
                parts[role] = build.parts[f"{role}:{qualifier}"]
        made.append((qualifier, build._replace(parts=parts)))
    return made
