"""The incompatibility that a finding drafts: parties, cause, harm and readings filled in, to be read and mended."""

from __future__ import annotations

from typing import Any

from kb.build import Build
from kb.explain import headline, known_as
from kb.finding import Finding
from kb.roles import base_role
from kb.say.trace_record import slug

MOST_PARTIES = 20
MOST_SEEN = 12


def draft(finding: Finding, build: Build, system: str = "mm", *, date: str = "", by: str = "") -> dict[str, Any]:
    """The record as files hold it, of what a rule found in `build`."""
    limit = finding.limit
    sides = parties(finding, build)
    title = f"{limit.why}: {', '.join(each['part'] for each in sides)}"
    figure = headline(finding, system)
    record: dict[str, Any] = {
        "kind": "incompatibility",
        "id": slug(f"{finding.rule.id} {' '.join(each['part'] for each in sides[:2])}"),
        "title": f"{title[:1].upper()}{title[1:]}"[:200],
        "parties": sides,
        "symptom": f"{limit.why[:1].upper()}{limit.why[1:]}.",
        "cause": f"{finding.rule.asks} {finding.verdict}{f', {figure}' if figure else ''} ({finding.name}).",
        "found": "bench",
        "harm": [limit.harm],
        "milestone": limit.milestone,
        "status": "reported",
        "evidence": evidence(finding, sides),
    }
    if limit.fix:
        record["remedy"] = f"{limit.fix[:1].upper()}{limit.fix[1:]}."
    if date:
        record["found_date"] = date
    if by:
        record["by"] = by
    return record


def parties(finding: Finding, build: Build) -> list[dict[str, str]]:
    """Role and part of each side that the rule reads, under the names that the build gives the roles."""
    found = []
    for name, part in build.parts.items():
        asked = finding.question.build.parts.get(base_role(name))
        if base_role(name) in (*finding.rule.roles, *finding.rule.optional_roles) and asked and asked.id == part.id:
            found.append({"role": name, "part": part.id})
    return found[:MOST_PARTIES]


def evidence(finding: Finding, sides: list[dict[str, str]]) -> list[dict[str, str]]:
    """The readings that the finding rests on, those that say most first."""
    weight = {driver.leaf.name: driver.share for driver in finding.drivers}
    names = {base_role(each["role"]): each["role"] for each in sides}
    read = [leaf for leaf in finding.question.leaves if leaf.dimension is not None and leaf.role in names]
    found = []
    for leaf in sorted(read, key=lambda leaf: -weight.get(leaf.name, 0.0)):
        assert leaf.dimension is not None
        text = leaf.dimension.readings[-1].text if leaf.dimension.readings else leaf.dimension.text
        if text:
            said = known_as(leaf.dimension) or "as recorded"
            found.append({"text": said, "role": names[leaf.role], "feature": leaf.path, "reading": text})
    return found[:MOST_SEEN] or [{"text": f"{finding.rule.asks} {finding.verdict}."}]
