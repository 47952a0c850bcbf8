"""The circuits of a build in words: breaks first, then each circuit as a chain from its source to its sinks."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from typing import Any, NamedTuple

from kb.circuit.continuity import Break, Inspection, Silent
from kb.circuit.flow import lost, reached
from kb.circuit.graph import MISSING_BESIDE, Circuit, Joint
from kb.circuit.ports import joint_kinds, names
from kb.circuit.rows import Row, rows
from kb.errors import unknown
from kb.explain import CAUTION

WHOLE, BROKEN, CANNOT_TELL = "whole", "broken", "cannot tell"
EXIT = {WHOLE: 0, BROKEN: 1, CANNOT_TELL: 3}
SORTS = {
    "unmated": "meets nothing",
    "no_return": "no way back",
    "no_ground": "no ground strap",
    "unsealed": "no seal",
    "unplugged": "not plugged",
    "leaks_back": "falls back to where it came from",
    "differs": "the two ends differ",
    "reversed": "the wrong way round",
    "open": "open",
    "dead_end": "dead end",
    "no_bypass": "no bypass",
    "two_bypasses": "two bypasses",
}
_STATES = {
    "unmated": "MEETS NOTHING", "leaks_back": "FALLS BACK", "reversed": "WRONG WAY ROUND", "open": "OPEN",
    "differs": "ENDS DIFFER", "unknown": "cannot tell",
}  # fmt: skip


class ToldBreak(NamedTuple):
    """A break in words. place: where it is; rule: the rule that says so, or ''. roles: for links."""

    circuit: str
    at: str
    sort: str
    place: str
    title: str
    words: str
    fix: str
    milestone: str
    rule: str
    roles: tuple[str, ...]


class ToldCircuit(NamedTuple):
    """A circuit in words. state: whole, broken or cannot tell. dead: sinks that nothing reaches as it stands."""

    name: str
    title: str
    state: str
    breaks: tuple[ToldBreak, ...]
    silent: tuple[tuple[str, str], ...]
    dead: tuple[str, ...]
    chain: tuple[str, ...]


class ToldCircuits(NamedTuple):
    """All circuits of a build in words."""

    build: str
    title: str
    state: str
    summary: str
    circuits: tuple[ToldCircuit, ...]
    caution: str = CAUTION

    @property
    def breaks(self) -> tuple[ToldBreak, ...]:
        return tuple(each for circuit in self.circuits for each in circuit.breaks)


def state_of(found: Inspection, only: str = "") -> str:
    """Whether the circuits (or the one named) are whole, broken, or cannot be told."""
    if any(each.circuit == only or not only for each in found.breaks):
        return BROKEN
    chosen = [each for name, each in found.circuits.items() if name == only or not only]
    if not chosen or any(joint.state == "unknown" for each in chosen for joint in each.joints):
        return CANNOT_TELL
    return CANNOT_TELL if any(each.circuit == only or not only for each in found.silent) else WHOLE


def refuse_circuit(name: str, found: Inspection) -> None:
    """UnknownName unless the circuit is one of those that this build has."""
    if name and name not in found.circuits:
        fault = unknown("circuit", name, found.circuits or names())
        has = ", ".join(found.circuits) or "no part of any circuit"
        fault.step = fault.step or f"this build has: {has}"
        raise fault


def told(found: Inspection, only: str = "", system: str = "mm") -> ToldCircuits:
    """Everything in words; only: one circuit. `system` changes nothing: there are no sizes in it."""
    refuse_circuit(only, found)
    made = tuple(_circuit(found, each) for name, each in found.circuits.items() if name == only or not only)
    state = state_of(found, only)
    count = sum(len(each.breaks) for each in made)
    quiet = sum(len(each.silent) for each in made)
    summary = _many(count, "break")
    if quiet:
        summary += f", {_many(quiet, 'joint')} of which the records do not say enough"
    if state == WHOLE:
        summary = f"{_many(sum(len(found.circuits[each.name].joints) for each in made), 'joint')}, none broken"
    if not made:
        summary = "this build has no part of any circuit"
    return ToldCircuits(found.build.id, found.build.name, state, summary, made)


def _circuit(found: Inspection, circuit: Circuit) -> ToldCircuit:
    breaks = tuple(_break(circuit, each) for each in found.breaks if each.circuit == circuit.name)
    silent = tuple(_silent(circuit, each) for each in found.silent if each.circuit == circuit.name)
    dead = tuple(node.meaning for node in (circuit.node(each) for each in lost(circuit)) if node is not None)
    state = state_of(found, circuit.name)
    return ToldCircuit(circuit.name, circuit.title, state, breaks, silent, dead, tuple(chain(circuit)))


def _break(circuit: Circuit, each: Break) -> ToldBreak:
    place = place_of(circuit, each.at)
    joint = circuit.joint(each.at)
    title = f"{kind_of(joint) if joint is not None else place}: {SORTS[each.sort]}"
    return ToldBreak(
        circuit.name, each.at, each.sort, place, title, each.words, each.fix, each.milestone, each.finding, each.roles
    )


def _silent(circuit: Circuit, each: Silent) -> tuple[str, str]:
    record = f"; record {each.record}" if each.record else ""
    return place_of(circuit, each.at), f"{each.words}{record}"


def place_of(circuit: Circuit, at: str) -> str:
    """A joint or a node in words: `mouth of the pickup - upper end of the pickup's tube`."""
    joint = circuit.joint(at)
    if joint is not None:
        ends = [node.meaning for node in (circuit.node(joint.a), circuit.node(joint.b)) if node is not None]
        return " - ".join(ends)
    node = circuit.node(at)
    return node.meaning if node is not None else at


def kind_of(joint: Joint) -> str:
    """Sort of joint, with the name of its entry."""
    kind = joint_kinds().get(joint.kind, joint.kind)
    return f"{kind}, {joint.entry}" if joint.entry else kind


def chain(circuit: Circuit) -> list[str]:
    """The circuit as lines of plain text: a place a line, what joins it to the one before above it."""
    return [_line(row) for row in rows(circuit)]


def _line(row: Row) -> str:
    indent = "  " * row.lane
    if row.node is not None:
        missing = "  [MISSING]" if row.node.missing else ""
        return f"{indent}o {row.node.meaning}{missing}"
    assert row.joint is not None
    text = kind_of(row.joint)
    if row.sort == "back":
        text += f", back to: {row.to}"
    elif row.sort == "shut":
        text += f", shut ({row.joint.id.partition('.')[2].replace('-', ' ')})"
    if row.joint.state == "sound" or row.joint.words == MISSING_BESIDE:
        return f"{indent}| {text}"
    mark = "?" if row.joint.state == "unknown" else "X"
    return f"{indent}{mark} {text}  [{_STATES[row.joint.state]}]"


def as_text(found: Inspection, *, only: str = "", width: int = 80, system: str = "mm") -> str:
    """The circuits for a terminal."""
    words = told(found, only, system)
    lines = [words.title, f"Circuits {words.state}: {words.summary}.", ""]
    for each in words.breaks:
        lines += _wrapped(f"X {each.circuit}: {each.title}", width, "  ")
        if each.place not in each.title:
            lines += _wrapped(f"Where: {each.place}.", width, "  ", "  ")
        lines += _wrapped(f"{each.words}.", width, "  ", "  ")
        lines += _wrapped(f"Do: {each.fix}.", width, "  ", "  ")
        rule = f" Rule: {each.rule}." if each.rule else ""
        lines += [*_wrapped(f"Blocks: {each.milestone}.{rule}", width, "  ", "  "), ""]
    for circuit in words.circuits:
        for place, why in circuit.silent:
            lines += _wrapped(f"? {circuit.name}: {place}: {why}", width, "  ")
    if any(circuit.silent for circuit in words.circuits):
        lines.append("")
    for circuit in words.circuits:
        lines.append(f"{circuit.title.upper()}: {circuit.state}")
        if circuit.dead:
            lines += _wrapped(f"Nothing reaches: {', '.join(circuit.dead)}.", width, "  ", "  ")
        lines += [f"  {line}" for line in circuit.chain]
        lines.append("")
    if words.breaks:
        lines += _wrapped(f"Trace a symptom: matchmark trace {words.build}", width, "  ")
    lines += _wrapped(words.caution, width, "")
    return "\n".join(lines).rstrip() + "\n"


def _wrapped(text: str, width: int, later: str, first: str = "") -> list[str]:
    return textwrap.wrap(text, max(20, width), initial_indent=first, subsequent_indent=later, break_on_hyphens=False)


def _many(count: int, noun: str) -> str:
    return f"{count} {noun}{'' if count == 1 else 's'}"


def as_json(found: Inspection, system: str = "mm", *, only: str = "") -> dict[str, Any]:
    """The circuits as plain data: nodes, joints with their states, breaks, what a gauge would show as it stands."""
    words = told(found, only, system)
    return {
        "build": words.build,
        "name": words.title,
        "state": words.state,
        "summary": words.summary,
        "breaks": [each._asdict() for each in words.breaks],
        "circuits": [_data(found.circuits[each.name], each) for each in words.circuits],
        "caution": words.caution,
    }


def _data(circuit: Circuit, words: ToldCircuit) -> dict[str, Any]:
    faults = _faults(circuit.joints)
    shown = reached(circuit, faults)
    return {
        "name": circuit.name,
        "title": circuit.title,
        "state": words.state,
        "carries": circuit.carries,
        "source": circuit.source,
        "sinks": list(circuit.sinks),
        "nodes": [
            {"id": each.id, "role": each.role, "port": each.port, "meaning": each.meaning, "missing": each.missing,
             "gauges": list(each.gauges), "shows": shown[each.id]}
            for each in circuit.nodes
        ],
        "joints": [
            {"id": each.id, "from": each.a, "to": each.b, "kind": each.kind, "passes": each.passes,
             "roles": list(each.roles), "rules": list(each.rules), "milestone": each.milestone, "state": each.state,
             "words": each.words}
            for each in circuit.joints
        ],
        "cannot_tell": [{"place": place, "why": why} for place, why in words.silent],
        "nothing_reaches": list(words.dead),
    }  # fmt: skip


def _faults(joints: Sequence[Joint]) -> frozenset[str]:
    return frozenset(each.id for each in joints if each.state not in ("sound", "unknown"))


def shown_now(circuit: Circuit) -> dict[str, str]:
    """Node -> what a gauge there would show as the circuit stands; only where something is wrong."""
    faults = _faults(circuit.joints)
    if not faults:
        return {}
    usual = reached(circuit)
    return {node: state for node, state in reached(circuit, faults).items() if state != usual[node]}
