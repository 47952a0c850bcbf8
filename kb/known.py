"""Recorded incompatibilities that match the parts of a build.

A clash that someone found outranks a rule that says "fits", until it is refuted; the screen shows both.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any, NamedTuple

from kb.build import Build
from kb.measure import Dimension
from kb.records.part import Part


class Condition(NamedTuple):
    """`feature op value` on one part: op is one of = != < <= > >= in has lacks; value in SI."""

    feature: str
    op: str
    value: Any


class Party(NamedTuple):
    """One side of a clash: the very part or model in a role, or all parts there that meet the conditions."""

    role: str
    part: str
    where: tuple[Condition, ...]


class Incompatibility(NamedTuple):
    """A recorded clash, as far as matching and telling it needs."""

    id: str
    title: str
    status: str
    parties: tuple[Party, ...]
    symptom: str
    cause: str
    remedy: str
    harm: tuple[str, ...]
    milestone: str
    by: str
    found_date: str
    evidence: tuple[str, ...]


class Clash(NamedTuple):
    """An incompatibility that touches this build. unknown: conditions that no record of the part decides."""

    incompatibility: Incompatibility
    unknown: tuple[str, ...]

    @property
    def certain(self) -> bool:
        return not self.unknown


_COMPARE: dict[str, Callable[[Any, Any], bool]] = {
    "=": lambda have, want: bool(have == want),
    "!=": lambda have, want: bool(have != want),
    "<": lambda have, want: bool(have < want),
    "<=": lambda have, want: bool(have <= want),
    ">": lambda have, want: bool(have > want),
    ">=": lambda have, want: bool(have >= want),
    "in": lambda have, want: have in want,
}


def holds(condition: Condition, part: Part) -> bool | None:
    """Whether the part meets the condition; None when its record does not say."""
    name, _, rest = condition.feature.partition(".")
    have = part.facts.get(name)
    if rest and isinstance(have, tuple):
        entry, _, field = rest.partition(".")
        have = next((each.get(field) for each in have if each["id"] == entry), None)
    if have is None:
        return None
    if isinstance(have, Dimension):
        have = have.value
    if condition.op in ("has", "lacks"):
        names = {each["id"] for each in have} if isinstance(have, tuple) else have
        return (condition.value in names) == (condition.op == "has")
    return _COMPARE[condition.op](have, condition.value)


def clashes(
    build: Build, incompatibilities: Iterable[Incompatibility], lines: Mapping[str, tuple[str, ...]]
) -> tuple[Clash, ...]:
    """The unrefuted incompatibilities that match the build's parts.

    lines: for each part id, its own id and those of everything it is based on.
    """
    found = []
    for each in incompatibilities:
        if each.status == "refuted":
            continue
        unknown: list[str] = []
        for party in each.parties:
            part = build.parts.get(party.role)
            if part is None or (party.part and party.part not in lines.get(part.id, (part.id,))):
                break
            answers = [(condition, holds(condition, part)) for condition in party.where]
            if any(met is False for _, met in answers):
                break
            unknown.extend(f"{party.role}.{condition.feature}" for condition, met in answers if met is None)
        else:
            found.append(Clash(each, tuple(unknown)))
    return tuple(found)
