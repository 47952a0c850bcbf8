"""Recorded incompatibilities that match the parts of a build.

A clash that someone found outranks a rule that says "fits", until it is refuted; the screen shows both.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from math import isclose
from typing import Any, NamedTuple

from kb.build import Build
from kb.measure import Dimension
from kb.records.part import Part
from kb.roles import base_role


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


def seen(evidence: Mapping[str, Any]) -> str:
    """What a piece of evidence says, with its reading."""
    text, reading = str(evidence["text"]), str(evidence.get("reading", ""))
    if not reading or reading in text:
        return text
    what = ".".join(str(evidence[name]) for name in ("role", "feature") if evidence.get(name))
    return f"{text} ({what} {reading})" if what else f"{text} ({reading})"


class Clash(NamedTuple):
    """An incompatibility that touches this build. unknown: conditions that no record of the part decides."""

    incompatibility: Incompatibility
    unknown: tuple[str, ...]

    @property
    def certain(self) -> bool:
        return not self.unknown


SURE = 2.0  # standard uncertainties from a condition's bound within which a figure does not decide it


def _same(have: Any, want: Any) -> bool:
    if isinstance(have, float) and isinstance(want, float):
        return isclose(have, want, rel_tol=1e-9, abs_tol=1e-12)
    return bool(have == want)


_COMPARE: dict[str, Callable[[Any, Any], bool]] = {
    "=": _same,
    "!=": lambda have, want: not _same(have, want),
    "<": lambda have, want: bool(have < want) and not _same(have, want),
    "<=": lambda have, want: bool(have < want) or _same(have, want),
    ">": lambda have, want: bool(have > want) and not _same(have, want),
    ">=": lambda have, want: bool(have > want) or _same(have, want),
    "in": lambda have, want: any(_same(have, each) for each in want),
}


def holds(condition: Condition, part: Part) -> bool | None:
    """Whether the part meets the condition; None when its record does not say, or not well enough."""
    name, _, rest = condition.feature.partition(".")
    have: Any = part.facts.get(name)
    if rest and isinstance(have, tuple):
        entry, _, field = rest.partition(".")
        have = next((each.get(field) for each in have if each["id"] == entry), None)
    if have is None:
        return None
    if isinstance(have, Dimension):
        bounds = condition.value if condition.op == "in" else (condition.value,)
        if any(not _same(have.value, each) and abs(have.value - each) < SURE * have.u for each in bounds):
            return None
        have = have.value
    if condition.op in ("has", "lacks"):
        names = {each["id"] for each in have} if isinstance(have, tuple) else set(have)
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
        sides = [_open(party, build, lines) for party in each.parties]
        if all(side is not None for side in sides):
            found.append(Clash(each, tuple(name for side in sides for name in side or ())))
    return tuple(found)


def _open(party: Party, build: Build, lines: Mapping[str, tuple[str, ...]]) -> tuple[str, ...] | None:
    """What leaves open whether a part of the build is this party: () when one surely is, None when none is.

    A role that is filled more than once (`hose:supply`, `hose:return`) is the party's by any of its parts.
    """
    best: tuple[str, ...] | None = None
    for role, part in build.parts.items():
        if base_role(role) != base_role(party.role) or (":" in party.role and role != party.role):
            continue
        if party.part and party.part not in lines.get(part.id, (part.id,)):
            continue
        answers = [(condition, holds(condition, part)) for condition in party.where]
        if any(met is False for _, met in answers):
            continue
        unknown = tuple(f"{role}.{condition.feature}" for condition, met in answers if met is None)
        if best is None or len(unknown) < len(best):
            best = unknown
    return best
