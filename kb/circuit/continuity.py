"""Breaks of the circuits: ports without a mate, open plugs, joints whose ends differ, ways back that are missing.

Where a rule of the catalogue computes a joint, its finding says whether the joint is broken, and the break carries the
rule's id; what the layout itself shows (an empty role, an entry that is open) needs no rule. A silent record is no
break: the joint is 'unknown'.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from kb.build import Build
from kb.chance import NOT, OPEN, Settings
from kb.circuit.conditions import part_in
from kb.circuit.graph import MISSING_BESIDE, STATES, UNKNOWN, Circuit, Joint
from kb.circuit.layout import Flaw, lay_out
from kb.circuit.ports import breaking, ground_rule
from kb.finding import Finding
from kb.judge import answer
from kb.roles import base_role
from kb.rules import entries, loaded

# Sort of a break -> the state of its joint.
_STATE = {
    "unmated": "unmated", "no_return": "unmated", "no_ground": "unmated", "unsealed": "leaks_back",
    "unplugged": "leaks_back", "leaks_back": "leaks_back", "differs": "differs", "reversed": "reversed",
    "open": "open", "dead_end": "open", "no_bypass": "differs", "two_bypasses": "differs", "unknown": "unknown",
}  # fmt: skip
SORTS = tuple(each for each in _STATE if each != "unknown")


class Break(NamedTuple):
    """A fault found from the graph. at: id of the joint, or of the node that stands alone. sort: one of SORTS.

    rule: id of the rule whose finding it is, '' where the parts alone show it; finding: its name, with a qualifier.
    """

    circuit: str
    at: str
    sort: str
    milestone: str
    roles: tuple[str, ...]
    words: str
    fix: str
    rule: str = ""
    finding: str = ""

    @property
    def joint(self) -> str:
        return self.at


class Silent(NamedTuple):
    """A joint (or node) of which the records do not say whether it is whole, and what would say so."""

    circuit: str
    at: str
    roles: tuple[str, ...]
    words: str
    record: str
    rule: str = ""


class Inspection(NamedTuple):
    """The circuits with the state of every joint, their breaks, and what nobody recorded."""

    build: Build
    circuits: Mapping[str, Circuit]
    breaks: tuple[Break, ...]
    silent: tuple[Silent, ...]


def breaks(build: Build, findings: Sequence[Finding] | None = None) -> list[Break]:
    """Every break of every circuit of the build, by circuit and along its way."""
    return list(inspect(build, findings).breaks)


def inspect(build: Build, findings: Sequence[Finding] | None = None) -> Inspection:
    """Circuits, breaks and silent joints together. findings: the rules' answers, where somebody has them already."""
    laid, flaws = lay_out(build)
    if not laid:
        return Inspection(build, {}, (), ())
    by_rule: dict[str, list[Finding]] = {}
    for finding in _asked(build, laid) if findings is None else findings:
        if finding.verdict in (NOT, OPEN):
            by_rule.setdefault(finding.rule.id, []).append(finding)
    broken: list[Break] = []
    silent: list[Silent] = []
    told: set[tuple[str, str]] = set()
    made: dict[str, Circuit] = {}
    for name, circuit in laid.items():
        own = [flaw for flaw in flaws if flaw.circuit == name]
        states: dict[str, tuple[str, str]] = {}
        for joint in circuit.joints:
            here, quiet = _of_joint(build, circuit, joint, [flaw for flaw in own if flaw.at == joint.id], by_rule)
            for state, words in [(_STATE[each.sort], each.words) for each in here] + [
                (UNKNOWN, each.words) for each in quiet
            ]:
                if joint.id not in states or STATES.index(state) < STATES.index(states[joint.id][0]):
                    states[joint.id] = state, words
            for each in here:
                if (each.at, each.sort) not in told:
                    told.add((each.at, each.sort))
                    broken.append(each)
            silent += [each for each in quiet if (each.at, "") not in told]
            told.update((each.at, "") for each in quiet)
        for flaw in own:
            if circuit.joint(flaw.at) is None:
                broken += [_break_of(circuit, flaw)] if flaw.sort != "unknown" else []
                silent += [_silent_of(circuit, flaw)] if flaw.sort == "unknown" else []
        missing = {node.id for node in circuit.nodes if node.missing}
        joints = [_with_state(joint, states, missing) for joint in circuit.joints]
        made[name] = circuit._replace(joints=tuple(joints))
    order = list(made)
    return Inspection(build, made, tuple(sorted(broken, key=lambda each: order.index(each.circuit))), tuple(silent))


def _asked(build: Build, laid: Mapping[str, Circuit]) -> Sequence[Finding]:
    """Findings of the rules that can break a joint of these circuits."""
    wanted = {rule for circuit in laid.values() for joint in circuit.joints for rule in joint.rules}
    wanted = (wanted & set(breaking())) | {ground_rule()}
    filled = {base_role(each) for each in build.parts}
    rules = [loaded(each) for each in entries() if each.id in wanted and filled.issuperset(each.roles)]
    return answer(build, rules, Settings()).findings


def _with_state(joint: Joint, states: Mapping[str, tuple[str, str]], missing: set[str]) -> Joint:
    if joint.id in states and states[joint.id][0] != UNKNOWN:
        return joint._replace(state=states[joint.id][0], words=states[joint.id][1])
    if joint.a in missing or joint.b in missing:
        return joint._replace(state="unmated", words=MISSING_BESIDE)
    if joint.id in states:
        return joint._replace(state=UNKNOWN, words=states[joint.id][1])
    return joint


