"""The incompatibility that a trace drafts: parties, symptom, cause and evidence filled in, to be read and mended."""

from __future__ import annotations

from typing import Any

from kb.roles import base_role
from kb.say.trace import percent
from kb.trace.session import Session, Suspect

MOST_PARTIES = 20


def draft(session: Session, *, date: str = "", by: str = "") -> dict[str, Any]:
    """The record as files hold it, of the suspect that leads. ValueError when there is no suspect at all."""
    if not session.ranked:
        raise ValueError("a trace without a suspect drafts nothing")
    lead = session.ranked[0]
    tree = session.model.tree
    title = f"{tree.words[:1].upper()}{tree.words[1:]}: {lead.cause.words}"
    record: dict[str, Any] = {
        "kind": "incompatibility",
        "id": slug(f"{session.model.build.id} {lead.cause.id}"),
        "title": title[:200],
        "parties": parties(session, lead),
        "symptom": f"{tree.words[:1].upper()}{tree.words[1:]}.",
        "cause": f"{lead.cause.words[:1].upper()}{lead.cause.words[1:]} ({percent(lead.probability)} by the trace).",
        "found": "build",
        "harm": [tree.harm],
        "milestone": tree.milestone,
        "status": "reported",
        "remedy": f"{lead.cause.fix[:1].upper()}{lead.cause.fix[1:]}.",
        "evidence": [{"text": text} for text in evidence(session)],
    }
    if date:
        record["found_date"] = date
    if by:
        record["by"] = by
    return record


def parties(session: Session, lead: Suspect) -> list[dict[str, str]]:
    """Role and part of each side: what the build has in the roles of the cause."""
    wanted = set(lead.cause.roles)
    found = [
        {"role": role, "part": part.id} for role, part in session.model.build.parts.items() if base_role(role) in wanted
    ]
    return found[:MOST_PARTIES]


def evidence(session: Session) -> list[str]:
    """Question and answer of each step that says something; a recorded reading by its id as well."""
    said = []
    for step in session.steps:
        if step.answer.outcome is not None:
            text = f"{step.test.asks} {step.test.outcomes[step.answer.outcome]}."
            if step.answer.reading:
                text += f" Reading {step.answer.reading}: {step.answer.text}."
            said.append(text)
    return said


def slug(title: str) -> str:
    """A short name: lower case, digits and hyphens."""
    kept = "".join(char if char.isascii() and char.isalnum() else " " for char in title.lower())
    return "-".join(kept.split())[:80].strip("-") or "traced"
