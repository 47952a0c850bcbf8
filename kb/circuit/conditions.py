"""Conditions on a build, as the data files write them: {"filled": role}, {"empty": role},
{"is": "role.feature", "one_of": [...]}, joined by "all", "any", "not" and "first_known"."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from kb.build import Build
from kb.records.part import Part
from kb.roles import base_role

# True, False, or what must be settled first: ("choose", role) or ("record", role.feature).
Settled = bool | tuple[str, str]


def part_in(name: str, build: Build) -> Part | None:
    """The part that fills the role, under whichever qualifier; None for an empty one."""
    if name in build.parts:
        return build.parts[name]
    return next((part for role, part in build.parts.items() if base_role(role) == name), None)


def holds(when: Mapping[str, Any] | None, build: Build) -> bool | None:
    """Whether the condition holds; None where an empty role or a silent record leaves it open. Without one, True."""
    found = settled(when, build)
    return found if isinstance(found, bool) else None


def settled(when: Mapping[str, Any] | None, build: Build) -> Settled:
    """Whether the condition holds, or the role or the feature on which that hangs. Without a condition, True."""
    if not when:
        return True
    if "filled" in when:
        return part_in(when["filled"], build) is not None
    if "empty" in when:
        return part_in(when["empty"], build) is None
    if "is" in when:
        return _is(when["is"], when["one_of"], build)
    if "not" in when:
        inner = settled(when["not"], build)
        return not inner if isinstance(inner, bool) else inner
    if "first_known" in when:
        answers = [settled(each, build) for each in when["first_known"]]
        return next((each for each in answers if isinstance(each, bool)), answers[-1])
    if "all" in when:
        return _joined([settled(each, build) for each in when["all"]], False)
    return _joined([settled(each, build) for each in when["any"]], True)


def _joined(answers: Sequence[Settled], settles: bool) -> Settled:
    """all and any: one answer settles it whatever the others are; else the first that is open; else the other one."""
    if settles in answers:
        return settles
    return next((each for each in answers if not isinstance(each, bool)), not settles)


def _is(path: str, codes: Sequence[Any], build: Build) -> Settled:
    """`role.feature`, or `role.list.field` for any entry of a list, is one of the codes."""
    name, feature, *field = path.split(".")
    part = part_in(name, build)
    if part is None:
        return ("choose", name)
    value = part.facts.get(feature)
    if value is None:
        return ("record", f"{name}.{feature}")
    if field:
        return any(entry.get(field[0]) in codes for entry in value)
    return value in codes
