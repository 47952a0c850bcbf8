"""Which facts of which roles a rule may read, and parts that look the same to it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from kb.measure import Dimension
from kb.records.part import Part
from kb.roles import RoleFeature
from kb.rules import derivations
from kb.rules._rule import Derivation, Input, Rule

# feature -> fields of its entries; an empty set: all of them, or no list
Facts = dict[str, frozenset[str]]


_ROLES: dict[int, tuple[Rule, tuple[str, ...], tuple[str, ...]]] = {}


def roles_of(rule: Rule) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Roles that must be filled, and those that may be: looked up many times a search, worked out once."""
    if id(rule) not in _ROLES:
        _ROLES[id(rule)] = (rule, rule.roles, rule.optional_roles)  # the rule is kept, and so is its id its own
    return _ROLES[id(rule)][1:]


def facts_read(rule: Rule, possible: Mapping[str, Sequence[Part]]) -> dict[str, Facts]:
    """The facts that the rule may read, by role; `possible` lists the parts that each role may be filled with.

    A derivation counts where a part lacks the feature and records what the derivation needs of it.
    """
    required, optional = roles_of(rule)
    found: dict[str, Facts] = {role: {} for role in (*required, *optional)}
    for each in rule.inputs:
        _add(found, each.of, possible)
    for limit in rule.limits:
        if isinstance(limit.bound, RoleFeature):
            _add(found, limit.bound, possible)
    for on, codes in rule.when:
        _add(found, on._replace(fields=codes) if on.feature.sort == "list" else on, possible)
    for on in rule.only_with:
        _add(found, on, possible)
    return found


def _add(found: dict[str, Facts], of: RoleFeature, possible: Mapping[str, Sequence[Part]]) -> None:
    facts = found.setdefault(of.role, {})
    name = of.feature.name
    fields = frozenset(of.fields)
    if of.like is not None:
        _add(found, of.like, possible)
    if name in facts:
        facts[name] = facts[name] | fields if fields and facts[name] else frozenset()
        return
    facts[name] = fields
    for rule in derivations(str(of)):
        if any(_could(rule, part, of.role) for part in possible.get(of.role, ()) if part.facts.get(name) is None):
            for on, _ in rule.when:
                _add(found, on, possible)
            for each in rule.inputs:
                _add(found, each.of, possible)


def _could(rule: Derivation, part: Part, role: str) -> bool:
    """Whether the derivation's inputs of the part itself are there, or may follow from others in turn."""
    for on, codes in rule.when:
        if on.role == role and part.facts.get(on.feature.name) not in codes:
            return False
    return all(_there(each, part) for each in rule.inputs if each.of.role == role)


def _there(wanted: Input, part: Part) -> bool:
    if wanted.optional or wanted.if_known or part.facts.get(wanted.of.feature.name) is not None:
        return True
    return bool(derivations(str(wanted.of)))


def _entry(entry: Mapping[str, Any], fields: frozenset[str], shape: bool) -> tuple[Any, ...]:
    names = fields or entry.keys()
    return (entry["id"], *((name, _value(entry.get(name), shape)) for name in sorted(names) if name != "id"))


def _value(value: Any, shape: bool) -> Any:
    if isinstance(value, Dimension):
        return ("dimension", bool(value.terms)) if shape else (value.value, value.terms)
    return value


def _said(part: Part, facts: Facts, shape: bool) -> tuple[Any, ...]:
    made = []
    for name, fields in facts.items():
        value = part.facts.get(name)
        if isinstance(value, tuple) and not isinstance(value, Dimension):
            made.append(tuple(_entry(entry, fields, shape) for entry in value))
        else:
            made.append(_value(value, shape))
    return tuple(made)


def look(part: Part | None, facts: Facts) -> tuple[Any, ...] | None:
    """What a rule that reads these facts sees of the part: parts with the same look get the same verdict."""
    return None if part is None else _said(part, facts, False)


def shape(part: Part | None, facts: Facts) -> tuple[Any, ...] | None:
    """The look without the figures of dimensions: choices, codes, counts, places, and what is missing."""
    return None if part is None else _said(part, facts, True)