def _of_joint(
    build: Build, circuit: Circuit, joint: Joint, flaws: Sequence[Flaw], by_rule: Mapping[str, Sequence[Finding]]
) -> tuple[list[Break], list[Silent]]:
    """The breaks of one joint, and why it may not be known to be whole."""
    found: dict[str, Break] = {}
    quiet: list[Silent] = []
    for flaw in flaws:
        if flaw.sort == "unknown":
            quiet.append(_silent_of(circuit, flaw, joint))
        else:
            found[flaw.sort] = _break_of(circuit, flaw, joint)
            for finding in by_rule.get(ground_rule(), ()) if flaw.sort == "no_ground" else ():
                found[flaw.sort] = found[flaw.sort]._replace(rule=finding.rule.id, finding=finding.name)
    for rule in (each for each in joint.rules if each in breaking()):
        for finding in by_rule.get(rule, ()):
            if not _concerns(finding, joint, circuit, build):
                continue
            if finding.verdict == OPEN:
                if finding.because == "outside_usual":  # whole, only not as one usually sees it
                    continue
                words = f"{finding.rule.asks} That cannot be told yet"
                read = next((leaf.name for leaf in finding.question.leaves if leaf.missing), "")
                quiet.append(Silent(circuit.name, joint.id, joint.roles, words, read, rule))
                continue
            sort = _sort_of(finding)
            limit = finding.limit
            if sort in found and not found[sort].rule:  # seen in the parts already: say which rule vouches for it
                found[sort] = found[sort]._replace(rule=rule, finding=finding.name, milestone=limit.milestone)
            elif sort not in found and not (flaws and _same_place(found, sort)):
                words = "; ".join([limit.why, *_notes(finding, joint)[:2]])
                found[sort] = Break(
                    circuit.name, joint.id, sort, limit.milestone, joint.roles, words, limit.fix, rule, finding.name
                )
    return list(found.values()), quiet


def _same_place(found: Mapping[str, Break], sort: str) -> bool:
    """Whether the parts already showed why oil does not get on here: a second word for it would be one too many."""
    return bool(found) and _STATE[sort] in {_STATE[each] for each in found}


def _sort_of(finding: Finding) -> str:
    sort = breaking()[finding.rule.id]
    if sort == "bypass":
        return "no_bypass" if (finding.quantity or 0) < 1 else "two_bypasses"
    return sort


def _concerns(finding: Finding, joint: Joint, circuit: Circuit, build: Build) -> bool:
    """Whether a finding speaks of this joint, and not of its like elsewhere (another hose, another passage)."""
    qualifiers = {each.partition(":")[2] for each in joint.roles}
    if finding.qualifier and finding.qualifier not in qualifiers and not _unqualified(finding, build):
        return False
    alike = [each for each in circuit.joints if finding.rule.id in each.rules and (each.entry or each.named)]
    if joint not in alike or len(alike) < 2:
        return True
    named = [each.id for each in alike if _names(finding, each, build)]
    return joint.id in named if named else True


def _unqualified(finding: Finding, build: Build) -> bool:
    """Whether the rule reads no part that goes by the qualifier of its view: it was asked of plain roles."""
    wanted = (*finding.rule.roles, *finding.rule.optional_roles)
    return all(f"{each}:{finding.qualifier}" not in build.parts for each in wanted)


def _names(finding: Finding, joint: Joint, build: Build) -> bool:
    """Whether the finding names the joint: in its notes, or by the station that decided or lies beside it."""
    block = part_in("block", build)
    stations = (block.facts.get("stations") if block is not None else None) or ()
    beside = {each["id"] for each in stations if each.get("passage") and each["passage"] == joint.entry}
    return finding.station in beside or any(_says(each, joint) for each in (finding.station, *_all_notes(finding)))


def _says(words: str, joint: Joint) -> bool:
    """Whether the words call the joint by name, as a whole word and at the head where it has a name of its own."""
    if joint.named:
        return f"{words} ".startswith(f"{joint.named} ")
    return bool(joint.entry) and f" {joint.entry} " in f" {words.replace(':', ' ')} "


def _all_notes(finding: Finding) -> list[str]:
    return [str(each) for each in finding.question.detail().get("notes", ())]


def _notes(finding: Finding, joint: Joint) -> list[str]:
    notes = _all_notes(finding)
    return [each for each in notes if _says(each, joint)] if joint.entry or joint.named else notes


def _break_of(circuit: Circuit, flaw: Flaw, joint: Joint | None = None) -> Break:
    if joint is not None:
        roles = tuple(dict.fromkeys([*joint.roles, *([flaw.role] if flaw.role else [])]))
        return Break(circuit.name, flaw.at, flaw.sort, joint.milestone, roles, flaw.words, flaw.fix)
    touching = [each for each in circuit.joints if flaw.at in (each.a, each.b)]
    milestone = touching[0].milestone if touching else "fire"
    node = circuit.node(flaw.at)
    roles = tuple(dict.fromkeys(each for each in (flaw.role, node.role if node else "") if each))
    return Break(circuit.name, flaw.at, flaw.sort, milestone, roles, flaw.words, flaw.fix)


def _silent_of(circuit: Circuit, flaw: Flaw, joint: Joint | None = None) -> Silent:
    return Silent(circuit.name, flaw.at, joint.roles if joint else (), flaw.words, flaw.fix)
